"""A camera's exposure is locked once it has settled and restored afterwards; a torch is lit if there is one.

The driver is simulated at its boundary: requests have the layout of the kernel's headers (linux/videodev2.h,
v4l2-controls.h), and a lamp is a folder as in the kernel's sysfs (Documentation/leds/leds-class.rst).
"""

from __future__ import annotations

import errno
import struct
import sys
import types
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, new_app

from tracker.screens.device import exposure
from tracker.screens.device.exposure import CHANGED_FOR, SETTLED_AFTER, CameraTorch, Controls, Exposure, find_torch
from tracker.screens.places.scan import DARK_WITHOUT
from tracker.tour.headless import HandTime

# linux/videodev2.h: _IOWR('V', 36, struct v4l2_queryctrl), _IOWR('V', 27 and 28, struct v4l2_control).
QUERYCTRL, G_CTRL, S_CTRL = 0xC0445624, 0xC008561B, 0xC008561C
# linux/v4l2-controls.h
AUTO, ABSOLUTE, PRIORITY, LOCK, LED = 0x9A0901, 0x9A0902, 0x9A0903, 0x9A091B, 0x9C0901
APERTURE_PRIORITY, MANUAL = 3, 1


class Driver4Linux:
    """A camera's driver with some controls; it records every setting."""

    def __init__(self, **values: int) -> None:
        names = {"auto": AUTO, "time": ABSOLUTE, "priority": PRIORITY, "lock": LOCK, "led": LED}
        self.values = {names[name]: value for name, value in values.items()}
        self.set: list[tuple[int, int]] = []
        self.flags: dict[int, int] = {}

    def __call__(self, request: int, buffer: bytearray) -> None:
        (control,) = struct.unpack_from("=I", buffer)
        if control not in self.values:
            raise OSError(errno.EINVAL, "Invalid argument")
        if request == QUERYCTRL:
            assert len(buffer) == 68
            struct.pack_into("=I", buffer, 56, self.flags.get(control, 0))
        elif request == G_CTRL:
            struct.pack_into("=i", buffer, 4, self.values[control])
        elif request == S_CTRL:
            (value,) = struct.unpack_from("=i", buffer, 4)
            self.values[control] = value
            self.set.append((control, value))
        else:
            raise OSError(errno.ENOTTY, "Inappropriate ioctl for device")


def settled(driver: Driver4Linux, brightness: float = 120.0) -> Exposure:
    exposure = Exposure(Controls(driver))
    for _ in range(SETTLED_AFTER - 1):
        exposure.saw(brightness)
        assert not exposure.kept
    exposure.saw(brightness)
    return exposure


def test_exposure_is_kept_by_hand_at_the_time_it_found_and_given_back_at_the_end() -> None:
    driver = Driver4Linux(auto=APERTURE_PRIORITY, time=156, priority=1)
    exposure = settled(driver)
    assert exposure.kept
    assert driver.values == {AUTO: MANUAL, ABSOLUTE: 156, PRIORITY: 0}
    exposure.close()
    assert driver.values == {AUTO: APERTURE_PRIORITY, ABSOLUTE: 156, PRIORITY: 1}
    assert not exposure.kept


def test_where_the_driver_has_a_lock_the_lock_is_used_and_its_other_bits_are_let_be() -> None:
    driver = Driver4Linux(auto=0, time=10, lock=0b010)
    exposure = settled(driver)
    assert driver.values[LOCK] == 0b011
    assert driver.values[AUTO] == 0
    exposure.close()
    assert driver.values[LOCK] == 0b010


def test_a_white_label_passing_by_changes_nothing_but_another_light_is_settled_anew() -> None:
    driver = Driver4Linux(auto=APERTURE_PRIORITY, time=156)
    exposure = settled(driver)
    for _ in range(CHANGED_FOR - 1):
        exposure.saw(220.0)
    exposure.saw(121.0)
    assert exposure.kept
    for _ in range(CHANGED_FOR):
        exposure.saw(40.0)
    assert not exposure.kept
    assert driver.values[AUTO] == APERTURE_PRIORITY
    for _ in range(SETTLED_AFTER):
        exposure.saw(118.0)
    assert exposure.kept
    exposure.close()
    assert driver.values[AUTO] == APERTURE_PRIORITY


@pytest.mark.parametrize("flag", [0x0001, 0x0004])
def test_what_is_disabled_or_only_to_be_read_is_let_be(flag: int) -> None:
    driver = Driver4Linux(auto=0, time=10)
    driver.flags = {AUTO: flag}
    assert not settled(driver).kept
    assert driver.set == []


