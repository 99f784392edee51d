"""The camera: recorded videos and series of pictures bring up cards; without a camera there is a message."""

from __future__ import annotations

import builtins
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, new_app
from PIL import Image

from tracker.paper.qr import symbol_image
from tracker.scan import Looked
from tracker.screens.device.camera import ASK_AFTER, NO_CAMERA, NO_PACKAGE, STOPPED, Camera, Doubts, Sight, sights
from tracker.screens.places.scan import Viewfinder
from tracker.screens.toolkit.prompts import Panel
from tracker.tour.headless import HandTime
from tracker.work.codes import code_for

Frame = np.ndarray[Any, np.dtype[np.uint8]]
CODE, OTHER = code_for("kitchen", "leg:1"), code_for("kitchen", "leg:2")
MODULE, WIDTH, HEIGHT = 5, 640, 360


def frame(*labels: tuple[str, int], seed: int = 0) -> Frame:
    """A frame of a bench with labels, each given by its code and its distance from the left."""
    bench = np.random.default_rng(seed).normal(120, 4, (HEIGHT, WIDTH, 3))
    for code, left in labels:
        symbol = np.asarray(symbol_image(code, MODULE).convert("RGB"))
        side = symbol.shape[0]
        bench[100 : 100 + side, left : left + side] = 20 + symbol * 0.8
    return np.asarray(cv2.GaussianBlur(np.clip(bench, 0, 255), (0, 0), 0.7), np.uint8)


def video(path: Path, frames: list[Frame]) -> str:
    """A recorded video, as a camera's driver would give it."""
    writer = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"MJPG"), 15, (WIDTH, HEIGHT))
    assert writer.isOpened()
    for each in frames:
        writer.write(each)
    writer.release()
    return str(path)


def series(folder: Path, frames: list[Frame]) -> str:
    folder.mkdir()
    for number, each in enumerate(frames):
        Image.fromarray(each[..., ::-1]).save(folder / f"{number:03}.png")
    return str(folder / "%03d.png")


def test_a_video_is_read_and_the_box_lies_on_the_label(tmp_path: Path) -> None:
    source = video(tmp_path / "bench.avi", [frame(seed=1), frame((CODE, 300), seed=2)])
    empty, seen, end = sights(source, ())
    assert isinstance(empty, Sight)
    assert isinstance(seen, Sight)
    assert empty.codes == empty.boxes == ()
    assert (seen.codes, end) == ((CODE,), STOPPED)
    (box,) = seen.boxes
    inner = 300 + 4 * MODULE, 100 + 4 * MODULE
    across = [(x * WIDTH, y * HEIGHT) for x, y in box.corners]
    assert across[0] == pytest.approx(inner, abs=3)
    assert across[2] == pytest.approx((inner[0] + 21 * MODULE, inner[1] + 21 * MODULE), abs=3)
    assert len(seen.pixels) == seen.width * seen.height * 3
    assert seen.width / seen.height == pytest.approx(WIDTH / HEIGHT, rel=0.01)


def test_the_picture_has_its_colours_the_right_way_round(tmp_path: Path) -> None:
    blue = np.zeros((HEIGHT, WIDTH, 3), np.uint8)
    blue[..., 0] = 200
    seen = next(sights(series(tmp_path / "blue", [blue]), ()))
    assert isinstance(seen, Sight)
    assert tuple(seen.pixels[:3]) == (0, 0, 200)


@pytest.mark.parametrize("source", ["no such video.avi", "63"])
def test_no_camera_is_a_sentence(source: str) -> None:
    assert list(sights(source, ())) == [NO_CAMERA]


