"""The drawing of a piece measured with a ruler: half-laps, blanks, bevelled and mitred ends, holes, both faces up.

The corners of an end are worked out by trigonometry from the angles in the file, not from the program's solid.
"""

from __future__ import annotations

from itertools import product
from math import cos, radians, tan

import pytest
from msgspec.structs import replace
from shapely import Polygon

from tracker.cards.piece.drawing import FINISHED, Drawing, Progress, draw
from tracker.design.model import EdgeName, EndCut, EndCuts, FaceName, Hole, Part, Taper
from tracker.measure import millimetres
from tracker.plan.geometry import solid
from tracker.plan.laps import LapShape

WIDE, THICK = 80.0, 20.0
RAIL = Part(
    id="rail", name="Rail", quantity=1, wood="oak", length=millimetres(600), measured="overall",
    width=millimetres(80), thickness=millimetres(20), allowance=millimetres(30), ends=EndCuts(),
    left=0, right=0, rings=0.0, labels=True, line=0,
)  # fmt: skip
EDGES: tuple[EdgeName, ...] = ("near", "far")
FACES: tuple[FaceName, ...] = ("top", "bottom")


def drawn(ends: EndCuts, up: FaceName = "top", **done: bool) -> Drawing:
    return draw(solid(replace(RAIL, ends=ends)), done=replace(FINISHED, **done), up=up)


@pytest.mark.parametrize(("end", "edge", "face"), [*product("AB", EDGES, FACES)])
def test_each_end_is_drawn_as_its_angles_say(end: str, edge: EdgeName, face: FaceName) -> None:
    """Mitre 20° takes 80 × tan 20° from the shorter edge. Bevel 10°, the tilt of the blade, takes 20 × tan 10° square
    to the cut, and that divided by cos 20° along the piece, from the shorter face. Only where the upper face is the
    longer one an edge of the lower face is hidden under it."""
    cut = EndCut(miter=20, long=edge, bevel=10, long_face=face)
    mitre, bevel = WIDE * tan(radians(20)), THICK * tan(radians(10)) / cos(radians(20))
    for up in FACES:
        drawing = drawn(EndCuts(a=cut) if end == "A" else EndCuts(b=cut), up)
        longer = face == up
        assert Polygon(drawing.outline).exterior.is_ccw
        back = 0.0 if longer else bevel
        x = back if end == "A" else 600 - back  # where the longer edge of the upper face ends
        far = (edge == "far") == (up == "top")  # turned over, the edges have changed places
        tip = (x, WIDE if far else 0.0)
        note = drawing.ends[0 if end == "A" else 1]
        assert note.long_point == pytest.approx(tip, abs=1e-6)
        assert Polygon(drawing.top_face).area == pytest.approx(WIDE * (600 - back - mitre / 2), rel=1e-9)
        assert len(drawing.hidden) == (1 if longer else 0)
        for line in drawing.hidden:
            (x0, y0), (x1, y1) = sorted(line, key=lambda point: point[1])
            assert (y0, y1) == pytest.approx((0, WIDE))
            near, other = (0.0, mitre) if not far else (mitre, 0.0)
            if end == "A":
                assert (x0, x1) == pytest.approx((bevel + near, bevel + other), abs=1e-6)
            else:
                assert (x0, x1) == pytest.approx((600 - bevel - near, 600 - bevel - other), abs=1e-6)
        assert (note.miter, note.bevel, note.square, note.upper_longer) == ("20°", "10°", False, longer)
        assert note.swing == f"{edge} edge and {face} face longer"
        square = drawing.ends[1 if end == "A" else 0]
        assert (square.miter, square.bevel, square.square, square.swing) == ("", "", True, "")


def test_a_bevel_alone_is_said_by_its_face() -> None:
    note = drawn(EndCuts(a=EndCut(bevel=10, long_face="bottom"))).ends[0]
    assert (note.swing, note.long_point, note.miter_word) == ("bottom face longer", None, "mitre")
    assert draw(solid(RAIL), units="in").ends[0].miter_word == "miter"


@pytest.mark.parametrize("reverse", [False, True])
@pytest.mark.parametrize("face", FACES)
def test_a_trench_is_as_wide_as_it_says_from_either_end(reverse: bool, face: FaceName) -> None:
    """From end B the nearer shoulder is at the right; drawn turned over, the trench leans the other way."""
    pairs = ((100.0, 110.0), (160.0, 170.0))
    lap = LapShape(
        crosses="rail", end="B" if reverse else "A", face=face, edge="near", from_end=millimetres(100),
        along=millimetres(60), depth=millimetres(10), miter=0.0, shoulders=pairs[::-1] if reverse else pairs, row=0,
    )  # fmt: skip
    for up in FACES:
        (trench,) = draw(solid(RAIL), laps=(lap,), up=up).laps
        polygon = Polygon(trench.waste)
        assert len(trench.waste) == 4
        assert polygon.exterior.is_ccw
        assert polygon.area == pytest.approx(60 * WIDE)
        near, far = (110.0, 100.0) if up == "bottom" else (100.0, 110.0)
        expected = Polygon([(near, 0), (near + 60, 0), (far + 60, WIDE), (far, WIDE)])
        assert polygon.symmetric_difference(expected).area == pytest.approx(0, abs=1e-6)
        assert len(trench.lines) == 2
        assert {x for line in trench.lines for x, _ in line} == {100.0, 110.0, 160.0, 170.0}
        assert (trench.hidden, trench.done) == (face != up, True)


