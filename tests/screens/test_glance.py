"""A glance at a working screen: one headline, few blocks of text, a large drawing, nothing small, doubled or cut off;
in the picture, for every kind of piece at every step.

The run looks at some steps of each build on the two reference screens; KERFCARD_GLANCE=all looks at every step, on all
screens, in both lights and for both hands.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from kit import boxes, glance, walk
from kit.driver import Driver
from kit.story import NOT_NEW, Maker, StoryClock

from tracker.assets import asset_dir
from tracker.screens.overlays.work_sheet import WorkSheet
from tracker.screens.places.piece import LaidShape, PieceView
from tracker.screens.toolkit.buttons import SmallButton
from tracker.screens.toolkit.list_rows import HoldPlate, StripCell
from tracker.screens.toolkit.marks import MarksRow
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look, app_with
from tracker.work.decide.decide import Do
from tracker.work.operations import Step
from tracker.work.run import Item

ALL = os.environ.get("KERFCARD_GLANCE") == "all"
LOOKS = [Look("1920x1200"), Look("1200x1920", "shop", "left")]
if ALL:
    LOOKS += [Look(size, "shop", "left") for size in ("1280x800", "2560x1600", "800x480", "800x1280")]
SAMPLES = {"planter": "Doorstep planter", "stool": "Kitchen stool", "hall_bench": "Hall bench"}
SOME = ("side:1 cut", "side:1 trim B", "foot:1 cut", "cleat:1 drill", "leg:1 taper", "leg:1 trim A", "slat:1 rip")
"""The steps that the run looks at."""
BLOCKS = 7
LYING, UPRIGHT = 0.18, 0.25
"""The least share of the screen for the drawing of a piece."""
LONG = {
    "Side": "Outward leaning side board",
    "Leg": "Splayed and tapered rear leg",
    "Cleat": "Lower cleat of the inner floor",
    "Foot": "Foot with a rubber bumper",
}
"""Names as long as people write them."""


def cards(maker: Maker, build: str, only: tuple[str, ...] = ()) -> Iterator[tuple[Item, Step]]:
    """One piece of each kind at each step of the saw and the drill, with the earlier steps done, as the current
    item."""
    maker.open(build)
    shop = maker.app.shop
    seen = set()
    for item in shop.run.pieces:
        alike = [other for other in shop.run.pieces if (other.id, other.hand) == (item.id, item.hand)]
        for step in item.route:
            if step.station not in ("saw", "drill") or (item.id, item.hand, step.id) in seen:
                continue
            if only and f"{item.key} {step.id}" not in only:
                continue
            seen.add((item.id, item.hand, step.id))
            for other in alike:
                for before in other.route[: [each.id for each in other.route].index(step.id)]:
                    if not shop.state.is_done(shop.run, other, before.id):
                        assert shop.do(Do(other.key, before.id)) is None
            maker.app.move_to_station(step.station)
            maker.app.show_item(item.key, step.id)
            maker.driver.run_for(0.6, 0.2)
            yield item, step


def at_work(run_app: Callable[..., Driver], hand_time: HandTime, home: Path, look: Look) -> Maker:
    width, height, dpi = SCREEN_SIZES[look.screen]
    app = app_with(look, home / "kerfcard", StoryClock(hand_time), **NOT_NEW)
    return Maker(run_app(app, (width, height), dpi))


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name.replace(" ", "-"))
def test_every_card_is_read_at_a_glance(
    look: Look, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = at_work(run_app, hand_time, tmp_path, look)
    wrong, operations = [], set()
    for build in SAMPLES.values():
        for item, step in cards(maker, build, () if ALL else SOME):
            operations.add(step.operation)
            about = f"{build}, {item.key}, {step.id}"
            wrong += [f"{about}: {each}" for each in (*faults(maker), *small_drawing(maker, look))]
    assert operations >= {"cut", "trim", "rip", "taper", "drill"}
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("look", LOOKS[:2], ids=lambda look: look.name.replace(" ", "-"))
def test_long_names_cost_no_word(
    look: Look, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = at_work(run_app, hand_time, tmp_path, look)
    wrong = []
    maker.go("scan")
    for sample in ("planter", "stool"):
        text = (asset_dir("sample_projects") / f"{sample}.toml").read_text(encoding="utf-8")
        for short, long in {**LONG, SAMPLES[sample]: f"{SAMPLES[sample]} of long names"}.items():
            text = text.replace(f'name = "{short}"', f'name = "{long}"')
        (maker.app.shop.library.folder / f"{sample}.toml").write_text(text, encoding="utf-8")
        for item, step in cards(maker, f"{SAMPLES[sample]} of long names", SOME):
            wrong += [f"{item.key}, {step.id}: {each}" for each in faults(maker, names=False)]
            wrong += [f"{item.key}, {step.id}: {each}" for each in walk.truncated(maker.app.root)]
    assert not wrong, "\n".join(wrong)


def faults(maker: Maker, *, names: bool = True) -> Iterator[str]:
    """The faults that a glance would notice. A long name may be set smaller, and then more may stand out than the
    number."""
    root = maker.app.root
    (view,) = glance.shown(root, PieceView)
    if len(heads := glance.headlines(root)) != 1:
        yield f"{len(heads)} headlines: {[each.text for each in heads]}"
    if len(found := glance.blocks(root)) > BLOCKS:
        yield f"{len(found)} blocks of text: {found}"
    needed = [each for each in glance.seen_words(view) if not is_aside(each.widget)]
    if names:
        yield from glance.too_small(needed)
    yield from glance.small_fractions(glance.seen_words(root))
    yield from glance.twice(root)
    yield from glance.left_out(root)
    yield from out_of_view(maker)


def is_aside(widget: Any) -> bool:
    """Whether a widget shows work done or isn't tapped at the machine: neither is needed to cut."""
    return any(isinstance(each, MarksRow | SmallButton) for each in (widget, *parents(widget)))


