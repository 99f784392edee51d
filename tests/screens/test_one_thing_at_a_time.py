"""The clocks of another build leave room for the card; a scan doesn't answer an open question."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, new_app

from tracker.screens.shell import ClockStack
from tracker.screens.toolkit.buttons import BigButton, SmallButton
from tracker.screens.toolkit.prompts import Panel
from tracker.tour.headless import HandTime
from tracker.work.decide.intents import Do

ONE_LINE = 9.5
"""What one line of the least type and the gap below it may take of the card (mm); two chips take 38."""


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Iterator[Maker]:
    yield Maker(run_app(new_app(tmp_path, hand_time), (1280, 800), 149.0))
    assert not (tmp_path / "errors.log").exists(), (tmp_path / "errors.log").read_text()


def room(maker: Maker) -> float:
    """The height of the card (mm)."""
    return float(maker.app.root.screen.ids.place.height / maker.app.theme.mm)


def stack(maker: Maker) -> ClockStack:
    """The stack of clocks on the current screen."""
    return next(each for each in maker.driver.find(ClockStack) if each.get_root_window())


def clamp_frames(maker: Maker) -> None:
    run = maker.app.shop.run.name
    for frame in ("frame:1", "frame:2"):
        for step in ("dry fit", "spread", "clamp"):
            maker.app.act(Do(frame, step, "Tested: ready", run=run))


def test_clocks_of_another_build_leave_the_card_its_room(maker: Maker) -> None:
    maker.open("Hall bench")
    maker.app.move_to_station("saw")
    maker.driver.run_for(0.4, 0.1)
    without = room(maker)
    maker.open("Kitchen stool")
    clamp_frames(maker)
    maker.app.show_item("leg:1")
    maker.driver.run_for(1.2, 0.1)
    (chip,) = stack(maker).ids.chips.children
    assert (chip.title, chip.badge) == ("Leg frame 1", "+1"), "one of its own whole, and the other counted"
    maker.open("Hall bench")
    maker.driver.run_for(1.2, 0.1)
    assert room(maker) >= without - ONE_LINE
    assert not stack(maker).ids.chips.children
    words = stack(maker).words
    assert words.startswith("Other builds: 2, ")
    assert words in maker.driver.texts()
    maker.driver.run_for(61.0, 0.5)
    assert stack(maker).words != words, "it runs; hours are shown to the minute"
    assert not maker.driver.judge(*walk.ALL_RULES)


def ask_why_aside(maker: Maker) -> str:
    """Open *Set aside* for the first leg; the question."""
    maker.open("Kitchen stool")
    maker.scan("leg:1")
    maker.driver.tap(next(b for b in maker.driver.find(SmallButton, text="This piece") if b.get_root_window()))
    (panel,) = maker.driver.find(Panel)
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap(next(b for b in panel.walk() if isinstance(b, BigButton) and b.text == "Set aside"))
    maker.driver.run_for(0.4, 0.1)
    (panel,) = maker.driver.find(Panel)
    return str(panel.title)


def test_a_scan_closes_the_question_that_is_open_marks_nothing_and_says_so(maker: Maker) -> None:
    question = ask_why_aside(maker)
    assert question.startswith("Leg 1 of 4"), "a question names its piece"
    before = len(maker.app.shop.entries())
    maker.scan("leg:2")
    assert not maker.driver.find(Panel), "it would be answered for the card behind it"
    assert maker.card().key == "leg:2"
    assert len(maker.app.shop.entries()) == before
    assert question in maker.app.root.said
    assert maker.app.notice.reason == "scanned"


def test_a_scan_of_no_label_of_ours_under_a_question_leaves_the_piece_on_the_card(maker: Maker) -> None:
    ask_why_aside(maker)
    maker.app.scanned("4006381333931")
    assert not maker.driver.find(Panel)
    assert maker.card().key == "leg:1"
    assert "Not a Kerfcard label" in maker.app.root.said


def test_the_question_whether_to_go_ahead_names_its_piece(maker: Maker) -> None:
    maker.open("Kitchen stool")
    maker.scan("frame:1")
    maker.driver.tap(maker.big_button())
    (panel,) = maker.driver.find(Panel)
    assert panel.title.startswith("Leg frame 1")
    assert panel.title.endswith("Go ahead?")
