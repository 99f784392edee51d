"""The light for a camera: its exposure is locked once it has settled, and a torch is switched on where there is one.

On Linux both are controls of the camera's driver (V4L2, linux/videodev2.h and v4l2-controls.h). If the driver's
automatic exposure stays on, it brightens and darkens the whole picture whenever a white label or a hand comes near, and
the frames in between read badly. Nothing here imports Kivy or OpenCV.
"""

from __future__ import annotations

import os
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

Ioctl = Callable[[int, bytearray], None]
"""Calls the driver with a request and its buffer, into which the answer is written. Raises OSError where it refuses."""


def _request(number: int, size: int) -> int:
    """`_IOWR('V', number, size)` of the kernel's headers."""
    return 3 << 30 | size << 16 | ord("V") << 8 | number


_QUERY, _CONTROL = struct.Struct("=II32s4iI2I"), struct.Struct("=Ii")
QUERY, GET, SET = _request(36, _QUERY.size), _request(27, _CONTROL.size), _request(28, _CONTROL.size)
CAMERA, FLASH = 0x009A0900, 0x009C0900
EXPOSURE_AUTO, EXPOSURE_TIME, SLOWER_IN_THE_DARK, LOCK_3A = CAMERA + 1, CAMERA + 2, CAMERA + 3, CAMERA + 27
LED_MODE = FLASH + 1
MANUAL = 1
LOCKED_EXPOSURE = 1
NO_LED, TORCH_LED = 0, 2
DISABLED, READ_ONLY = 0x0001, 0x0004

SETTLED_AFTER = 15
"""This many frames after the last great change the camera's exposure has settled: half a second."""
CHANGED = 0.35
"""The light has changed when the picture's mean brightness has moved by more than this fraction."""
CHANGED_FOR = 15
"""For so many frames in a row, because a white label or a hand in front of the camera isn't a change of light."""
DARK = 45.0
"""The mean brightness, of 255, below which a lamp would help."""


class Controls:
    """The controls of one camera, by their numbers. A control that a camera doesn't have, or refuses, is None or
    False."""

    def __init__(self, ioctl: Ioctl) -> None:
        self._ioctl = ioctl

    def has(self, control: int) -> bool:
        """Whether the camera has the control and lets it be set."""
        buffer = bytearray(_QUERY.pack(control, 0, b"", 0, 0, 0, 0, 0, 0, 0))
        try:
            self._ioctl(QUERY, buffer)
        except OSError:
            return False
        flags: int = _QUERY.unpack(buffer)[7]
        return not flags & (DISABLED | READ_ONLY)

    def value(self, control: int) -> int | None:
        """The present value of the control."""
        buffer = bytearray(_CONTROL.pack(control, 0))
        try:
            self._ioctl(GET, buffer)
        except OSError:
            return None
        value: int = _CONTROL.unpack(buffer)[1]
        return value

    def put(self, control: int, value: int) -> bool:
        """Set the control; returns whether the camera did."""
        try:
            self._ioctl(SET, bytearray(_CONTROL.pack(control, value)))
        except OSError:
            return False
        return True


def open_controls(device: Path) -> tuple[Controls, Callable[[], None]] | None:
    """The controls of a camera's device file, and the function that closes it; None where there are none."""
    try:
        import fcntl

        descriptor = os.open(device, os.O_RDWR | os.O_NONBLOCK)
    except (ImportError, OSError):
        return None

    def ioctl(request: int, buffer: bytearray) -> None:
        fcntl.ioctl(descriptor, request, buffer, True)

    return Controls(ioctl), lambda: os.close(descriptor)


