"""A glance at the screens where wood isn't cut: gluing, clamps, an alarm, checks, sanding, finishing, clocks, builds.

At most seven blocks of text, one headline beside the buttons, no sentence twice, nothing cut off, with ordinary names
and with the longest; with ordinary names whatever is needed at arm's length reads there. A build with places is drawn
where it is glued and checked. The run looks at the two reference screens; KERFCARD_GLANCE=all looks at all six.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from kit import boxes, glance, walk
from kit.driver import Driver
from kit.long_names import BUILDS, long_name, write_long_builds
from kit.story import NOT_NEW, Maker, StoryClock

from tracker.screens.overlays.alarm import AlarmView
from tracker.screens.overlays.prove import ProofCover, ProveCover
from tracker.screens.places.assembly import AssemblyView
from tracker.screens.shell import ClockStack, Rail
from tracker.screens.toolkit.buttons import RailButton, SmallButton
from tracker.screens.toolkit.clock_face import ClockFace
from tracker.screens.toolkit.list_rows import RowText
from tracker.screens.toolkit.marks import MarksRow
from tracker.screens.toolkit.theme import HELD
from tracker.screens.toolkit.touch import Holdable, Tappable
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look, app_with
from tracker.work.decide.decide import Do, next_step

LOOKS = [Look("1920x1200"), Look("1200x1920", "shop", "left")]
if os.environ.get("KERFCARD_GLANCE") == "all":
    LOOKS += [Look(size, "shop", "left") for size in ("1280x800", "2560x1600", "800x480", "800x1280")]
BLOCKS = 7
DRAWN = 0.12
"""The least share of the screen that the picture of what is checked has."""
LANDSCAPE, PORTRAIT, BESIDE_A_CLOCK = 0.18, 0.25, 0.75
"""The least share of the screen for the drawing of a glue-up, as at the saw; and the part of it where a clock is the
headline, or clocks take a row."""


@pytest.fixture(params=LOOKS, ids=lambda look: look.name.replace(" ", "-"))
def maker(request: pytest.FixtureRequest, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    look: Look = request.param
    width, height, dpi = SCREEN_SIZES[look.screen]
    app = app_with(look, tmp_path / "kerfcard", StoryClock(hand_time), **NOT_NEW)
    return Maker(run_app(app, (width, height), dpi))


@pytest.fixture(params=["ordinary", "long"])
def named(request: pytest.FixtureRequest, maker: Maker) -> Callable[[str], str]:
    """The builds have names of this length: gives a build's name."""
    if request.param == "ordinary":
        return str
    maker.go("scan")
    write_long_builds(maker.app.shop.library.folder)
    return long_name


def needed(root: Any) -> list[boxes.Words]:
    """What must be readable at 1 m."""
    return [each for each in glance.seen_words(root) if not is_aside(each.widget)]


def faults(maker: Maker, about: str) -> Iterator[str]:
    """A name of over forty letters may be set in the smallest type and be said in two places; then no title stands
    out."""
    maker.driver.run_for(1.0, 0.2)
    root = maker.app.root
    heads = [each for each in glance.headlines(root) if not on_button(each.widget)]
    ordinary = not any(build in maker.app.shop.run.build.name for build in map(long_name, BUILDS.values()))
    if ordinary and len(heads) > 1:
        yield f"{about}: {len(heads)} headlines: {[each.text for each in heads]}"
    if len(found := glance.blocks(root)) > BLOCKS:
        yield f"{about}: {len(found)} blocks of text: {found}"
    if ordinary:
        yield from (f"{about}: {each}" for each in glance.too_small(needed(root)))
        yield from (f"{about}: {each}" for each in glance.twice(root))
    for wrong in (
        *glance.small_fractions(glance.seen_words(root)),
        *glance.left_out(root),
        *walk.truncated(root),
        *walk.overlaps(root),
        *walk.small_targets(root),
    ):
        yield f"{about}: {wrong}"


ASIDE = (MarksRow, SmallButton, RailButton, Rail)
"""What isn't needed to glue, sand or finish: the marks say what is done, and the next step is on the large button;
small buttons and the rail are never tapped with a piece in hand, and are found by their place and their icon."""


