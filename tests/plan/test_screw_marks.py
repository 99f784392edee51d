"""Screws are proposed at marks of the tape only, and never nearer to an edge than is said."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace
from plan.made import SHOP, build, part

from tracker.measure import Mark, inches, millimetres
from tracker.plan.screws.proposing import EDGE, marks_between

TAPES = (Mark("mm", Fraction(1)), Mark("mm", Fraction(1, 2)), Mark("in", Fraction(1, 16)), Mark("in", Fraction(1, 8)))


@pytest.mark.parametrize("mark", TAPES, ids=str)
@pytest.mark.parametrize("width", [millimetres(40), millimetres(83), inches("3 1/2"), inches("2 1/16")])
def test_every_mark_between_the_edges_is_tried_and_no_other(mark: Mark, width: object) -> None:
    made = part(width=width)
    found = marks_between(build(made, shop=replace(SHOP, mark=mark)), made)
    step, wide = float(mark.length), float(made.width)
    wanted = [step * count for count in range(2000) if EDGE - 1e-9 <= step * count <= wide - EDGE + 1e-9]
    assert [float(each) for each in found] == pytest.approx(wanted)