def small_drawing(maker: Maker, look: Look) -> Iterator[str]:
    """Less of the screen than a drawing should have, by its ink."""
    width, height, _ = SCREEN_SIZES[look.screen]
    (shape,) = glance.shown(maker.app.root, LaidShape)
    ink = glance.ink_of(shape)
    drawn = ink.width * ink.height / (width * height) if ink else 0.0
    if drawn < (UPRIGHT if height > width else LYING):
        room = shape.width * shape.height / (width * height)
        yield f"the drawing covers {drawn:.1%} of the screen, of room it has {room:.1%}"


def out_of_view(maker: Maker) -> Iterator[str]:
    """The things out of view that a card must show: the caution, the piece's number if there are several, and the held
    button."""
    screen: Any = maker.app.root.screen
    bar, texts = screen.batch, maker.driver.texts()
    if not bar.caution or bar.caution not in texts:
        yield "no caution"
    yield from glance.too_small(each for each in glance.seen_words(screen) if each.text == bar.caution)
    if bar.cells and not [cell for cell in maker.driver.find(StripCell, chosen=True) if boxes.in_view(cell)]:
        yield "its number is not in view"
    if len(bar.shown) < len(bar.cells) and not (bar.more_before or bar.more_after):
        yield "nothing says that there are more numbers"
    if bar.all_text and not [row for row in maker.driver.find(HoldPlate, title=bar.hold_text) if boxes.in_view(row)]:
        yield "the hold is not in view"
    yield from walk.small_targets(maker.app.root)
    yield from walk.overlaps(maker.app.root)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_all_work_is_behind_one_tap(
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
        if cell.key[0] != first and boxes.in_view(cell) and any(each is sheet for each in parents(cell))
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
    (row,) = [row for row in maker.driver.find(HoldPlate) if boxes.in_view(row)]
    maker.driver.hold(row)
    shop = maker.app.shop
    assert all(shop.state.is_done(shop.run, item, "cut") for item in shop.run.pieces if item.id == "side")


def parents(widget: Any) -> Iterator[Any]:
    while widget.parent is not None and widget.parent is not widget:
        widget = widget.parent
        yield widget