def is_aside(widget: Any) -> bool:
    """What a row of a list says below its title is aside, too: its card says it again, larger. So is where the length
    of a wait comes from: that is read when it is set, not while it runs."""
    if isinstance(widget, RowText) and not widget.bold:
        return True
    text = getattr(widget, "text", "")
    if text.startswith("Done early: "):  # of steps before the last; it is told, but not needed for the next
        return True
    if isinstance(widget.parent.parent, ClockFace) and text == widget.parent.parent.note:
        return True
    while widget is not None and widget.parent is not widget:
        if isinstance(widget, ASIDE):
            return True
        widget = widget.parent
    return False


def on_button(widget: Any) -> bool:
    while widget is not None and widget.parent is not widget:
        if isinstance(widget, Tappable | Holdable):
            return True
        widget = widget.parent
    return False


def work(maker: Maker, key: str, until: str) -> None:
    """Do the steps of an item, and first those of all that goes into it, up to but without `until`."""
    shop = maker.app.shop
    for member in shop.run.items[key].members:
        work(maker, member, "")
    while (step := next_step(maker.app.floor().run, shop.state, shop.run.items[key])) and step.id != until:
        assert shop.do(Do(key, step.id, "Tested: ready")) is None


def test_a_glue_up_from_the_dry_fit_to_its_check(maker: Maker, named: Callable[[str], str]) -> None:
    maker.open(named("Doorstep planter"))
    wrong = []
    maker.app.show_item("ring:1")
    wrong += faults(maker, "nothing cut yet")
    maker.app.open_item("ring:1")
    wrong += faults(maker, "nothing cut yet, at the glue-ups")
    for step in ("dry fit", "spread", "clamp", "unclamp"):
        work(maker, "ring:1", step)
        maker.app.show_item("ring:1")
        wrong += faults(maker, step)
    maker.go("clocks")
    wrong += faults(maker, "clocks")
    maker.go("glueup")
    maker.driver.jump(26 * 3600)
    maker.driver.run_for(2.0, 0.5)
    assert maker.driver.find(AlarmView)
    wrong += faults(maker, "alarm")
    maker.answer_alarm()
    work(maker, "ring:1", "prove")
    maker.driver.jump(3 * 86400)
    maker.driver.run_for(2.0, 0.5)
    maker.answer_alarm()
    maker.app.show_item("ring:1")
    wrong += faults(maker, "ready to check")
    assert not wrong, "\n".join(wrong)


def test_what_is_glued_is_drawn_large_at_every_step(maker: Maker) -> None:
    """Pulled apart until it is clamped, beside the clock while one runs; also on the card at a station."""
    maker.open("Doorstep planter")
    wrong = []
    for step in ("dry fit", "spread", "clamp", "unclamp", "prove"):
        work(maker, "ring:1", step)
        for place in ("glueup", "station"):
            maker.go(place)
            maker.app.show_item("ring:1") if place == "station" else maker.app.open_item("ring:1")
            maker.driver.run_for(0.6, 0.2)
            (view,) = glance.shown(maker.app.root, AssemblyView)
            wrong += small_picture(maker, view, f"{step} at {place}")
            assert view.apart == (step in ("dry fit", "spread", "clamp")), step
    assert not wrong, "\n".join(wrong)


def test_clocks_above_a_card_cost_no_row_and_the_drawing_keeps_its_share(maker: Maker) -> None:
    """Four clocks run, more than have room: those left out are counted on the last, and the glue-up is drawn large."""
    maker.open("Kitchen stool")
    wrong, counted = [], []
    for step, key in (("spread", "base:1"), ("finish 1", "stool:1"), ("between 1", "stool:1"), ("prove", "stool:1")):
        work(maker, key, step)
        for place in ("glueup", "station"):
            maker.go(place)
            maker.app.show_item(key) if place == "station" else maker.app.open_item(key)
            about = f"{step} at {place}"
            wrong += faults(maker, about)
            (stack,) = glance.shown(maker.app.root, ClockStack)
            chips = [each for each in reversed(stack.ids.chips.children) if boxes.in_view(each)]
            (view,) = glance.shown(maker.app.root, AssemblyView)
            others = len(stack.clocks) - (view.card.clock is not None)
            assert len(chips) + chips[-1].more == others
            counted.append(int(chips[-1].more))
            assert not stack.words
            assert stack.height <= max(each.height for each in chips) + 1
            wrong += small_picture(maker, view, about, covered=0.25)
    assert not wrong, "\n".join(wrong)
    assert max(counted) > 0


