"""What ends and tapers leave of a board, as convex bodies, against polygons of another library (shapely).

With bevels upright the cells are the board's outline, as shapely cuts it, times its thickness; a bevel is a frustum's
mean of both faces.
"""

from __future__ import annotations

from itertools import product
from math import radians, sin, tan

import pytest
from plan.made import build, part
from shapely.geometry import Polygon
from shapely.ops import unary_union

from tracker.design.model import EndCut, EndCuts, Lap, Taper
from tracker.measure import millimetres
from tracker.plan.geometry import solid
from tracker.plan.laps import laps_of
from tracker.plan.place.bodies import Body
from tracker.plan.place.cells import cells_of

LONG, WIDE, THICK = 600.0, 80.0, 20.0


def drawn(miter_a: float, miter_b: float, a_long: str, b_long: str) -> Polygon:
    """The board from above, its longest edge 600 mm: each end's short corner is set back by the mitre's tangent."""
    back_a, back_b = WIDE * tan(radians(miter_a)), WIDE * tan(radians(miter_b))
    near = (0.0 if a_long == "near" else back_a, 0.0 if b_long == "near" else back_b)
    far = (0.0 if a_long == "far" else back_a, 0.0 if b_long == "far" else back_b)
    over = max(LONG - sum(near), LONG - sum(far)) - LONG  # parallel ends: no edge is as long as tip to tip
    long = LONG - over
    return Polygon([(near[0], 0), (long - near[1], 0), (long - far[1], WIDE), (far[0], WIDE)])


def from_above(bodies: tuple[Body, ...]) -> Polygon:
    return unary_union([Polygon([c[:2] for c in body.points]).convex_hull for body in bodies])


def volume(bodies: tuple[Body, ...]) -> float:
    return sum(body.volume for body in bodies)


@pytest.mark.parametrize(("a_long", "b_long"), list(product(("near", "far"), repeat=2)))
@pytest.mark.parametrize(("a", "b"), [(0, 0), (15, 0), (0, 30), (20, 45)])
def test_mitred_ends_leave_the_polygon_times_the_thickness(a: float, b: float, a_long: str, b_long: str) -> None:
    ends = EndCuts(a=EndCut(miter=a, long=a_long), b=EndCut(miter=b, long=b_long))  # type: ignore[arg-type]
    cells, outline = cells_of(solid(part(ends=ends), None)), drawn(a, b, a_long, b_long)
    assert len(cells) == 1
    assert volume(cells) == pytest.approx(outline.area * THICK, rel=1e-9)
    found = from_above(cells)
    assert found.bounds[2] - found.bounds[0] == pytest.approx(outline.bounds[2] - outline.bounds[0], rel=1e-9)
    moved = Polygon([(x - found.bounds[0], y) for x, y in found.exterior.coords])
    assert moved.symmetric_difference(outline).area == pytest.approx(0, abs=1e-4)


@pytest.mark.parametrize("face", ["top", "bottom"])
@pytest.mark.parametrize("angle", [10.0, 45.0])
def test_a_bevel_takes_a_wedge_off_the_other_face(face: str, angle: float) -> None:
    ends = EndCuts(b=EndCut(bevel=angle, long_face=face))  # type: ignore[arg-type]
    cells = cells_of(solid(part(ends=ends), None))
    back = THICK * tan(radians(angle))
    assert volume(cells) == pytest.approx(WIDE * THICK * (LONG - back / 2))
    longest = max((c for body in cells for c in body.points), key=lambda corner: corner[0])
    assert longest[2] == pytest.approx(THICK if face == "top" else 0.0)
    assert longest[0] == pytest.approx(LONG)


