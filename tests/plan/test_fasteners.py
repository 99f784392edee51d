"""What goes into a hole where the file doesn't say, and the pocket that it lies in. Common practice, no source; a
number 8 screw is 0.060 + 8 · 0.013 = 0.164 in (ANSI B18.6.1, from memory)."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import pytest
from made import WOOD, build, mm, part
from msgspec.structs import replace

from tracker.design.model import Hole
from tracker.measure import Length, inches, millimetres
from tracker.plan.cuts import PieceCuts, piece_cuts
from tracker.plan.fasteners import dowel_depth, fastener_of, pilot_of, pocket_of, pocket_seat, through
from tracker.plan.hand_clearance import too_small
from tracker.plan.pocket_holes import pocket
from tracker.plan.setups import plan_setups


def hole(kind: Any, **more: Any) -> Hole:
    return Hole(kind=kind, end="A", from_edge=(millimetres(20),), face=more.pop("face", "top"), **more)


def of(kind: str, thickness: float, units: Any = "mm", **more: Any) -> tuple[float | None, float, int | None, set[str]]:
    mine = part(thickness=millimetres(thickness))
    found = fastener_of(replace(build(mine), units=units), mine, hole(kind, **more))
    length = None if found.length is None else mm(found.length)
    return length, round(mm(found.diameter), 3), found.gauge, set(found.usual)


EIGHT, SIX, TEN = 4.166, 3.505, 4.826
BOTH = {"length", "gauge"}


@pytest.mark.parametrize(
    ("kind", "thickness", "more", "wanted"),
    [
        ("pocket", 19, {}, (30, EIGHT, 8, BOTH)),
        ("pocket", 19, {"units": "in"}, (31.75, EIGHT, 8, BOTH)),
        ("pocket", 60, {}, (None, EIGHT, 8, BOTH)),
        ("pocket", 19, {"fastener": millimetres(25), "gauge": 6}, (25, SIX, 6, set())),
        # more than the piece is thick, and at most twice as long
        ("screw", 20, {}, (40, EIGHT, 8, BOTH)),
        ("screw", 20, {"recess": millimetres(5)}, (30, EIGHT, 8, BOTH)),
        ("screw", 20, {"units": "in"}, (38.1, EIGHT, 8, BOTH)),
        ("screw", 12, {}, (20, SIX, 6, BOTH)),
        ("screw", 30, {}, (60, TEN, 10, BOTH)),
        ("screw", 7, {}, (None, SIX, 6, BOTH)),
        ("screw", 8, {}, (16, SIX, 6, BOTH)),
        ("screw", 20, {"face": "near"}, (160, TEN, 10, BOTH)),  # through the width, 80 mm
        ("bolt", 20, {"fastener": millimetres(60), "diameter": millimetres(6)}, (60, 6, None, set())),
        ("bolt", 20, {}, (None, 0, None, set())),
        ("dowel", 20, {"depth": millimetres(18), "diameter": millimetres(8)}, (36, 8, None, set())),
        ("dowel", 20, {"fastener": millimetres(30), "depth": millimetres(18)}, (30, 0, None, set())),
    ],
)
def test_what_goes_into_a_hole(kind: str, thickness: float, more: dict[str, Any], wanted: tuple[object, ...]) -> None:
    assert of(kind, thickness, **more) == wanted


def test_a_dowel_goes_half_into_its_own_piece() -> None:
    assert dowel_depth(hole("dowel", depth=millimetres(12), fastener=millimetres(40))) == millimetres(12)
    assert dowel_depth(hole("dowel", fastener=millimetres(40))) == millimetres(20)
    assert dowel_depth(hole("dowel")) == millimetres(0)
    assert through(part(), hole("screw", face="far")) == millimetres(80)
    assert through(part(), hole("screw", face="bottom")) == millimetres(20)


@pytest.mark.parametrize(("species", "drill"), [("white oak", "1/8"), ("eastern white pine", "7/64"), ("x", "1/8")])
def test_the_pilot_is_larger_in_hardwood_and_in_a_wood_that_is_not_known(species: str, drill: str) -> None:
    mine = part()
    assert pilot_of(build(mine, wood=replace(WOOD, species=species)), mine, 8) == inches(drill)
    assert pilot_of(build(mine), mine, 7) is None


def test_a_pocket_by_plane_geometry() -> None:
    """In 20 mm stock with a bore of 9.5: the bore's side is 4.75 cos 15° = 4.588 off the axis, measured square to the
    face. Seated at 0.8 · 20 = 16 from the end, 10 + 16 sin 15° - 4.588 = 9.553 mm are left under it; just under the
    face it would be (10 - 4.588) / sin 15° = 20.91 deep."""
    off = 4.75 * cos(radians(15))
    found = pocket(20)
    assert (found.seat, found.deepest) == (pytest.approx(16), pytest.approx((10 - off) / sin(radians(15))))
    assert found.under == pytest.approx(10 + 16 * sin(radians(15)) - off)
    assert pocket(12).seat == pytest.approx(pocket(12).deepest), "in thin stock no deeper than just under the face"
    assert pocket(12).deepest == pytest.approx((6 - off) / sin(radians(15)))
    mine = part(thickness=millimetres(20))
    assert pocket_of(mine, hole("pocket")) == found
    assert pocket_seat(mine, hole("pocket")) == Length.of(16.0, "mm")
    given = hole("pocket", shoulder=millimetres(11), bore=millimetres(8))
    assert pocket_seat(mine, given) == millimetres(11)
    assert pocket_of(mine, given) == pocket(20, 11.0, 8.0)
    assert pocket_of(mine, given).under == pytest.approx(10 + 11 * sin(radians(15)) - 4 * cos(radians(15)))


def test_six_inches_are_far_enough_from_the_blade() -> None:
    assert not too_small(inches(6))
    assert too_small(inches("5 63/64"))


def passes(**changes: Any) -> PieceCuts:
    mine = part(**changes)
    made = build(mine)
    return piece_cuts(made, plan_setups(made), mine, 1)


def test_either_end_may_be_cut_first() -> None:
    """Whichever is cut first has no stop, and the other is cut against the stop at the finished length."""
    found = passes(allowance=20)
    for first, second in (("A", "B"), ("B", "A")):
        one, two = found.end(first, ()), found.end(second, (first,))  # type: ignore[arg-type]
        assert (one.end, one.first, one.stop, mm(one.set)) == (first, True, None, 10)
        assert (two.end, two.first, two.stop and mm(two.stop), mm(two.set)) == (second, False, 600, 600)
        assert found.others(one) == (two,) if first == found.ends[0].end else [each.end for each in found.others(one)]
        assert one.square
    assert [each.end for each in found.of("trim")] == [each.end for each in found.ends]
    assert [each.end for each in found.of("cut")] == [None]
    with pytest.raises(KeyError):
        passes(route=("glue",)).end("A")


def test_a_narrow_rip_and_a_short_one_and_their_cautions() -> None:
    """6 in is the limit across the fence and along the piece."""
    for width, length, caution in ((152.4, 600, ""), (152.3, 600, "narrow"), (152.4, 152.3, "rip")):
        (rip,) = passes(width=millimetres(width), length=length).of("rip")
        assert (rip.small, bool(rip.warning)) == (caution == "rip", caution != "")
        assert ("Push stick" in rip.words, "rip a long strip" in rip.words) == (caution == "narrow", caution == "rip")