def small_picture(maker: Maker, view: AssemblyView, about: str, covered: float = 0.5) -> Iterator[str]:
    """The room for the drawing, and what is drawn of a ring, which isn't as wide as that, or of a stool, which is
    narrow: the part of the least room that is `covered`."""
    picture = view.ids.picture.ids.drawn
    maker.driver.until_thread(lambda: picture.meshes)
    width, height = maker.app.root.size
    clocks = view.card.clock or maker.app.root.screen.ids.clocks.height > 1
    least = (LANDSCAPE, PORTRAIT)[height > width] * (BESIDE_A_CLOCK if clocks else 1)
    room = picture.width * picture.height / (width * height)
    xs = [x for mesh in picture.meshes for x in mesh.points[0::4]]
    ys = [y for mesh in picture.meshes for y in mesh.points[1::4]]
    drawn = (max(xs) - min(xs)) * (max(ys) - min(ys)) / (width * height)
    if room < least or drawn < least * covered:
        yield f"{about}: the drawing has {room:.1%} of the screen and covers {drawn:.1%}"


def test_what_is_checked_is_drawn(maker: Maker, named: Callable[[str], str]) -> None:
    maker.open(named("Doorstep planter"))
    work(maker, "ring:1", "prove")
    (check,) = maker.app.floor().run.build.assembly("ring").prove
    wrong = []
    width, height = maker.app.root.size
    for cover in (ProveCover(key="ring:1"), ProofCover(key="ring:1", check=check)):
        cover.show()
        (picture,) = [each for each in boxes.walk_all(cover) if type(each).__name__ == "AssemblyPicture"]
        maker.driver.until_thread(lambda: picture.there)  # noqa: B023
        wrong += faults(maker, type(cover).__name__)
        assert picture.width * picture.height / (width * height) > DRAWN
        cover.close()
    assert not wrong, "\n".join(wrong)


def test_sanding_says_its_grit_and_a_coat_what_it_is(maker: Maker, named: Callable[[str], str]) -> None:
    maker.open(named("Hall bench"))
    slat = maker.app.shop.run.items["slat:1"]
    sanding = next(step for step in slat.route if step.station == "sanding")
    work(maker, "slat:1", sanding.id)
    maker.app.move_to_station("sanding")
    maker.app.show_item("slat:1", sanding.id)
    wrong = list(faults(maker, "sanding"))
    assert str(sanding.grit) in [each.text for each in glance.headlines(maker.app.root)]
    maker.open(named("Kitchen stool"))
    stool = next(item for item in maker.app.shop.run.items.values() if any(step.coat for step in item.route))
    coat = next(step for step in stool.route if step.coat)
    work(maker, stool.key, coat.id)
    maker.app.move_to_station(coat.station)
    maker.app.show_item(stool.key)
    wrong += faults(maker, "a coat")
    maker.go("builds")
    wrong += [
        each for each in faults(maker, "builds") if "folder" not in each
    ]  # a test's path is longer than a person's
    assert not wrong, "\n".join(wrong)


def test_what_is_held_has_its_width_where_a_batch_has_no_numbers(maker: Maker) -> None:
    from tracker.screens.places.batch_bar import BatchBar

    maker.open("Doorstep planter")
    bar = maker.app.root.screen.batch
    assert isinstance(bar, BatchBar)
    bar.cells, bar.all_text = (), "Both lid panels are rested"
    maker.driver.run_for(0.3, 0.1)
    assert bar.hold_width >= HELD * bar.mm
    assert not [each for each in walk.overlaps(maker.app.root) if "Both lid panels" in each]