def test_a_camera_without_controls_and_a_recorded_video_are_watched_all_the_same() -> None:
    assert not settled(Driver4Linux()).kept
    without = Exposure(None)
    for _ in range(100):
        without.saw(100.0)
    assert not without.kept
    without.close()


def test_a_file_that_is_no_camera_has_no_controls(tmp_path: Path) -> None:
    assert exposure.open_controls(tmp_path / "video0") is None
    (tmp_path / "video0").write_bytes(b"")
    opened = exposure.open_controls(tmp_path / "video0")
    assert opened is not None  # it opens, but answers nothing
    assert not opened[0].has(AUTO)
    assert opened[0].value(AUTO) is None
    opened[1]()


def lamp(folder: Path, name: str = "white:torch") -> Path:
    led = folder / name
    led.mkdir(parents=True)
    (led / "max_brightness").write_text("180\n")
    (led / "brightness").write_text("0\n")
    return led


def test_a_lamp_among_the_kernels_leds_is_lit_and_put_out(tmp_path: Path) -> None:
    lamp(tmp_path, "input3::capslock")
    led = lamp(tmp_path)
    torch = find_torch("0", tmp_path)
    assert torch is not None
    assert torch.light(True)
    assert (led / "brightness").read_text() == "180"
    torch.close()
    assert (led / "brightness").read_text() == "0"
    (led / "max_brightness").unlink()
    assert not torch.light(True)


def test_a_lamp_of_the_cameras_own_driver_is_lit_and_put_out() -> None:
    driver, closed = Driver4Linux(led=0), list[bool]()
    torch = CameraTorch(Controls(driver), lambda: closed.append(True))
    assert torch.light(True)
    assert driver.values[LED] == 2
    torch.close()
    assert driver.values[LED] == 0
    assert closed


def test_without_a_lamp_there_is_no_torch(tmp_path: Path) -> None:
    lamp(tmp_path, "input3::capslock")
    assert find_torch("0", tmp_path, tmp_path) is None


def test_the_lamp_of_a_phone_is_reached_through_plyer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[str] = []
    flash = types.SimpleNamespace(on=lambda: calls.append("on"), off=lambda: calls.append("off"))
    monkeypatch.setitem(sys.modules, "plyer", types.SimpleNamespace(flash=flash))
    assert find_torch("0", tmp_path, tmp_path) is None, "not on a desktop"
    monkeypatch.setenv("ANDROID_ARGUMENT", "")
    torch = find_torch("0", tmp_path, tmp_path)
    assert torch is not None
    assert torch.light(True)
    torch.close()
    assert calls == ["on", "off"]


# In the app


def night(path: Path) -> str:
    """A recorded video of a bench in the dark."""
    writer = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"MJPG"), 15, (640, 360))
    chance = np.random.default_rng(4)
    for _ in range(40):
        writer.write(np.clip(chance.normal(20, 4, (360, 640, 3)), 0, 255).astype(np.uint8))
    writer.release()
    return str(path)


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    maker = Maker(run_app(new_app(tmp_path / "shop", hand_time)))
    maker.open("Kitchen stool")
    maker.app.shop.settings["camera"] = night(tmp_path / "night.avi")
    maker.go("scan")
    return maker


def test_in_the_dark_without_a_torch_it_says_so_and_shows_no_button(maker: Maker) -> None:
    maker.driver.tap_text("Camera")
    maker.driver.until_thread(lambda: DARK_WITHOUT in maker.driver.texts(), 60)
    assert "torch" not in maker.driver.texts()
    assert not maker.driver.judge(*walk.ALL_RULES)


def test_a_torch_has_a_button_while_the_camera_runs_and_goes_out_with_it(
    maker: Maker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    led = lamp(tmp_path / "leds")
    monkeypatch.setattr("tracker.screens.places.scan.find_torch", lambda source: find_torch(source, tmp_path / "leds"))
    assert "torch" not in maker.driver.texts()
    maker.driver.tap_text("Camera")
    maker.driver.tap_text("torch")
    assert (led / "brightness").read_text() == "180"
    assert not maker.driver.judge(*walk.ALL_RULES)
    maker.driver.tap_text("torch off")
    assert (led / "brightness").read_text() == "0"
    maker.driver.tap_text("torch")
    maker.driver.tap_text("Keypad")
    assert (led / "brightness").read_text() == "0"
    assert "torch" not in maker.driver.texts()
