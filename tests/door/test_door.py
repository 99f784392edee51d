"""The real command `kerfcard` as a process on a real screen, started in every way.

The tests look and tap through X, and read the log with SQLite after the app has ended.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from kit.door import Door, blue_button, log_of
from kit.xserver import Window, XServer
from PIL import Image

from tracker.shop import Shop
from tracker.work.decide.intents import Do

SAMPLES = Path(__file__).parents[2] / "sample_projects"
MANAGER = "matchbox-window-manager"
SIZES = {(1280, 800): 149, (1920, 1200): 224, (800, 480): 133}
"""The screen's points, and points per inch."""
TAP = 0.1
"""Seconds of a short tap."""


@pytest.fixture
def bare() -> Iterator[XServer]:
    """A screen without a window manager."""
    with XServer(1280, 800) as server:
        yield server


def measure(home: Path, size: tuple[int, int], dpi: float) -> None:
    """Store a measurement of this screen, as if made with a card before."""
    (home / "kerfcard").mkdir()
    (home / "kerfcard" / "glass.json").write_text(json.dumps({f"screen {size[0]}x{size[1]}": {"dpi": dpi}}))


def marks(home: Path) -> list[str]:
    """The steps that the log says were done, in order."""
    return [json.loads(data)["step"] for kind, data in log_of(home / "kerfcard") if kind == "done"]


def sound(door: Door) -> None:
    assert "Traceback" not in door.errors, door.errors
    assert door.errors == "", door.errors


@pytest.mark.parametrize(
    ("size", "manager", "sample"),
    [
        ((1280, 800), "", "planter"),
        ((1920, 1200), "", "stool"),
        ((800, 480), "", "hall_bench"),
        ((1280, 800), MANAGER, "stool"),
        ((1920, 1200), MANAGER, "hall_bench"),
        ((800, 480), MANAGER, "planter"),
    ],
)
def test_a_build_that_is_opened_fills_the_screen_and_a_tap_reaches_the_log(
    size: tuple[int, int], manager: str, sample: str, tmp_path: Path, shots: Path
) -> None:
    measure(tmp_path, size, SIZES[size])
    with XServer(*size, manager) as server, Door(server, tmp_path, "open", SAMPLES / f"{sample}.toml") as door:
        server.until(lambda: server.window() == Window(0, 0, *size))  # a manager may map it small, and resize it then
        picture = door.see()
        assert server.window() == Window(0, 0, *size)
        shots.mkdir(parents=True, exist_ok=True)
        picture.save(shots / "opened.png")
        place = blue_button(picture)
        assert place is not None
        assert place[0] > size[0] / 2, "the button is on the right hand's side"
        door.tap_button(picture, TAP).save(shots / "tapped.png")
        assert door.close() == 0
    sound(door)
    assert marks(tmp_path) == ["cut"]


def test_the_first_start_the_next_one_and_a_build_that_is_reopened(bare: XServer, tmp_path: Path, shots: Path) -> None:
    shots.mkdir(parents=True, exist_ok=True)
    with Door(bare, tmp_path) as door:
        picture = door.see()
        picture.save(shots / "first card.png")
        place = blue_button(picture)
        for name in ("number", "button", "more"):  # how large is the screen; then three things to look at
            assert place is not None
            bare.touch(*place, TAP)
            last = place
            bare.until(lambda last=last: (now := over_the_screen(bare.picture())) and blue_button(now) != last)
            picture = door.see()
            picture.save(shots / f"first {name}.png")
            place = blue_button(picture)
        assert place is not None
        bare.touch(*place, TAP)
        bare.until(lambda: at_the_foot(bare.picture()))
        picture = door.see()
        picture.save(shots / "first work.png")
        door.tap_button(picture, TAP)
        assert door.close() == 0
    sound(door)
    assert marks(tmp_path) == ["cut"], "the sample is open, and its first piece is cut"
    kept = json.loads((tmp_path / "kerfcard" / "glass.json").read_text())
    assert kept == {"screen 1280x800": {"dpi": 160.0}}, "the frame fitted as it was"

    with Door(bare, tmp_path) as door:  # again: nothing is asked, and the work goes on
        door.tap_button(door.see(), TAP)
        assert door.close() == 0
    sound(door)
    assert len(marks(tmp_path)) == 2

    with Door(bare, tmp_path, "open", SAMPLES / "stool.toml") as door:
        door.tap_button(door.see(), TAP)
        assert door.close() == 0
    sound(door)
    assert len(marks(tmp_path)) == 3

    with Door(bare, tmp_path) as door:  # the stool, reopened
        door.tap_button(door.see(), TAP)
        assert door.close() == 0
    sound(door)
    assert len(marks(tmp_path)) == 4
    opened = [json.loads(data)["file"] for kind, data in log_of(tmp_path / "kerfcard") if kind == "opened"]
    assert opened == ["planter.toml", "stool.toml"]


