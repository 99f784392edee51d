"""Screws, bolts, dowels and holes as cylinders: each end, radius and face, worked out by hand.

A rail 300 × 100 × 20 mm lies with its top face to the front and its near edge up, its upper edge at 400: so x runs to
the right, y to the back and z up, and a hole 30 mm from the near edge is at z = 370."""

from __future__ import annotations

from math import cos, radians, sin

import pytest
from place.test_wrong_screws import HEAD, PLACE, row

from tracker.design.load import load_build
from tracker.plan.place import Placer
from tracker.plan.place.bodies import box
from tracker.plan.place.poses import Pose
from tracker.plan.screws import Screw, screw_problems, surveys
from tracker.plan.screws.placed_screws import finder
from tracker.plan.screws.proposing import with_places
from tracker.plan.screws.survey import Survey, largest_placed
from tracker.plan.screws.timber import Timber

BEFORE = PLACE.replace("left = 0, front = 0", "left = 0, front = 20").replace(
    "left = 40, front = 10, top = 400", "left = 0, front = 0, top = 400"
)
"""The rail in front of the leg: x from 0 to 300, y from 0 to 20; the leg's y is from 20 to 60."""


LONE = row("kind = 'pocket', end = 'A', from_edge = 30")
PLACES = "kind = 'pocket', end = 'B', places = 1, screw = 35"


def survey(holes: str, place: str, rail: str = "length = 300", leg: str = "") -> Survey:
    text = f'{HEAD}{leg}\n[[parts]]\nid = "rail"\nname = "Rail"\nwood = "oak"\n{rail}\n{row(holes)}\n{place}'
    build = load_build(text).build
    assert build is not None
    (found,) = surveys(build)
    return found


def rods(screw: Screw) -> list[tuple[str, tuple[float, ...], tuple[float, ...], float, str, set[str]]]:
    return [
        (
            each.what, tuple(round(x, 3) + 0.0 for x in each.a), tuple(round(x, 3) + 0.0 for x in each.b),
            round(each.radius, 3), each.piece[0], set(each.opens),
        )
        for each in screw.rods
    ]  # fmt: skip


def test_a_straight_screw_with_a_plug() -> None:
    """20 mm from end B, which is left. 5 mm of recess, then 15 of the rail and 15 of the leg: a screw of 30. It is a
    number 8, 0.164 in (ASME B18.6.1): 4.166 mm thick."""
    holes = 'kind = "screw", end = "B", from_end = 20, from_edge = 30, screw = 30, recess = 5, plug = 12, gauge = 8'
    (screw,) = survey(holes, BEFORE).screws
    assert rods(screw) == [
        ("recess", (20, -1, 370), (20, 5, 370), 6, "rail", {"top"}),
        ("shank", (20, 5, 370), (20, 20, 370), 2.083, "rail", {"top", "bottom"}),
        ("thread", (20, 20, 370), (20, 35, 370), 2.083, "leg", {"bottom"}),
    ]
    assert (screw.enters, screw.goes_in) == (("leg", 1), pytest.approx(15))
    assert screw.mouth == pytest.approx((20, 0, 370))
    assert screw.tip == pytest.approx((20, 35, 370))
    assert screw.thickest == 6


def test_a_screw_that_ends_just_at_the_joint_holds_nothing() -> None:
    (screw,) = survey('kind = "screw", end = "B", from_end = 20, from_edge = 30, screw = 20', BEFORE).screws
    assert [each.what for each in screw.rods] == ["shank"]
    assert (screw.enters, screw.goes_in) == (("leg", 1), 0)
    assert screw.tip == pytest.approx((20, 20, 370))


