"""A build opened from anywhere stays known: its alarms sound, its labels are found and Builds lists it when another
build is opened, after a restart, and when its file is moved or deleted."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kit.driver import Driver
from kit.story import READING, Maker, new_app

from tracker.screens.overlays.alarm import AlarmView
from tracker.screens.shell import ClockStack
from tracker.screens.toolkit.list_rows import ListRow
from tracker.screens.toolkit.prompts import Panel
from tracker.tour.headless import HandTime
from tracker.work.decide.intents import Do

SAMPLES = Path(__file__).parents[2] / "sample_projects"
FRAME = "frame:1"
NAME = "Stool from the stick"
CLAMPED = 12 * 3600.0
"""Longer than the clamp time of the stool's glue; the cure after it hasn't been started."""


@pytest.fixture
def start(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Iterator[Callable[[], Maker]]:
    """Starts the app in the same shop, for the first time or again, in the same boot."""
    yield lambda: Maker(run_app(new_app(tmp_path / "home", hand_time), (1280, 800), 149.0))
    assert not (tmp_path / "home" / "errors.log").exists(), (tmp_path / "home" / "errors.log").read_text()


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A build file outside the folder of builds, as on a USB stick."""
    folder = tmp_path / "stick"
    folder.mkdir()
    text = (SAMPLES / "stool.toml").read_text(encoding="utf-8")
    (folder / "my stool.toml").write_text(text.replace('name = "Kitchen stool"', f'name = "{NAME}"'), encoding="utf-8")
    return folder / "my stool.toml"


def in_clamps(maker: Maker, file: Path) -> str:
    """Open a file from outside and put clamps on in its build; returns the code of its first leg."""
    maker.app.open_build(file)
    maker.driver.until_thread(lambda: maker.app.shop.run is not None and maker.app.shop.run.build.name == NAME)
    for step in ("dry fit", "spread", "clamp"):
        maker.app.act(Do(FRAME, step, "Tested: ready"))
    return str(maker.app.shop.run.codes["leg:1"])


def let_run_out(maker: Maker) -> AlarmView | None:
    maker.driver.jump(CLAMPED)
    maker.driver.run_for(1.5, 0.5)
    return next(iter(maker.driver.find(AlarmView)), None)


def rows(maker: Maker) -> dict[str, str]:
    """The rows of Builds: titles and notes."""
    maker.go("builds")
    maker.driver.until_thread(lambda: maker.driver.find(ListRow) and not maker.driver.find(ListRow, subtitle=READING))
    return {row.title: row.subtitle for row in maker.driver.find(ListRow) if row.get_root_window()}


def question(maker: Maker) -> Panel | None:
    return next(iter(maker.driver.find(Panel)), None)


def scan(maker: Maker, code: str) -> None:
    maker.driver.scan(code)
    maker.driver.until_thread(lambda: question(maker) is not None or maker.app.root.said)


def test_the_clock_of_a_build_from_outside_calls_while_another_build_is_open(
    start: Callable[[], Maker], stick: Path
) -> None:
    maker = start()
    in_clamps(maker, stick)
    maker.open("Doorstep planter")
    stack = next(stack for stack in maker.driver.find(ClockStack) if stack.get_root_window())
    assert stack.words.startswith("Other build: ")
    alarm = let_run_out(maker)
    assert alarm is not None
    assert NAME in alarm.card.title
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap_text("Stop alarm")
    assert not maker.driver.find(AlarmView)


def test_a_label_of_a_build_from_outside_is_found_and_opens_it(start: Callable[[], Maker], stick: Path) -> None:
    maker = start()
    code = in_clamps(maker, stick)
    maker.open("Doorstep planter")
    scan(maker, code)
    assert question(maker) is not None, maker.app.root.said
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap_text("Open it")
    maker.driver.until_thread(lambda: maker.app.shop.run.build.name == NAME)
    assert maker.card().key == "leg:1"


def test_builds_lists_it_while_another_is_open_and_after_a_restart(start: Callable[[], Maker], stick: Path) -> None:
    maker = start()
    in_clamps(maker, stick)
    maker.open("Doorstep planter")
    assert NAME in rows(maker)
    maker.driver.stop()
    maker = start()
    assert NAME in rows(maker)
    assert let_run_out(maker) is not None, "its clock calls after a restart, too"