@pytest.mark.parametrize("end", ["A", "B"])
@pytest.mark.parametrize("edges", ["near", "far", "both"])
def test_a_taper_takes_a_triangle_off_its_own_edge_at_its_own_end(edges: str, end: str) -> None:
    """From 50 mm wide at the end to the full 80 over 240 mm."""
    taper = Taper(edges=edges, end=end, length=millimetres(240), leave=millimetres(50))  # type: ignore[arg-type]
    made = part(tapers=(taper,))
    cells = cells_of(solid(made, None))
    tip, begin = (LONG, LONG - 240) if end == "B" else (0.0, 240.0)
    deep = 15.0 if edges == "both" else 30.0
    waste = []
    if edges != "far":
        waste.append(Polygon([(begin, 0), (tip, 0), (tip, deep)]))
    if edges != "near":
        waste.append(Polygon([(begin, WIDE), (tip, WIDE), (tip, WIDE - deep)]))
    left = Polygon([(0, 0), (LONG, 0), (LONG, WIDE), (0, WIDE)]).difference(unary_union(waste))
    assert volume(cells) == pytest.approx(left.area * THICK)
    assert from_above(cells).symmetric_difference(left).area == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("face", ["top", "bottom"])
@pytest.mark.parametrize("angle", [90.0, 70.0, 35.0])
@pytest.mark.parametrize("end", ["A", "B"])
def test_a_half_lap_takes_its_trench_and_nothing_else(end: str, angle: float, face: str) -> None:
    """The trench is as wide as the piece that crosses it, 60 mm, square to its shoulders, and half as deep as the wood;
    from above nothing is missing."""
    crossing = {"end": end, "from_end": millimetres(200), "angle": angle}
    one = part(id="one", laps=(Lap(crosses="two", face=face, **crossing),))  # type: ignore[arg-type]
    other = "bottom" if face == "top" else "top"
    two = part(id="two", width=60, laps=(Lap(crosses="one", face=other, **crossing),))  # type: ignore[arg-type]
    laps = laps_of(build(one, two), one, None)
    cells = cells_of(solid(one, None), laps)
    trench = WIDE * 60 / sin(radians(angle))
    assert volume(cells) == pytest.approx(LONG * WIDE * THICK - trench * THICK / 2)
    assert from_above(cells).area == pytest.approx(LONG * WIDE)
    (middle,) = [cell for cell in cells if "lap" in {name for name, _ in cell.faces}]
    assert middle.volume == pytest.approx(trench * THICK / 2)
    heights = {round(point[2], 6) for point in middle.points}
    assert heights == ({0.0, 10.0} if face == "top" else {10.0, 20.0})
    (lap,) = laps
    drawn_trench = Polygon([(lap.shoulders[0][0], 0), (lap.shoulders[1][0], 0), (lap.shoulders[1][1], WIDE),
                            (lap.shoulders[0][1], WIDE)])  # fmt: skip
    assert from_above((middle,)).symmetric_difference(drawn_trench).area == pytest.approx(0, abs=1e-6)
    assert all(cell.volume > 1 for cell in cells)
    assert len(cells) == 3
    nearest = min(x if end == "A" else LONG - x for pair in lap.shoulders for x in pair)
    assert nearest <= 200 <= nearest + WIDE / tan(radians(angle)) + 1e-6, "200 mm from the end along one edge"


@pytest.mark.parametrize("end", ["A", "B"])
def test_the_right_hand_piece_is_the_mirror_image(end: str) -> None:
    taper = Taper(edges="near", end=end, length=millimetres(240), leave=millimetres(50))  # type: ignore[arg-type]
    ends = EndCuts(a=EndCut(miter=20, long="near"), b=EndCut(miter=10, bevel=15))
    left, right = (
        from_above(cells_of(solid(part(tapers=(taper,), ends=ends, left=1, right=1), hand)))
        for hand in ("left", "right")
    )  # type: ignore[arg-type]
    mirrored = Polygon([(x, WIDE - y) for x, y in left.exterior.coords])
    assert mirrored.symmetric_difference(right).area == pytest.approx(0, abs=1e-6)