def test_a_bolt_comes_out_of_the_other_piece_too() -> None:
    bolt = 'kind = "bolt", end = "B", from_end = 20, from_edge = 30, diameter = 6, length = 70'
    (screw,) = survey(f"{bolt}, counterbore = 14, recess = 5", BEFORE).screws
    assert rods(screw) == [
        ("recess", (20, -1, 370), (20, 5, 370), 7, "rail", {"top"}),
        ("shank", (20, 5, 370), (20, 20, 370), 3, "rail", {"top", "bottom"}),
        ("bolt", (20, 20, 370), (20, 75, 370), 3, "leg", {"top", "bottom"}),
    ]


def test_a_dowel_is_half_in_each_piece() -> None:
    """The rail's end B is against the leg, at x = 40; the middle of its thickness is at y = 20."""
    holes = 'kind = "dowel", end = "B", face = "end", from_edge = 30, diameter = 8, length = 40'
    (screw,) = survey(holes, PLACE).screws
    assert rods(screw) == [
        ("dowel", (60, 20, 370), (40, 20, 370), 4, "rail", {"B"}),
        ("dowel", (40, 20, 370), (20, 20, 370), 4, "leg", {"near"}),
    ]
    assert screw.goes_in == pytest.approx(20)


@pytest.mark.parametrize(
    ("kind", "deep", "opens"), [('"through"', 20, {"top", "bottom"}), ('"blind", depth = 12', 12, {"top"})]
)
def test_a_plain_hole(kind: str, deep: float, opens: set[str]) -> None:
    (screw,) = survey(
        f'kind = {kind}, end = "B", face = "top", from_end = 20, from_edge = 30, diameter = 10', PLACE
    ).screws
    assert rods(screw) == [("hole", (60, 10, 370), (60, 10 + deep, 370), 5, "rail", opens)]
    assert (screw.enters, screw.goes_in) == (None, 0)


def test_a_pocket_at_15_degrees() -> None:
    """The axis leaves end B at x = 40 in the middle of the thickness, y = 20. Along the axis: the seat is 0.8 · 20 = 16
    mm before that, the mouth 10 / sin 15° before it, and the bore begins 4.75 / tan 15° = 17.727 farther out."""
    (screw,) = survey('kind = "pocket", end = "B", face = "top", from_edge = 30, screw = 40, gauge = 8', PLACE).screws

    def at(along: float) -> tuple[float, float, float]:
        return round(40 - along * cos(radians(15)), 3), round(20 + along * sin(radians(15)), 3), 370

    assert rods(screw) == [
        ("bore", at(-10 / sin(radians(15)) - 17.7272), at(-16), 4.75, "rail", {"top"}),
        ("shank", at(-16), at(0), 2.083, "rail", {"B", "top"}),
        ("thread", at(0), at(24), 2.083, "leg", {"near"}),
    ]
    assert screw.goes_in == pytest.approx(24)


def test_a_piece_with_a_hollow_at_the_point_comes_last() -> None:
    """Two pieces around one point: the first has a mortise there, so the screw goes into the second."""

    def timber(name: str, hollow: bool = False) -> Timber:
        wood = box((0.0, 0.0, 0.0), (100.0, 100.0, 100.0))
        hollows = (("mortise", box((40.0, 40.0, 40.0), (60.0, 60.0, 60.0))),) if hollow else ()
        return Timber(key=(name, 1), part=None, solid=None, pose=Pose(), wood=wood, hollows=hollows)  # type: ignore[arg-type]

    mortised, whole, own = timber("mortised", True), timber("whole"), timber("own")
    find = finder({each.key: each for each in (own, mortised, whole)})
    assert find((50, 50, 50), own.key) is whole
    assert find((20, 20, 20), own.key) is mortised
    assert find((101, 50, 50), own.key) is None
    assert finder({each.key: each for each in (own, mortised)})((50, 50, 50), own.key) is mortised