class Exposure:
    """Lets the camera find its exposure, locks it, and repeats that when the light has really changed."""

    def __init__(self, controls: Controls | None) -> None:
        self._controls = controls
        self._as_found: dict[int, int] = {}
        self._frames = self._changed = 0
        self._kept_at: float | None = None
        if controls is not None and controls.has(SLOWER_IN_THE_DARK):
            self._put(SLOWER_IN_THE_DARK, 0)  # a dark picture reads better than a blurred one

    @property
    def kept(self) -> bool:
        """Whether the camera's exposure is locked."""
        return self._kept_at is not None

    def saw(self, brightness: float) -> None:
        """A frame arrived; `brightness` is its mean, of 255."""
        if self._controls is None:
            return
        if self._kept_at is None:
            self._frames += 1
            if self._frames >= SETTLED_AFTER:
                self._frames = 0
                if self._keep():
                    self._kept_at, self._changed = brightness, 0
            return
        moved = abs(brightness - self._kept_at) > CHANGED * max(self._kept_at, 1.0)
        self._changed = self._changed + 1 if moved else 0
        if self._changed >= CHANGED_FOR:
            self._let_go()

    def close(self) -> None:
        """Leave the camera as it was found."""
        for control, value in reversed(self._as_found.items()):
            if self._controls is not None:
                self._controls.put(control, value)
        self._as_found.clear()
        self._kept_at = None

    def _keep(self) -> bool:
        controls = self._controls
        assert controls is not None
        if controls.has(LOCK_3A):
            return self._put(LOCK_3A, (controls.value(LOCK_3A) or 0) | LOCKED_EXPOSURE)
        found = controls.value(EXPOSURE_TIME)
        if not controls.has(EXPOSURE_AUTO) or not self._put(EXPOSURE_AUTO, MANUAL):
            return False
        if found is not None:  # some drivers fall back to an old value at the switch
            self._put(EXPOSURE_TIME, found)
        return True

    def _let_go(self) -> None:
        self._kept_at, self._frames = None, 0
        for control in (LOCK_3A, EXPOSURE_AUTO):
            if control in self._as_found and self._controls is not None:
                self._controls.put(control, self._as_found[control])

    def _put(self, control: int, value: int) -> bool:
        assert self._controls is not None
        before = self._controls.value(control)
        done = self._controls.put(control, value)
        if done and before is not None:
            self._as_found.setdefault(control, before)
        return done


# -- the torch ------------------------------------------------------------------------------------------------------


class Torch(Protocol):
    """A lamp beside the camera."""

    def light(self, on: bool) -> bool:
        """Switch it on or off; returns whether that worked."""

    def close(self) -> None:
        """Switch it off and release it."""


class LedTorch:
    """A lamp that the kernel lists among its LEDs (Documentation/leds/leds-class.rst), as on phones and tablets."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def light(self, on: bool) -> bool:
        try:
            most = int((self._folder / "max_brightness").read_text()) if on else 0
            (self._folder / "brightness").write_text(str(most))
        except (OSError, ValueError):
            return False
        return True

    def close(self) -> None:
        self.light(False)


class CameraTorch:
    """A lamp controlled by the camera's driver."""

    def __init__(self, controls: Controls, close: Callable[[], None]) -> None:
        self._controls, self._close = controls, close

    def light(self, on: bool) -> bool:
        return self._controls.put(LED_MODE, TORCH_LED if on else NO_LED)

    def close(self) -> None:
        self.light(False)
        self._close()


class PhoneTorch:
    """The lamp of an Android device, through plyer."""

    def __init__(self, flash: object) -> None:
        self._flash = flash

    def light(self, on: bool) -> bool:
        try:
            getattr(self._flash, "on" if on else "off")()
        except Exception:  # the device's own classes raise anything: then there is no light
            return False
        return True

    def close(self) -> None:
        self.light(False)


def find_torch(source: str, leds: Path = Path("/sys/class/leds"), devices: Path = Path("/dev")) -> Torch | None:
    """The lamp beside the camera `source`, or None where there is none that this program may switch on."""
    for folder in sorted(leds.glob("*")):
        kind = folder.name.rpartition(":")[2]
        if kind in ("torch", "flash") and os.access(folder / "brightness", os.W_OK):
            return LedTorch(folder)
    if source.isdecimal() and (opened := open_controls(devices / f"video{source}")):
        controls, close = opened
        if controls.has(LED_MODE):
            return CameraTorch(controls, close)
        close()
    if "ANDROID_ARGUMENT" in os.environ:
        try:
            from plyer import flash  # type: ignore[import-not-found]
        except ImportError:
            return None
        return PhoneTorch(flash)
    return None
