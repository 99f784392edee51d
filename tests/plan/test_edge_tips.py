"""A taper is marked out along its own edge, from tip to tip on whichever face is longer there: against the corners of
the solid, for every way of cutting the ends."""

from __future__ import annotations

from itertools import product

import pytest
from plan.made import part

from tracker.design.model import EndCut, EndCuts, Hand, Taper
from tracker.measure import millimetres
from tracker.plan.geometry import solid

CUTS = [
    EndCut(miter=miter, bevel=bevel, long=long, long_face=face)  # type: ignore[arg-type]
    for miter, bevel, long, face in ((0, 0, "far", "top"), (20, 0, "near", "top"), (0, 30, "far", "bottom"),
                                     (15, 25, "far", "top"), (15, 25, "near", "bottom"))
]  # fmt: skip


@pytest.mark.parametrize(("a", "b"), list(product(CUTS, repeat=2)))
@pytest.mark.parametrize(("edge", "end", "hand"), [
    ("near", "A", None), ("far", "A", None), ("near", "B", None), ("far", "B", None), ("near", "B", "right"),
])  # fmt: skip
def test_a_taper_runs_from_tip_to_tip(a: EndCut, b: EndCut, edge: str, end: str, hand: Hand | None) -> None:
    taper = Taper(edges=edge, end=end, start=millimetres(120), leave=millimetres(50))  # type: ignore[arg-type]
    pair = {"left": 1, "right": 1} if hand else {}
    made = solid(part(tapers=(taper,), ends=EndCuts(a=a, b=b), **pair), hand)
    own = {"near": "far", "far": "near"}[edge] if hand == "right" else edge
    left = min(made.corner("A", own, face)[0] for face in ("top", "bottom"))  # type: ignore[arg-type]
    right = max(made.corner("B", own, face)[0] for face in ("top", "bottom"))  # type: ignore[arg-type]
    (shape,) = made.tapers
    assert shape.edge == own
    assert float(shape.end_x) == pytest.approx(right if end == "B" else left)
    assert float(shape.start_x) == pytest.approx(left + 120 if end == "B" else right - 120)
    assert float(shape.depth) == pytest.approx(30)
    assert float(shape.length) == pytest.approx(right - left - 120)
    assert min(corner[0] for corner in made.corners) == pytest.approx(0)
    assert max(corner[0] for corner in made.corners) == pytest.approx(float(made.edges.overall))
    for name in ("near_top", "far_top", "near_bottom", "far_bottom"):
        side, face = name.split("_")
        length = made.corner("B", side, face)[0] - made.corner("A", side, face)[0]  # type: ignore[arg-type]
        assert float(getattr(made.edges, name)) == pytest.approx(length)
    four = (made.edges.near_top, made.edges.far_top, made.edges.near_bottom, made.edges.far_bottom)
    assert float(made.edges.middle) == pytest.approx(sum(map(float, four)) / 4)
    assert float(max(four)) == pytest.approx(600)


@pytest.mark.parametrize("sizes", [{"width": 0}, {"thickness": 0}])
def test_a_piece_without_a_size_has_no_shape(sizes: dict[str, int]) -> None:
    with pytest.raises(ValueError, match=r"^the width and the thickness must be more than nothing$"):
        solid(part(**sizes), None)


def test_a_piece_without_a_length_has_no_shape() -> None:
    with pytest.raises(ValueError, match=r"^the length is missing$"):
        solid(part(length=None), None)