def test_the_blank_is_as_long_as_what_is_left_to_trim() -> None:
    """Half of the 30 mm of allowance at each end that isn't trimmed yet."""
    ends = EndCuts(a=EndCut(miter=20))
    for a, b in product((False, True), repeat=2):
        blank = drawn(ends, trimmed_a=a, trimmed_b=b).blank
        left, right = (0 if a else -15), 600 + (0 if b else 15)
        assert blank == (() if a and b else ((left, 0), (right, 0), (right, WIDE), (left, WIDE)))
        turned = drawn(ends, "bottom", trimmed_a=a, trimmed_b=b).blank
        assert sorted(turned) == sorted(blank)
    assert Progress(cut=True, trimmed_a=True, trimmed_b=True, tapered=True, lapped=True, drilled=True) == FINISHED


@pytest.mark.parametrize("end", ["A", "B"])
@pytest.mark.parametrize("edges", EDGES)
def test_a_taper_takes_a_triangle_from_its_edge(end: str, edges: EdgeName) -> None:
    """From 200 mm of full width to 50 mm: 400 × 30 / 2."""
    taper = Taper(edges=edges, end=end, start=millimetres(200), leave=millimetres(50))  # type: ignore[arg-type]
    for up in FACES:
        drawing = draw(solid(replace(RAIL, tapers=(taper,))), up=up)
        (waste,) = drawing.tapers
        polygon = Polygon(waste.waste)
        assert polygon.area == pytest.approx(400 * 30 / 2)
        assert polygon.exterior.is_ccw
        assert Polygon(drawing.outline).area + polygon.area == pytest.approx(600 * WIDE)
        y = WIDE if (edges == "far") == (up == "top") else 0.0
        inner = abs(y - 30)
        start, tip = waste.lines[0]
        x0, x1 = (400.0, 0.0) if end == "A" else (200.0, 600.0)
        assert [*start, *tip] == pytest.approx([x0, y, x1, inner])


@pytest.mark.parametrize(("kind", "face", "pocket"), [("pocket", "top", True), ("through", "top", False),
                                                      ("dowel", "near", True), ("blind", "bottom", False)])  # fmt: skip
def test_a_hole_is_seen_where_it_is_drilled(kind: str, face: str, pocket: bool) -> None:
    place = None if kind == "pocket" else millimetres(70)
    hole = Hole(
        kind=kind, end="A", from_edge=(millimetres(25),), face=face, from_end=place, diameter=millimetres(8),  # type: ignore[arg-type]
        depth=millimetres(12) if kind in ("blind", "dowel") else None,
    )  # fmt: skip
    shape = solid(replace(RAIL, holes=(hole,)))
    for up in FACES:
        (mark,) = draw(shape, up=up, done=replace(FINISHED, drilled=False)).holes
        assert (mark.hidden, mark.pocket, mark.done) == (face != up, pocket, False)
        if kind in ("through", "blind"):
            assert mark.start == pytest.approx((70, 25 if up == "top" else WIDE - 25))
            assert mark.tip == pytest.approx(mark.start)


def test_what_is_not_done_is_drawn_as_to_come() -> None:
    taper = Taper(edges="near", end="B", start=millimetres(200), leave=millimetres(50))
    lap = LapShape(
        crosses="rail", end="A", face="top", edge="near", from_end=millimetres(100), along=millimetres(60),
        depth=millimetres(10), miter=0.0, shoulders=((100.0, 100.0), (160.0, 160.0)), row=0,
    )  # fmt: skip
    shape = solid(replace(RAIL, tapers=(taper,), ends=EndCuts(a=EndCut(miter=20))))
    for name in ("tapered", "lapped", "trimmed_a", "trimmed_b", "cut"):
        drawing = draw(shape, laps=(lap,), done=replace(FINISHED, **{name: False}))
        assert drawing.tapers[0].done == (name != "tapered")
        assert drawing.laps[0].done == (name != "lapped")
        assert [note.trimmed for note in drawing.ends] == [name != "trimmed_a", name != "trimmed_b"]
        assert [note.next for note in drawing.ends] == [name != "cut"] * 2
    assert draw(shape).near_edge == "near edge"
    assert draw(shape, up="bottom").near_edge == "far edge here, near edge at the top"
    assert [draw(shape, up=up).face for up in FACES] == ["top face", "bottom face"]


def test_a_taper_that_begins_where_the_piece_ends_takes_nothing() -> None:
    for start, count in ((600, 0), (599, 1)):
        taper = Taper(edges="near", end="B", start=millimetres(start), leave=millimetres(50))
        assert len(draw(solid(replace(RAIL, tapers=(taper,)))).tapers) == count