def test_a_file_with_problems_is_refused_line_by_line(bare: XServer, tmp_path: Path) -> None:
    file = tmp_path / "stool.toml"
    file.write_text((SAMPLES / "stool.toml").read_text().replace("quantity", "quantitty", 2))
    with Door(bare, tmp_path, "open", file) as door:
        assert door.wait() == 1
    assert "Traceback" not in door.errors
    assert door.errors.count("quantitty") == 2
    assert all(line.startswith(f"{file}:") for line in door.errors.splitlines())
    assert bare.window() is None


def test_a_missing_file_is_said_in_a_line(bare: XServer, tmp_path: Path) -> None:
    with Door(bare, tmp_path, "open", tmp_path / "nowhere.toml") as door:
        assert door.wait() == 1
    assert "Traceback" not in door.errors
    assert len(door.errors.splitlines()) == 1
    assert "nowhere.toml" in door.errors


def test_for_a_desk_there_is_a_window(bare: XServer, tmp_path: Path) -> None:
    measure(tmp_path, (1280, 800), 149)
    with Door(bare, tmp_path, "open", SAMPLES / "planter.toml", "--window") as door:
        door.see()
        window = bare.window()
        assert window is not None
        assert (window.width, window.height) == (1152, 720)
        assert door.close() == 0
    sound(door)


def test_a_window_that_was_left_small_is_made_as_large_as_the_screen(bare: XServer, tmp_path: Path) -> None:
    """Some compositors grant full screen but leave the window at its size."""
    measure(tmp_path, (1280, 800), 149)
    small = {"KCFG_GRAPHICS_WIDTH": "800", "KCFG_GRAPHICS_HEIGHT": "600"}
    with Door(bare, tmp_path, "open", SAMPLES / "planter.toml", **small) as door:
        bare.until(lambda: bare.window() == Window(0, 0, 1280, 800))
        door.tap_button(door.see(), TAP)
        assert door.close() == 0
    sound(door)
    assert marks(tmp_path) == ["cut"]


def test_while_a_wait_runs_the_window_is_not_closed_without_a_word(bare: XServer, tmp_path: Path, shots: Path) -> None:
    measure(tmp_path, (1280, 800), 149)
    shop = Shop(tmp_path / "kerfcard")
    shop.library.learn([SAMPLES / "stool.toml"])
    assert not [each for each in shop.open(SAMPLES / "stool.toml") if each.kind == "problem"]
    for step in ("dry fit", "spread", "clamp"):
        assert shop.do(Do("frame:1", step, "Tested: ready")) is None
    shop.close()
    with Door(bare, tmp_path):
        bare.until(lambda: at_the_foot(bare.picture()))  # with a clock on it, the screen is never still
        time.sleep(1.0)
        bare.ask_to_close()
        picture = bare.until(lambda: over_the_screen(bare.picture()))
        time.sleep(1.0)  # a tap at the moment it appears was meant for the screen before
        shots.mkdir(parents=True, exist_ok=True)
        picture.save(shots / "closing.png")
        place = blue_button(picture)
        assert place is not None
        bare.touch(*place, TAP)  # keep it open
        bare.until(lambda: at_the_foot(bare.picture()))
        assert bare.window() == Window(0, 0, 1280, 800)
    assert marks(tmp_path) == ["dry fit", "spread", "clamp"], "nothing below was tapped"


def at_the_foot(picture: Image.Image) -> bool:
    """Whether the uppermost blue button is the one in the lower corner of a screen."""
    place = blue_button(picture)
    return place is not None and place[1] > 0.86 * picture.height


def over_the_screen(picture: Image.Image) -> Image.Image | None:
    """The picture, if the uppermost blue button belongs to a sheet over the screen."""
    place = blue_button(picture)
    return picture if place is not None and place[1] <= 0.86 * picture.height else None


def test_taps_that_come_and_go_between_two_frames_count_and_ghosts_do_not(bare: XServer, tmp_path: Path) -> None:
    """The process is stopped while the finger lands and leaves, so that both events wait for the same frame."""
    measure(tmp_path, (1280, 800), 149)
    with Door(bare, tmp_path, "open", SAMPLES / "stool.toml") as door:
        picture = door.see()
        place = blue_button(picture)
        assert place is not None
        for seconds in (0.008, 0.015):  # chips, a sleeve
            door.stop_the_clock()
            bare.touch(*place, seconds)
            time.sleep(0.1)
            door.go_on()
            time.sleep(0.5)
            assert door.see().tobytes() == picture.tobytes()
        for seconds in (0.08, 0.12):
            door.stop_the_clock()
            bare.touch(*place, seconds)
            time.sleep(0.1)
            door.go_on()
            picture = door.see_other_than(picture, button=seconds == 0.08)
        assert door.close() == 0
    sound(door)
    assert len(marks(tmp_path)) == 2
