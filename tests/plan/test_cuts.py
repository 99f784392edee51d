"""The passes of a piece: in the order of the setups, the first end without a stop, the second against it."""

from __future__ import annotations

from typing import Any

import pytest
from made import SHOP, WOOD, ends, mm, part
from made import build as of_wood
from msgspec.structs import replace

from tracker.design.model import Build, EndCut, EndCuts, Part, RingJoint
from tracker.measure import millimetres
from tracker.plan.cuts import PieceCuts, piece_cuts
from tracker.plan.hand_clearance import JIG
from tracker.plan.setups import plan_rips, plan_setups


def build(line: Part, **changes: Any) -> Build:
    """A build with wood as wide as the part, so that nothing is ripped unless the route says so."""
    return of_wood(line, wood=replace(WOOD, width=line.width), **changes)


def cuts(line: Part, number: int = 1) -> PieceCuts:
    made = build(line)
    return piece_cuts(made, plan_setups(made), line, number)


def test_the_blank_then_both_ends_the_second_against_the_stop() -> None:
    found = cuts(part(id="side", quantity=6, allowance=25, ends=RingJoint(sides=6, lean=10)))
    blank, one, two = found.passes
    assert (blank.end, blank.operation, blank.angles) == (None, "cut", "square")
    assert mm(blank.set) == mm(blank.check) == mm(blank.stop or blank.check * 0) == 625
    assert [(each.operation, each.first) for each in (one, two)] == [("trim", True), ("trim", False)]
    assert {one.end, two.end} == {"A", "B"}
    assert one.stop is None
    assert mm(one.set) == 12.5, "the mark: half of what the blank is longer"
    assert two.stop is not None
    assert mm(two.stop) == mm(two.set) == 600
    assert mm(two.check) == 600
    assert found.ends == (one, two)
    assert found.of("trim") == (one, two)
    assert found.of("cut") == (blank,)
    assert found.of("rip") == ()


@pytest.mark.parametrize("allowance", [0, 30])
@pytest.mark.parametrize("pair", [(0, 0), (30, 30), (30, 0), (0, 30)])
def test_the_order_is_that_of_the_setups(pair: tuple[float, float], allowance: int) -> None:
    line = part(id="rail", quantity=3, allowance=allowance, ends=ends(*pair))
    plan = plan_setups(build(line))
    found = piece_cuts(build(line), plan, line, 2)
    planned = [cut for setup in plan.setups for cut in setup.cuts if cut.piece == 2]
    assert [(each.end, each.stop) for each in found.passes] == [(cut.end, cut.stop) for cut in planned]
    assert [each.first for each in found.ends] == [True, False]
    assert {each.end for each in found.ends} == {"A", "B"}
    assert found.ends[0].stop is None


def test_an_end_that_the_blank_s_cut_finishes_is_made_first() -> None:
    found = cuts(part(ends=ends(30, 0)))
    assert [(each.end, each.operation, each.first) for each in found.ends] == [("B", "cut", True), ("A", "trim", False)]
    assert [each.end for each in found.passes] == [None, "A"]
    assert found.ends[1].stop is not None
    square = cuts(part())
    assert [each.end for each in square.passes] == [None]
    assert [each.end for each in square.ends] == ["A", "B"]
    assert square.ends[1].stop == square.passes[0].stop


def test_the_long_point_sets_the_stop_and_the_measured_length_is_checked() -> None:
    line = part(ends=ends(45, 45), measured="short", allowance=20)
    two = cuts(line).ends[1]
    assert two.stop is not None
    assert mm(two.stop) == pytest.approx(600 + 2 * 80)
    assert mm(two.check) == 600


def test_a_rip_is_a_pass_of_its_own_between_the_blank_and_the_trims() -> None:
    line = part(id="slat", width=57, allowance=10, route=("cut", "rip", "trim"))
    found = cuts(line)
    assert [each.operation for each in found.passes] == ["cut", "rip", "trim", "trim"]
    rip = found.of("rip")[0]
    assert (mm(rip.set), mm(rip.check), rip.stop, rip.end) == (57, 57, None, None)
    assert "Rip fence at 2\u20091⁄4″" in rip.words
    assert "ush stick" in rip.words
    assert [(mm(each.fence), each.pieces) for each in plan_rips(build(line))] == [(57, (("slat", 1),))]


def test_a_part_that_is_narrower_than_its_wood_is_ripped_unless_its_route_says_otherwise() -> None:
    narrow = part(id="lath", width=40)
    made = of_wood(narrow, wood=replace(WOOD, width=millimetres(100)))
    assert [mm(each.fence) for each in plan_rips(made)] == [40]
    assert plan_rips(of_wood(replace(narrow, route=("cut",)))) == ()
    assert plan_rips(build(narrow)) == ()


def test_a_route_without_saw_work_has_no_passes() -> None:
    assert cuts(part(route=("glue",))).passes == ()
    assert cuts(part(route=("glue",))).ends == ()


@pytest.mark.parametrize("ends_", [EndCuts(), ends(45, 45)])
@pytest.mark.parametrize(("length", "small"), [(14, True), (152, True), (153, False)])
def test_what_a_hand_would_come_too_near_to_asks_for_a_jig_and_no_stop(
    length: float, small: bool, ends_: EndCuts
) -> None:
    """6 in (152.4 mm) is common practice, no source."""
    line = part(length=length, width=10, thickness=3, ends=ends_)
    made = build(line)
    plan = plan_setups(made)
    found = piece_cuts(made, plan, line, 1)
    for each in (*found.passes, *found.ends):
        assert each.small is small
        assert ("jig" in each.words and "long strip" in each.words) is small
        if small:
            assert each.stop is None
            assert "stop block" not in each.words
    assert any(each.stop for each in found.passes) is not small
    assert all(setup.stop is None for setup in plan.setups) is small


def test_a_short_piece_is_never_ripped() -> None:
    rip = cuts(part(length=100, width=20, route=("cut", "rip"))).of("rip")[0]
    assert rip.small
    assert "rip a long strip first" in rip.words


def test_what_is_asked_for_near_the_hand_fits_on_a_card() -> None:
    """A card has room for 88 characters, and a caution is the last thing to leave out."""
    assert all(len(words) <= 80 for words in JIG.values())


def test_what_the_saw_cannot_reach_is_cut_to_a_mark() -> None:
    shop = replace(SHOP, max_bevel=0.0)
    line = part(ends=EndCuts(b=EndCut(miter=10, bevel=10)), allowance=millimetres(20))
    made = build(line, shop=shop)
    found = piece_cuts(made, plan_setups(made), line, 1)
    last = next(each for each in found.ends if each.end == "B")
    assert not last.possible
    assert last.stop is None
    assert "not on this saw" in last.words.lower()