def test_a_piece_as_long_as_a_house_is_found_too() -> None:
    """It reaches over more cells than are worth a list of their own."""
    wide = box((-9000.0, -9000.0, 0.0), (9000.0, 9000.0, 40.0))
    slab = Timber(key=("slab", 1), part=None, solid=None, pose=Pose(), wood=wide)  # type: ignore[arg-type]
    find = finder({slab.key: slab})
    assert find((8999.0, -8999.0, 20.0), ("rail", 1)) is slab
    assert find((0.0, 0.0, 41.0), ("rail", 1)) is None


def test_faces_that_are_tapered_after_drilling_are_cut_later() -> None:
    """The shop's saw may stray by 2 mm, unless it says otherwise."""
    taper = 'length = 300\ntapers = [{ edges = "far", start = 100, end = "A", leave = 60 }]\nroute = [%s]'
    holes = 'kind = "pocket", end = "B", from_edge = 30'
    for route, later in (('"cut", "drill", "taper"', {"taper 0"}), ('"cut", "taper", "drill"', set())):
        timbers = survey(holes, PLACE, taper % route).timbers
        assert set(timbers["rail", 1].later) - {"trimmed"} == later
        assert set(timbers["rail", 1].later.values()) == {2.0}


def test_only_the_largest_placed_assemblies_are_surveyed_and_a_part_without_a_place_alone() -> None:
    whole = '[[assemblies]]\nid = "whole"\njoins = { corner = 2 }\nby = "screws"\nplace = [\n' + (
        '  { assembly = "corner", at = { left = 0, front = 0 }, count = 2, step = { back = 200 } },\n]\n'
    )
    loaded = load_build(
        f'{HEAD}quantity = 2\n[[parts]]\nid = "rail"\nname = "Rail"\nquantity = 2\nwood = "oak"\nlength = 300\n'
        f'[[parts]]\nid = "lone"\nwood = "oak"\nlength = 200\n{LONE}\n'
        f"{PLACE}{whole}"
    )
    build = loaded.build
    assert build is not None, loaded.problems
    assert [each.id for each in largest_placed(build, Placer(build))] == ["whole"]
    first, alone = surveys(build)
    assert first.assembly == ("whole", 1)
    assert len(first.timbers) == 4
    assert (alone.assembly, set(alone.timbers)) == (None, {("lone", 1)})


@pytest.mark.parametrize(("wide", "found"), [("'24 mm'", True), ("'23 mm'", False)])
def test_a_piece_has_to_be_as_wide_as_twice_what_a_screw_keeps_from_an_edge(wide: str, found: bool) -> None:
    text = f'{HEAD}\n[[parts]]\nid = "rail"\nname = "Rail"\nwood = "oak"\nlength = 300\nwidth = {wide}\n'
    build = load_build(f"{text}{row(PLACES)}\n{PLACE}").build
    assert build is not None
    _, problems = with_places(build)
    narrow = [each.hint for each in problems if each.what == "Rail: no place is found for its screws"]
    why = "the piece is narrower than 24 mm: a screw keeps 12 mm from each edge"
    assert (why in narrow) is not found


@pytest.mark.parametrize(("copies", "said"), [(500, 0), (501, 1)])
def test_a_build_of_more_than_two_thousand_holes_is_not_searched(copies: int, said: int) -> None:
    """Four holes a rail: 500 rails have 2000."""
    part = f'\n[[parts]]\nid = "rail"\nname = "Rail"\nquantity = {copies}\nwood = "oak"\nlength = 300\n'
    fixed = load_build(f"{HEAD}{part}" + row("kind = 'pocket', end = 'both', from_edge = [30, 70]")).build
    assert fixed is not None
    what = "a build of more than 2000 holes isn't checked for screws that run into each other"
    assert [each.what for each in screw_problems(fixed)].count(what) == said
    asked = load_build(f"{HEAD}{part}" + row("kind = 'pocket', end = 'both', places = 2")).build
    assert asked is not None
    what = "Rail: in a build of more than 2000 holes no places are found"
    assert [each.what for each in with_places(asked)[1]].count(what) == said