@pytest.mark.parametrize("other_open", [True, False])
@pytest.mark.parametrize("restarted", [True, False])
def test_a_clock_calls_though_its_file_is_gone_and_it_is_said_where_it_was(
    other_open: bool, restarted: bool, start: Callable[[], Maker], stick: Path
) -> None:
    maker = start()
    code = in_clamps(maker, stick)
    if other_open:
        maker.open("Doorstep planter")
    stick.unlink()
    if restarted:
        maker.driver.stop()
        maker = start()
    alarm = let_run_out(maker)
    assert alarm is not None, "silent because its file is gone"
    assert "rame" in alarm.card.title
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap_text("Stop alarm")
    assert not maker.driver.find(AlarmView)
    said = rows(maker)
    assert "my stool.toml" in said[NAME], said
    assert "isn't" in said[NAME]
    if other_open or restarted:
        scan(maker, code)
        assert question(maker) is None
        assert NAME in maker.app.root.said
        assert "my stool.toml" in maker.app.root.said


def test_the_card_of_a_clock_whose_file_is_gone_says_so(start: Callable[[], Maker], stick: Path) -> None:
    maker = start()
    in_clamps(maker, stick)
    maker.open("Doorstep planter")
    stick.unlink()
    assert let_run_out(maker) is not None
    maker.driver.run_for(0.4, 0.1)
    maker.app.watch.answer("open")
    maker.driver.until_thread(lambda: NAME in maker.app.root.said)
    assert maker.app.shop.run.build.name == "Doorstep planter"


def test_a_file_that_was_moved_into_the_folder_of_builds_is_found_there(
    start: Callable[[], Maker], stick: Path
) -> None:
    maker = start()
    code = in_clamps(maker, stick)
    maker.open("Doorstep planter")
    shutil.move(stick, maker.app.shop.library.folder / "renamed.toml")
    said = rows(maker)
    assert "isn't" not in said[NAME]
    assert list(said).count(NAME) == 1
    scan(maker, code)
    assert question(maker) is not None, maker.app.root.said
    alarm = let_run_out(maker)
    assert alarm is not None
    assert alarm.card.title == f"Leg frame 1, {NAME}"


def test_a_slip_in_the_file_of_another_build_does_not_silence_its_clock(
    start: Callable[[], Maker], stick: Path
) -> None:
    maker = start()
    in_clamps(maker, stick)
    maker.open("Doorstep planter")
    right = stick.read_text(encoding="utf-8")
    stick.write_text(right.replace("quantity", "quantitty"), encoding="utf-8")
    maker.driver.stop()
    maker = start()
    assert let_run_out(maker) is not None
    stick.write_text(right, encoding="utf-8")
    maker.driver.run_for(2.0, 0.5)
    maker.driver.run_for(0.4, 0.1)
    maker.app.watch.answer("open")
    maker.driver.until_thread(lambda: maker.app.shop.run.build.name == NAME)
    assert maker.card().key == FRAME, "the look-up that failed was not remembered"


def test_a_clock_of_an_assembly_that_a_revision_left_out_calls_all_the_same(
    start: Callable[[], Maker], stick: Path
) -> None:
    maker = start()
    in_clamps(maker, stick)
    text = stick.read_text(encoding="utf-8")
    stick.write_text(text.replace('"frame"', '"frames"').replace("frame = 2", "frames = 2"), encoding="utf-8")
    maker.app.open_build(stick)
    maker.driver.run_for(0.5, 0.1)
    assert FRAME not in maker.app.shop.run.items
    alarm = let_run_out(maker)
    assert alarm is not None


def test_a_build_whose_file_is_gone_can_be_taken_off_the_list_once_no_clock_of_it_runs(
    start: Callable[[], Maker], stick: Path
) -> None:
    maker = start()
    in_clamps(maker, stick)
    maker.open("Doorstep planter")
    stick.unlink()
    rows(maker)
    maker.open(NAME)
    assert question(maker) is None, "a clock of it runs"
    assert "Its timers keep running" in maker.app.root.said
    assert let_run_out(maker) is not None
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap_text("Stop alarm")
    maker.open(NAME)
    assert question(maker) is not None
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap_text("Take it off the list")
    assert NAME not in rows(maker)
    assert maker.app.shop.state.runs[f"{NAME}#1"].items[FRAME].ticks, "the record keeps it"