def test_without_the_package_it_says_which_one(monkeypatch: pytest.MonkeyPatch) -> None:
    true_import = builtins.__import__

    def without(name: str, *rest: Any) -> Any:
        if name == "cv2":
            raise ImportError(name)
        return true_import(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    assert list(sights("0", ())) == [NO_PACKAGE]


def test_a_person_is_asked_only_after_several_frames_waver_between_the_same_two() -> None:
    doubts, doubtful = Doubts(), Looked(maybe=(CODE, OTHER))
    turned = Looked(maybe=(OTHER, CODE))
    answers = [doubts.about(each) for each in [doubtful, Looked(), turned] * ASK_AFTER]
    asked = [at for at, answer in enumerate(answers) if answer]
    assert asked[0] == 5, "the fourth doubtful frame"
    changing = Doubts()
    strangers = [code_for("kitchen", f"rail:{number}") for number in range(2 * ASK_AFTER)]
    assert not any(changing.about(Looked(maybe=(CODE, stranger))) for stranger in strangers)


def test_the_process_reads_and_ends(tmp_path: Path) -> None:
    camera = Camera(video(tmp_path / "bench.avi", [frame((CODE, 200), seed=n) for n in range(5)]), ())
    assert camera.join(60)
    seen = camera.latest()
    assert seen is not None
    assert seen.codes == (CODE,)
    assert camera.latest() is None
    assert camera.trouble == STOPPED


def test_a_camera_closed_at_once_leaves_no_process(tmp_path: Path) -> None:
    camera = Camera(video(tmp_path / "bench.avi", [frame(seed=1)] * 3000), ())
    camera.close()
    assert camera.join(60)


# In the app


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    maker = Maker(run_app(new_app(tmp_path / "shop", hand_time)))
    maker.open("Kitchen stool")
    return maker


def film(maker: Maker, source: str) -> None:
    """Turn the camera on with a recorded video."""
    maker.app.shop.settings["camera"] = source
    maker.go("scan")
    maker.driver.tap_text("Camera")


def test_a_label_before_the_camera_brings_up_its_card(maker: Maker, tmp_path: Path) -> None:
    code = maker.app.shop.run.codes["leg:2"]
    film(maker, video(tmp_path / "a.avi", [frame(seed=n) for n in range(5)] + [frame((code, 250))] * 30))
    maker.driver.until_thread(lambda: maker.app.item_key == "leg:2", 60)
    assert maker.card().title == maker.app.shop.run.items["leg:2"].title
    assert maker.app.root.ids.rail.current == "station"
    maker.driver.run_for(0.4, 0.05)  # a screen that has just changed ignores taps for a moment
    maker.go("scan")
    assert maker.driver.find_text("Camera"), "the camera was put off when the card came up"


@pytest.mark.pixels
def test_the_finder_shows_the_bench_and_fits(maker: Maker, tmp_path: Path, shots: Path) -> None:
    stranger = code_for("nobody's", "leg:1")
    film(maker, video(tmp_path / "a.avi", [frame((stranger, 250))] * 2000))
    said = lambda: any("of no build on this tablet" in text for text in maker.driver.texts())  # noqa: E731
    maker.driver.until_thread(said, 60)
    (finder,) = maker.driver.find(Viewfinder)
    assert finder.sight.boxes[0].ours
    assert not maker.driver.judge(*walk.ALL_RULES)
    maker.driver.save(shots / "finder.png")
    maker.driver.tap_text("Keypad")
    assert not maker.driver.find(Viewfinder)
    assert maker.driver.find_text("Camera")


def test_two_labels_before_the_camera_are_asked_about(maker: Maker, tmp_path: Path) -> None:
    codes = maker.app.shop.run.codes
    film(maker, video(tmp_path / "a.avi", [frame((codes["leg:1"], 50), (codes["leg:3"], 400))] * 30))
    maker.driver.until_thread(lambda: maker.driver.find(Panel), 60)
    maker.driver.tap_text(maker.app.shop.run.items["leg:3"].title)
    assert maker.app.item_key == "leg:3"


def test_no_camera_is_said_on_the_screen_and_the_keypad_is_back(maker: Maker) -> None:
    film(maker, "no such video.avi")
    maker.driver.until_thread(lambda: NO_CAMERA in maker.driver.texts(), 60)
    assert maker.driver.find_text("Camera")
    assert not maker.driver.judge(*walk.ALL_RULES)
    assert not (maker.app.shop.home / "errors.log").exists()


def test_the_process_knows_no_kivy() -> None:
    """The process can therefore start without a window."""
    import subprocess

    code = (
        "import sys, tracker.screens.device.camera; sys.exit(any(name.split('.')[0] == 'kivy' for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False, timeout=60).returncode == 0
