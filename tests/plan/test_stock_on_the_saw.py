"""The stock as it lies on the saw, corner by corner, worked out by hand.

A piece 600 × 80 × 20 mm with an allowance of 20, its end B mitred by 45°, longer at the far edge; a kerf of 3 mm, which
at 45° takes 3 · √2 = 4.243 along the fence. x is 0 at the tip of the end that is cut, y is 0 at the fence."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from made import build, ends, part
from msgspec.structs import replace

from tracker.design.model import EndCut, EndCuts
from tracker.plan.cuts import PieceCuts, piece_cuts
from tracker.plan.geometry import solid
from tracker.plan.piece_on_saw import OnSaw, lay_on_saw
from tracker.plan.setups import plan_setups

KERF, ALONG = 3.0, 3 * 2**0.5


def cuts(**changes: object) -> tuple[PieceCuts, object]:
    mine = part(allowance=20, **changes)
    made = build(mine)
    return piece_cuts(made, plan_setups(made), mine, 1), solid(mine)


def corners(block: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    return sorted((round(x, 3) + 0.0, round(y, 3) + 0.0) for x, y in block)


def box(left: float, right: float, top: float = 0.0, low: float = -80.0) -> list[tuple[float, float]]:
    return sorted([(left, low), (left, top), (right, low), (right, top)])


def test_a_blank_and_seven_tenths_of_a_width_of_the_board_beyond_it() -> None:
    found, piece = cuts(ends=ends(0, 45))
    laid = lay_on_saw(piece, found.passes[0], (), KERF)  # type: ignore[arg-type]
    assert corners(laid.kept.upper) == corners(laid.kept.lower) == box(-620, 0)
    assert corners(laid.kerf) == box(0, 3)
    assert corners(laid.waste.upper) == corners(laid.waste.lower) == box(3, 56)
    assert (laid.breadth, laid.height, laid.kept_left) == (80, 20, True)
    assert laid.line == laid.under == ((0, 0), (0, -80))
    assert laid.ends == ((-620, -40), (0, -40))
    assert (laid.long_point, laid.far_point) == ((0, -80), (-620, -80))


def of_end(found: PieceCuts, end: str, first: bool) -> tuple[object, tuple[object, ...]]:
    each = next(each for each in (*found.ends, *found.swapped) if each.end == end and each.first == first)
    return each, () if first else found.others(each)


@pytest.mark.parametrize(("first", "reach"), [(True, -610.0), (False, -600.0)])
def test_a_mitre_at_end_b_with_the_other_end_rough_or_finished(first: bool, reach: float) -> None:
    """Half of the allowance is at each end. The far edge is at the fence, and the handle swings to the left."""
    found, piece = cuts(ends=ends(0, 45))
    each, others = of_end(found, "B", first)
    laid = lay_on_saw(piece, each, others, KERF)  # type: ignore[arg-type]
    assert corners(laid.kept.upper) == sorted([(reach, -80), (reach, 0), (-80, -80), (0, 0)])
    assert corners(laid.kerf) == corners([(-80, -80), (0, 0), (-80 + ALONG, -80), (ALONG, 0)])
    assert corners(laid.waste.upper) == corners([(-80 + ALONG, -80), (ALONG, 0), (10, -80), (10, 0)])
    assert corners(laid.line) == [(-80, -80), (0, 0)]
    assert laid.line[0] == pytest.approx((0, 0)), "the point nearer the fence comes first"
    assert laid.line == laid.under, "the blade is upright"
    assert laid.ends == (pytest.approx((reach, -40)), pytest.approx((-40, -40)))
    assert laid.long_point == pytest.approx((0, 0))
    assert laid.far_point[0] == pytest.approx(reach)
    assert (laid.breadth, laid.height, laid.kept_left) == (80, 20, True)


def test_a_kerf_wider_than_the_allowance_ends_where_the_stock_ends() -> None:
    """10 mm are left at end B, and a blade of 12 takes them all: there is no waste."""
    found, piece = cuts()
    each, others = of_end(found, "B", True)
    laid = lay_on_saw(piece, each, others, 12.0)  # type: ignore[arg-type]
    assert corners(laid.kerf) == box(0, 12)
    assert corners(laid.waste.upper) == box(12, 12)


def test_a_bevel_is_farther_along_on_the_lower_side_than_on_the_upper() -> None:
    """45° through 20 mm: 20 mm. Tilted left, the blade is farther right below, whichever face is up."""
    found, piece = cuts(ends=EndCuts(b=EndCut(bevel=45)))
    each, others = of_end(found, "B", True)
    laid: OnSaw = lay_on_saw(piece, each, others, KERF)  # type: ignore[arg-type]
    upper, lower = ({round(x, 3) + 0.0 for x, _ in line} for line in (laid.line, laid.under))
    assert (upper, lower) == (({-20.0}, {0.0}) if laid.kept_left else ({0.0}, {20.0}))
    wide = [x for x, _ in laid.kerf]
    assert max(wide) - min(wide) == pytest.approx(ALONG)


def test_a_piece_that_lies_otherwise_is_refused() -> None:
    found, piece = cuts(ends=ends(0, 45))
    each, others = of_end(found, "B", True)
    with pytest.raises(ValueError, match="a piece that lies so is cut at its other end, not at end B"):
        lay_on_saw(piece, replace(each, piece="right of the blade"), others, KERF)  # type: ignore[arg-type, type-var]
    with pytest.raises(ValueError, match="top face can't be up with the bottom face against the fence"):
        lay_on_saw(piece, replace(each, fence="bottom face"), others, KERF)  # type: ignore[arg-type, type-var]
