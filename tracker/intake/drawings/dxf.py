"""Closed curves from a DXF text file, R12 to R2018: lines, arcs, polylines and splines, chained end to end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from math import atan, atan2, dist, isfinite, pi, radians, sin, tan

from msgspec import Struct

from tracker.intake.drawings.chaining import chained
from tracker.intake.errors import IntakeError
from tracker.plan.convex import Point
from tracker.plan.outline.curve import TURN, Arc, Cubic, Line, Loop, Move, Segment
from tracker.plan.outline.svg_path import elliptic

UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 14: 100.0}
"""Millimetres in a unit of $INSUNITS (DXF reference, header variables)."""
MOST_LINES = 400_000
MOST_SEGMENTS = 20_000
MOST_KNOTS = 800
Groups = list[tuple[int, str]]


class Entity(Struct, frozen=True):
    """One drawn object: its kind, its layer, and its groups of code and value, in the file's order."""

    kind: str
    layer: str
    groups: Groups

    def first(self, code: int, default: float = 0.0) -> float:
        return next((self._number(value) for each, value in self.groups if each == code), default)

    def point(self, code: int) -> Point:
        return (self.first(code), self.first(code + 10))

    def all(self, code: int) -> list[float]:
        return [self._number(value) for each, value in self.groups if each == code]

    def _number(self, value: str) -> float:
        try:
            found = float(value)
        except ValueError:
            raise IntakeError(f"a number of a {self.kind} can't be read: '{value[:20]}'") from None
        if not isfinite(found) or abs(found) > 1e9:
            raise IntakeError(f"a number of a {self.kind} is too large")
        return found


def dxf_curves(data: bytes) -> tuple[list[Loop], list[str]]:
    """The closed curves in millimetres, and remarks on what was left out or is open. Raises IntakeError.

    Each layer is chained separately. Nothing is lost, because the outline is the largest curve of all layers.
    """
    entities, unit = _entities(data)
    skipped: Counter[str] = Counter()
    layers: dict[str, list[Segment]] = {}
    for entity in _with_polylines(entities):
        made = _segments(entity)
        if made is None:
            skipped[entity.kind] += 1
        else:
            layers.setdefault(entity.layer, []).extend(made)
    if sum(map(len, layers.values())) > MOST_SEGMENTS:
        raise IntakeError("the drawing has too many lines for an outline")
    remarks = [f"{count} × {kind} left out" for kind, count in sorted(skipped.items())]
    if unit is None:
        remarks.append("the drawing doesn't say its unit: millimetres are taken")
    scale = Move(unit or 1.0, 0.0, 0.0, unit or 1.0)
    loops: list[Loop] = []
    for segments in layers.values():
        closed, opened = chained([moved for each in segments for moved in scale.segment(each)])
        loops += closed
        remarks += [
            f"a line is open: it begins at {a[0]:.1f}, {a[1]:.1f} and ends at {b[0]:.1f}, {b[1]:.1f}"
            for a, b in opened[:5]
        ]
    return loops, remarks


def _pairs(data: bytes) -> Iterator[tuple[int, str]]:
    if data.startswith(b"AutoCAD Binary DXF"):
        raise IntakeError("this is a binary DXF: save it as text (ASCII)")
    lines = data.decode("utf-8", "replace").splitlines()
    if len(lines) > MOST_LINES:
        raise IntakeError("the drawing is too large for an outline")
    for at in range(0, len(lines) - 1, 2):
        try:
            yield int(lines[at].strip()[:12]), lines[at + 1].strip()
        except ValueError:
            raise IntakeError(f"line {at + 1} isn't DXF") from None


def _entities(data: bytes) -> tuple[list[Entity], float | None]:
    """The objects in the section ENTITIES, and the millimetres in a unit if the header gives them.

    A section's name comes right after SECTION: inside the header, code 2 is a value.
    """
    section = key = ""
    named = False
    found: list[tuple[str, Groups]] = []
    unit: float | None = None
    before = ""
    for code, value in _pairs(data):
        if code == 2 and before == "SECTION":
            section, named = value, True
        elif section == "HEADER" and code == 9:
            key = value
        elif section == "HEADER" and key == "$INSUNITS" and code == 70:
            unit = UNITS.get(int(value)) if value.isdecimal() and len(value) < 4 else None
        elif section == "ENTITIES":
            if code == 0:
                found.append((value, []))
            elif found:
                found[-1][1].append((code, value))
        if code == 0:
            section = "" if value == "ENDSEC" else section
        before = value if code == 0 else ""
    if not named:
        raise IntakeError("this isn't a DXF file")
    entities = [Entity(kind, next((v for c, v in groups if c == 8), "0"), groups) for kind, groups in found]
    return [each for each in entities if each.kind not in ("ENDSEC", "EOF")], unit


def _with_polylines(entities: Sequence[Entity]) -> Iterator[Entity]:
    """Turn a POLYLINE, its VERTEXes and its SEQEND into one LWPOLYLINE, which holds its own points."""
    open_one: Entity | None = None
    for entity in entities:
        if entity.kind == "POLYLINE":
            flags = int(entity.first(70))
            open_one = Entity("LWPOLYLINE" if not flags & ~129 else "POLYLINE", entity.layer, [])
            open_one.groups.extend(each for each in entity.groups if each[0] in (70, 230))
        elif entity.kind == "VERTEX" and open_one is not None:
            open_one.groups.extend(each for each in entity.groups if each[0] in (10, 20, 42))
        elif entity.kind == "SEQEND" and open_one is not None:
            yield open_one
            open_one = None
        else:
            yield entity


