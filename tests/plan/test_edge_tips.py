"""A taper is marked out along its own edge, from tip to tip on whichever face is longer there: against the corners of
the solid, for every way of cutting the ends."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from plan.made import part
from scipy.spatial import ConvexHull
from shapely.geometry import MultiPoint, Point, Polygon

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


@pytest.mark.parametrize(("a", "b"), list(product(CUTS, repeat=2)))
def test_a_piece_is_the_hull_of_its_corners(a: EndCut, b: EndCut) -> None:
    """Against scipy and shapely: its volume, its outline from above, and its section at any height."""
    made = solid(part(ends=EndCuts(a=a, b=b)), None)
    corners = np.array(made.corners)
    assert made.volume == pytest.approx(ConvexHull(corners).volume, rel=1e-9)
    assert made.weight(700.0) == pytest.approx(ConvexHull(corners).volume * 700 / 1e9)
    assert made.weight(None) is None
    outline = Polygon(made.silhouette())
    assert outline.exterior.is_ccw
    assert outline.symmetric_difference(MultiPoint(corners[:, :2]).convex_hull).area < 1e-6
    for z in (0.0, 7.0, 20.0):
        low, high = [*corners[0:2], *corners[4:6]], [*corners[2:4], *corners[6:8]]
        cut = [(1 - z / 20) * under + z / 20 * over for under, over in zip(low, high, strict=True)]
        section = Polygon(made.section(z))
        assert section.symmetric_difference(MultiPoint([point[:2] for point in cut]).convex_hull).area < 1e-6
        middle = (*section.centroid.coords[0], z)
        assert made.inset(middle) == pytest.approx(section.exterior.distance(Point(middle[:2])))
        assert made.inset((-5.0, 40.0, z)) < 0
    assert made.square is (a.square and b.square)
    assert made.needs_trim() is not made.square
    assert solid(part(ends=EndCuts(a=a, b=b), allowance=3), None).needs_trim()


@pytest.mark.parametrize(("grain", "along", "across"), [("along", 610, 80), ("across", 80, 610)])
def test_what_a_blank_takes_of_a_board(grain: str, along: int, across: int) -> None:
    made = solid(part(allowance=10, grain=grain), None)
    assert (made.along_board, made.across_board) == (millimetres(along), millimetres(across))
