"""A sheet of one build writes nothing into another build: it closes when another build is opened."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kit.driver import Driver
from kit.story import Maker, new_app

from tracker.screens.overlays.alarm import AlarmView
from tracker.screens.overlays.piece_options import NoteSheet, SpoilSheet
from tracker.screens.overlays.tape import TapeSheet
from tracker.screens.toolkit.buttons import BigButton, HoldButton, SmallButton
from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.prompts import Panel
from tracker.tour.headless import HandTime
from tracker.work.decide.intents import Do, Note

SAMPLES = Path(__file__).parents[2] / "sample_projects"
OTHER = "Another stool"
"""A second build with the same parts, so that both have the same keys."""


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Iterator[Maker]:
    """The stool is the current build, with its first leg cut; the other stool's first leg is cut, too, and its frame is
    in clamps."""
    text = (SAMPLES / "stool.toml").read_text(encoding="utf-8")
    (tmp_path / "builds").mkdir()
    file = tmp_path / "builds" / "other.toml"
    file.write_text(text.replace('name = "Kitchen stool"', f'name = "{OTHER}"'), encoding="utf-8")
    maker = Maker(run_app(new_app(tmp_path, hand_time), (1280, 800), 149.0))
    maker.open(OTHER)
    maker.app.act(Do("leg:1", "cut", run=open_run(maker)))
    for step in ("dry fit", "spread", "clamp"):
        maker.app.act(Do("frame:1", step, "Tested: ready", run=open_run(maker)))
    maker.open("Kitchen stool")
    maker.app.act(Do("leg:1", "cut", run=open_run(maker)))
    maker.app.open_item("leg:1")
    maker.driver.run_for(0.4, 0.1)
    yield maker
    assert not (tmp_path / "errors.log").exists(), (tmp_path / "errors.log").read_text()


def open_run(maker: Maker) -> str:
    return str(maker.app.shop.run.name)


def offer(maker: Maker, option: str) -> None:
    """Tap `this piece` and one of its options."""
    maker.driver.tap(next(b for b in maker.driver.find(SmallButton, text="This piece") if b.get_root_window()))
    choose(maker, option)


def choose(maker: Maker, option: str) -> None:
    (panel,) = maker.driver.find(Panel)
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap(next(b for b in panel.walk() if isinstance(b, BigButton) and b.text == option))
    maker.driver.run_for(0.4, 0.1)


def let_the_other_call(maker: Maker) -> None:
    """The alarm for the clamps of the other stool's frame sounds, and its card is shown."""
    maker.driver.jump(12 * 3600)
    maker.driver.run_for(1.5, 0.5)
    assert maker.driver.find(AlarmView)
    maker.driver.tap(next(b for b in maker.driver.find(BigButton) if b.text.startswith("Show ")))
    maker.driver.until_thread(lambda: maker.app.shop.run.build.name == OTHER)
    maker.driver.run_for(0.4, 0.1)


def spoiled(maker: Maker) -> list[str]:
    """The runs in which a leg was spoiled."""
    return [name for name, run in maker.app.shop.state.runs.items() if run.items["leg:1"].spoils]


def test_spoiled_is_not_written_into_the_build_whose_alarm_was_answered(maker: Maker) -> None:
    offer(maker, "Scrap")
    (sheet,) = maker.driver.find(SpoilSheet)
    let_the_other_call(maker)
    held = [button for button in maker.driver.find(HoldButton) if button.get_root_window()]
    assert not maker.driver.find(SpoilSheet), "the sheet still lies over the other build"
    assert not held
    sheet.why = "Split"
    sheet.spoil()  # a finger that was on its way
    assert spoiled(maker) == []


def test_a_measure_is_not_written_into_the_build_whose_label_was_scanned(maker: Maker) -> None:
    code = maker.app.shop.library.file_of(f"{OTHER}#1").run.codes["leg:1"]
    offer(maker, "Record a size")
    maker.driver.tap(
        next(b for b in maker.driver.find(BigButton) if b.text.startswith("Length") and b.get_root_window())
    )
    (sheet,) = maker.driver.find(TapeSheet)
    maker.app.scanned(code)
    maker.driver.until_thread(lambda: maker.driver.find(Panel) or maker.app.root.said)
    for panel in maker.driver.find(Panel):
        maker.driver.run_for(0.4, 0.1)
        maker.driver.tap(next(b for b in panel.walk() if isinstance(b, BigButton)))
    maker.driver.run_for(0.4, 0.1)
    if open_run(maker) == f"{OTHER}#1":
        assert not maker.driver.find(TapeSheet)
    else:
        maker.app.open_build(maker.app.shop.library.file_of(f"{OTHER}#1").path)
        assert not maker.driver.find(TapeSheet)
    for key in "444":
        sheet.press(key)
    sheet.keep()
    assert not [name for name, run in maker.app.shop.state.runs.items() if run.items["leg:1"].measures]


def test_a_tap_that_was_made_for_another_build_is_refused_in_words(maker: Maker) -> None:
    made_for = open_run(maker)
    maker.open(OTHER)
    before = len(maker.app.shop.entries())
    maker.app.act(Note("leg:1", "a knot", run=made_for))
    assert len(maker.app.shop.entries()) == before
    assert "Kitchen stool" in maker.app.root.said


def test_nothing_of_one_build_lies_over_another(maker: Maker) -> None:
    for option in ("Add a note", "Swap places", "Set aside", "Record a size"):
        maker.app.open_build(maker.app.shop.library.file_of("Kitchen stool#1").path)
        maker.app.open_item("leg:1")
        maker.driver.run_for(0.4, 0.1)
        offer(maker, option)
        assert maker.driver.find(Overlay), option
        maker.app.open_build(maker.app.shop.library.file_of(f"{OTHER}#1").path)
        maker.driver.run_for(0.4, 0.1)
        assert not maker.driver.find(Overlay), option
    assert not maker.driver.find(NoteSheet)
