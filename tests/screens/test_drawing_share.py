"""How much of the screen a working card gives to its drawing: nobody drills or cuts from words alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from kit import walk
from kit.driver import Driver
from kit.story import NOT_NEW, Maker, StoryClock

from tracker.screens.places.piece import LaidShape
from tracker.screens.places.station import WorkSheet
from tracker.screens.toolkit.buttons import SmallButton
from tracker.screens.toolkit.list_rows import HoldPlate, StripCell
from tracker.tour.headless import HandTime
from tracker.tour.itinerary import GLASSES, Look, app_with
from tracker.work.decide.decide import Do
from tracker.work.run import Item
from tracker.work.steps import Step

BUILDS = ("Doorstep planter", "Kitchen stool", "Hall bench")
UPRIGHT, LYING, LYING_LONG = 0.195, 0.135, 0.09
"""The least share of the screen: of every card upright; lying of cuts and trims; lying of what also says more, or whose
button takes two lines (rip, taper, drill)."""
LEAST_MM = 25.0
"""How high the drawing of what is drilled or tapered is at least."""


def cards(maker: Maker, build: str) -> Iterator[tuple[Item, Step]]:
    """One piece of each kind at each step of the saw and the drill, what comes before it done, as it is in hand."""
    maker.open(build)
    shop = maker.app.shop
    seen = set()
    for item in shop.run.pieces:
        alike = [other for other in shop.run.pieces if (other.id, other.hand) == (item.id, item.hand)]
        for step in item.route:
            if step.station not in ("saw", "drill") or (item.id, item.hand, step.id) in seen:
                continue
            seen.add((item.id, item.hand, step.id))
            for other in alike:
                for before in other.route[: [each.id for each in other.route].index(step.id)]:
                    if not shop.state.is_done(shop.run, other, before.id):
                        assert shop.do(Do(other.key, before.id)) is None
            maker.app.stand_at(step.station)
            maker.app.hold(item.key, step.id)
            maker.driver.run_for(0.6, 0.2)
            yield item, step


def at_work(run_app: Callable[..., Driver], hand_time: HandTime, home: Path, look: Look) -> Maker:
    width, height, dpi = GLASSES[look.glass]
    app = app_with(look, home / "kerfcard", StoryClock(hand_time), **NOT_NEW)
    return Maker(run_app(app, (width, height), dpi))


@pytest.mark.parametrize("glass", ["1920x1200", "1280x800", "1200x1920", "800x1280"])
def test_the_drawing_has_its_share(
    glass: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = at_work(run_app, hand_time, tmp_path, Look(glass))
    width, height, _ = GLASSES[glass]
    wrong, operations = [], set()
    for build in BUILDS:
        for item, step in cards(maker, build):
            operations.add(step.operation)
            (shape,) = maker.driver.find(LaidShape)
            assert shape.children, "something is drawn"
            share, high = shape.width * shape.height / (width * height), shape.height / maker.app.theme.mm
            least = UPRIGHT if height > width else LYING if step.operation in ("cut", "trim") else LYING_LONG
            about = f"{item.key}, {step.id}: {share:.1%} of the screen, {high:.1f} mm high"
            if share < least or (step.operation in ("drill", "taper") and high < LEAST_MM):
                wrong.append(about)
            if height > width:
                wrong += [f"{about}: {each}" for each in out_of_view(maker, item)]
    assert operations >= {"cut", "trim", "rip", "taper", "drill"}
    assert not wrong, "\n".join(wrong)


def out_of_view(maker: Maker, item: Item) -> Iterator[str]:
    """What an upright card must have in view: the caution, the piece's number where there are several, and the hold."""
    screen: Any = maker.app.root.screen
    bar = screen.batch
    texts = maker.driver.texts()
    if screen.caution not in texts:
        yield "no caution"
    if bar.cells and not [cell for cell in maker.driver.find(StripCell, chosen=True) if walk.in_view(cell)]:
        yield "its number is not in view"
    if bar.all_text and not [row for row in maker.driver.find(HoldPlate, title=bar.all_text) if walk.in_view(row)]:
        yield "the hold is not in view"
    yield from walk.small_targets(maker.app.root)
    yield from walk.overlaps(maker.app.root)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_upright_all_work_is_behind_one_tap(
    hand: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = at_work(run_app, hand_time, tmp_path, Look("1200x1920", hand=hand))
    maker.open("Doorstep planter")
    maker.driver.run_for(0.5, 0.1)
    first = maker.card().key
    maker.driver.tap(maker.driver.find_text("All work", SmallButton))
    maker.driver.run_for(0.6, 0.1)
    (sheet,) = maker.driver.find(WorkSheet)
    assert sheet.rows
    other = next(
        cell
        for cell in maker.driver.find(StripCell)
        if cell.key[0] != first and walk.in_view(cell) and any(each is sheet for each in parents(cell))
    )
    key, _ = other.key
    maker.driver.tap(other)
    maker.driver.run_for(0.5, 0.1)
    assert not maker.driver.find(WorkSheet), "the list is gone"
    assert maker.card().key == key


def test_upright_a_hold_ticks_all_of_the_batch(
    run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = at_work(run_app, hand_time, tmp_path, Look("800x1280"))
    maker.open("Doorstep planter")
    maker.scan("side:1")
    (row,) = [row for row in maker.driver.find(HoldPlate) if walk.in_view(row)]
    maker.driver.hold(row)
    shop = maker.app.shop
    assert all(shop.state.is_done(shop.run, item, "cut") for item in shop.run.pieces if item.id == "side")


def parents(widget: Any) -> Iterator[Any]:
    while widget.parent is not None and widget.parent is not widget:
        widget = widget.parent
        yield widget
