"""The number of touches in a day's work, counted as contacts with the screen, each where a finger would make it."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from kit.boxes import in_view
from kit.driver import Driver
from kit.story import Maker, new_app

from tracker.screens.overlays.checklist import ChecklistCover, CheckTile
from tracker.screens.toolkit.buttons import BigButton
from tracker.screens.toolkit.list_rows import HoldPlate, StripCell
from tracker.tour.headless import HandTime
from tracker.work.decide.decide import Do
from tracker.work.facts import Done

BLANKS, TRIMS = 6, 12


class Counted:
    """A maker at the planter with only the six sides left to saw."""

    def __init__(self, maker: Maker) -> None:
        self.maker = maker
        maker.open("Doorstep planter")
        for item in maker.app.shop.run.pieces:
            for step in item.route if item.id != "side" else ():
                assert maker.app.shop.do(Do(item.key, step.id)) is None
        maker.app.show_item("")
        self.before = maker.driver._count

    @property
    def taps(self) -> int:
        return int(self.maker.driver._count) - self.before

    def tap_button(self) -> None:
        self.maker.driver.tap(self.maker.big_button())

    def hold_all(self) -> None:
        (row,) = [row for row in self.maker.driver.find(HoldPlate) if in_view(row)]
        self.maker.driver.hold(row)

    def done(self, step: str) -> int:
        """The number of sides that have a step done."""
        shop = self.maker.app.shop
        return sum(shop.state.is_done(shop.run, item, step) for item in shop.run.pieces if item.id == "side")

    def ticked(self) -> list[tuple[str, str]]:
        """Every step that was ticked, in order."""
        facts = [entry.fact for entry in self.maker.app.shop.entries()]
        return [(fact.item, fact.step) for fact in facts if isinstance(fact, Done) and fact.item.startswith("side")]


@pytest.fixture
def counted(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Counted:
    return Counted(Maker(run_app(new_app(tmp_path, hand_time))))


def test_from_a_cold_start_to_the_first_cut(
    run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    assert maker.app.root.current == "builds"
    maker.open("Doorstep planter")
    maker.driver.tap(maker.big_button())
    assert [entry.fact.step for entry in maker.app.shop.entries() if isinstance(entry.fact, Done)] == ["cut"]
    assert maker.driver._count <= 3


def test_six_blanks_and_twelve_trims_take_a_tap_each(counted: Counted) -> None:
    for _ in range(BLANKS):
        counted.tap_button()
    assert counted.done("cut") == BLANKS
    assert counted.taps == BLANKS
    for _ in range(TRIMS):
        counted.tap_button()
    assert counted.done("trim") == BLANKS
    assert counted.taps == BLANKS + TRIMS
    ticked = counted.ticked()
    assert all(one[0] != other[0] for one, other in pairwise(ticked)), (
        "two taps in one place never tick two operations of one piece"
    )
    steps = [step for _, step in ticked]
    assert steps == ["cut"] * 6 + ["trim B"] * 6 + ["trim A"] * 6, "all first ends, then all second ends"
    counted.tap_button()
    assert len(counted.ticked()) == BLANKS + TRIMS, "the next tap leads on and ticks nothing"
    assert counted.maker.app.root.current == "glueup"


def test_or_one_hold_for_the_blanks_and_two_for_the_trims_each_with_one_undo(counted: Counted) -> None:
    before = counted.maker.app.shop.state
    counted.hold_all()
    assert (counted.done("cut"), counted.taps) == (BLANKS, 1)
    counted.maker.undo()
    assert counted.maker.app.shop.state == before, "one undo takes all of it back"
    counted.hold_all()
    counted.hold_all()
    assert counted.done("trim B") == BLANKS
    counted.hold_all()
    assert counted.done("trim") == BLANKS
    assert counted.taps == 1 + 1 + 3, "a hold, its undo, and three holds"


def test_letting_go_early_ticks_nothing(counted: Counted) -> None:
    (row,) = [row for row in counted.maker.driver.find(HoldPlate) if in_view(row)]
    counted.maker.driver.hold(row, 0.7)
    assert counted.ticked() == []


def test_either_end_can_be_first_and_undo_walks_back_piece_by_piece(counted: Counted) -> None:
    maker = counted.maker
    for _ in range(BLANKS):
        counted.tap_button()
    maker.driver.tap_text("All work")
    maker.driver.run_for(0.4, 0.1)
    while not (far := [cell for cell in maker.driver.find(StripCell, key=("side:3", "trim A")) if in_view(cell)]):
        maker.driver.tap_text("Down")
    maker.driver.tap(far[0])
    maker.driver.run_for(0.4, 0.1)
    assert maker.card().action.intent.step == "trim A"
    counted.tap_button()
    assert counted.ticked()[-1] == ("side:3", "trim A")
    assert maker.card().key == "side:4"
    counted.tap_button()
    maker.undo()
    assert maker.card().key == "side:4"
    maker.undo()
    assert (maker.card().key, counted.done("trim A")) == ("side:3", 0)


def test_a_day_s_work_takes_at_most_25_touches(counted: Counted) -> None:
    """6 blanks, 12 trims, dry fit, glue, clamp, off, cured, check, and the first coat of the whole planter."""
    maker = counted.maker
    for _ in range(3):
        counted.hold_all()  # blanks, first ends, second ends
    counted.tap_button()  # to the ring
    counted.tap_button()  # dry fitted
    counted.tap_button()  # the checklist
    maker.driver.run_for(0.4, 0.1)
    for tile in maker.driver.find(CheckTile):
        maker.driver.tap(tile)
    (cover,) = maker.driver.find(ChecklistCover)
    maker.driver.tap(next(child for child in cover.ids.grid.children if isinstance(child, BigButton)))  # glue is on
    counted.tap_button()  # clamped
    alarm(maker, 3600, "Clamps are off")
    alarm(maker, 86_400, "Stop alarm")
    counted.tap_button()  # the checks
    for words in ("Flat to flat alike within 1/16, three ways", "Pass"):
        maker.driver.run_for(0.4, 0.1)
        maker.driver.tap_text(words)
    in_between = counted.taps
    finish_the_planter(maker)
    counted.before += counted.taps - in_between  # its other joints aren't counted here
    counted.tap_button()  # coat 1
    shop = maker.app.shop
    assert shop.state.is_done(shop.run, shop.run.items["planter:1"], "finish 1")
    assert shop.state.is_done(shop.run, shop.run.items["ring:1"], "prove")
    assert counted.taps <= 25, counted.taps


def alarm(maker: Maker, seconds: float, words: str) -> None:
    """Wait until the alarm, and answer it with one tap."""
    maker.driver.jump(seconds + 1)
    maker.driver.run_for(2.0, 0.5)
    maker.driver.run_for(0.4, 0.1)
    button = [each for each in maker.driver.find(BigButton) if each.text == words][-1]
    maker.driver.tap(button)


def finish_the_planter(maker: Maker) -> None:
    """Dry-fit the planter and put it together without touches; then show its card."""
    shop: Any = maker.app.shop
    for step in ("dry fit", "attach"):
        assert shop.do(Do("planter:1", step)) is None
    maker.scan("planter:1")