def _segments(entity: Entity) -> list[Segment] | None:
    """The segments of an object; None for a kind that isn't read. An object extruded from below (230 is -1) is
    mirrored."""
    reader = _READERS.get(entity.kind)
    made = reader(entity) if reader is not None else None
    if made is None or entity.first(230, 1.0) >= 0 or entity.kind in ("LINE", "ELLIPSE", "SPLINE"):
        return made
    mirror = Move(a=-1.0)
    return [moved for each in made for moved in mirror.segment(each)]


def _line(entity: Entity) -> list[Segment]:
    start, end = entity.point(10), entity.point(11)
    return [Line(start, end)] if dist(start, end) > 1e-9 else []


def _arc(entity: Entity) -> list[Segment] | None:
    begin, end = radians(entity.first(50)), radians(entity.first(51))
    radius = entity.first(40)
    return [Arc(entity.point(10), radius, begin, (end - begin) % TURN or TURN)] if radius > 0 else None


def _circle(entity: Entity) -> list[Segment] | None:
    radius = entity.first(40)
    return [Arc(entity.point(10), radius, 0.0, TURN)] if radius > 0 else None


def _ellipse(entity: Entity) -> list[Segment] | None:
    (cx, cy), (mx, my) = entity.point(10), entity.point(11)
    ratio = entity.first(40) * (-1 if entity.first(230, 1.0) < 0 else 1)
    begin, end = entity.first(41), entity.first(42, TURN)
    if dist((mx, my), (0, 0)) < 1e-9 or not ratio:
        return None

    def place(u: float, v: float) -> Point:
        return (cx + mx * u - my * ratio * v, cy + my * u + mx * ratio * v)

    turn = (end - begin) % TURN
    return list(elliptic(place, begin, turn if turn > 1e-9 else TURN))


def _polyline(entity: Entity) -> list[Segment]:
    vertices: list[list[float]] = []
    for code, value in entity.groups:
        if code == 10:
            vertices.append([entity._number(value), 0.0, 0.0])
        elif code in (20, 42) and vertices:
            vertices[-1][1 if code == 20 else 2] = entity._number(value)
    made: list[Segment] = []
    closed = int(entity.first(70)) & 1
    for at, (x, y, bulge) in enumerate(vertices):
        if at == len(vertices) - 1 and not closed:
            break
        end = vertices[(at + 1) % len(vertices)]
        made += _bulged((x, y), (end[0], end[1]), bulge)
    return made


def _bulged(p: Point, q: Point, bulge: float) -> list[Segment]:
    """A chord, or the arc over it. The bulge is the tangent of a quarter of the arc's angle."""
    apart = dist(p, q)
    if apart < 1e-9:
        return []
    if abs(bulge) < 1e-9:
        return [Line(p, q)]
    turn = 4 * atan(bulge)
    rise = apart / 2 / tan(turn / 2) if abs(abs(turn) - pi) > 1e-12 else 0.0
    centre = (
        (p[0] + q[0]) / 2 - (q[1] - p[1]) / apart * rise, (p[1] + q[1]) / 2 + (q[0] - p[0]) / apart * rise
    )  # fmt: skip
    return [Arc(centre, apart / 2 / abs(sin(turn / 2)), atan2(p[1] - centre[1], p[0] - centre[0]), turn)]


def _spline(entity: Entity) -> list[Segment] | None:
    """A cubic B-spline with equal weights: knots are inserted until each piece is a Bézier curve (Boehm, 1980)."""
    knots, weights = entity.all(40), entity.all(41)
    points = list(zip(entity.all(10), entity.all(20), strict=False))
    even = not weights or max(weights) - min(weights) < 1e-9
    if (
        int(entity.first(71)) != 3
        or len(knots) != len(points) + 4
        or len(points) < 4
        or not even
        or len(knots) > MOST_KNOTS
    ):
        return None
    if sorted(knots) != knots or knots[0] != knots[3] or knots[-1] != knots[-4] or knots[0] == knots[-1]:
        return None
    for knot in sorted(set(knots[4:-4])):
        if knots.count(knot) > 3:
            return None
        while knots.count(knot) < 3:
            knots, points = _with_knot(knots, points, knot)
    return [Cubic(*points[at : at + 4]) for at in range(0, len(points) - 3, 3)]


def _with_knot(knots: list[float], points: list[Point], knot: float) -> tuple[list[float], list[Point]]:
    at = max(place for place in range(len(knots) - 1) if knots[place] <= knot)
    new: list[Point] = []
    for place in range(len(points) + 1):
        if place <= at - 3:
            new.append(points[place])
        elif place > at:
            new.append(points[place - 1])
        else:
            share = (knot - knots[place]) / (knots[place + 3] - knots[place])
            (ax, ay), (bx, by) = points[place - 1], points[place]
            new.append(((1 - share) * ax + share * bx, (1 - share) * ay + share * by))
    return [*knots[: at + 1], knot, *knots[at + 1 :]], new


_READERS: dict[str, Callable[[Entity], list[Segment] | None]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _polyline,
    "SPLINE": _spline,
}
