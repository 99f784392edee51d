"""Where each part of a piece's drawing is on the screen: plain geometry, no Kivy.

One scale in both directions, always: an angle on the screen is the angle on the wood. A long thin piece is drawn larger
than its length would allow, with plain stretches left out; its ends and its holes stay.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, radians, sin

from msgspec import Struct

from tracker.cards.piece.drawing import Drawing, EndNote, Point
from tracker.cards.piece.interrupted_view import crossings, spread

LEAST_END = 0.95
"""The least length of each end that is drawn of a broken piece, in breadths of the piece."""
AROUND_HOLE = 0.45
_FACING = 0.45
"""The cosine of the steepest mitre that still counts as an end: about 63°."""


class Section(Struct, frozen=True):
    """A stretch of the piece, from `start` to `end` (mm along the wood), whose start is drawn at `left` (points)."""

    start: float
    end: float
    left: float


class Layout(Struct, frozen=True):
    """`scale` is points per millimetre of wood; `low` is where the near edge's y is drawn."""

    sections: tuple[Section, ...]
    scale: float
    low: float
    bottom: float
    """y (mm of wood) that is drawn at `low`."""

    @property
    def broken(self) -> bool:
        return len(self.sections) > 1

    @property
    def worth(self) -> float:
        """How well the piece is visible: the screen area it covers, less when it is broken."""
        drawn = sum(section.end - section.start for section in self.sections) * self.scale
        return drawn * self.scale * (0.6 if self.broken else 1.0)

    def holding(self, point: Point) -> Section:
        """The section that contains a point of the wood, or the nearest one."""
        return min(self.sections, key=lambda each: max(each.start - point[0], point[0] - each.end, 0.0))

    def place(self, point: Point, section: Section | None = None) -> Point:
        """The position on the screen; without a section, in the one that contains the point."""
        section = section or self.holding(point)
        return section.left + (point[0] - section.start) * self.scale, self.low + (point[1] - self.bottom) * self.scale


def extent(drawing: Drawing) -> tuple[float, float, float, float]:
    """Left, right, low and high of the piece and its blank together."""
    points = (*drawing.outline, *drawing.blank)
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    return min(xs), max(xs), min(ys), max(ys)


def lay_out(
    drawing: Drawing, left: float, low: float, width: float, height: float, breadth: float, gap: float
) -> Layout:
    """Fit the piece into a box on the screen. A piece that would be drawn narrower than `breadth` is broken, and then
    drawn as broad as the room allows; `gap` is the width of a break. All in points."""
    start, end, bottom, top = extent(drawing)
    length, across = max(end - start, 1e-6), max(top - bottom, 1e-6)
    scale = min(width / length, height / across)
    if scale * across >= min(breadth, height) - 1e-6:
        spans = [(start, end)]
    else:
        wanted = height / across
        scale, spans = _broken(drawing, wanted, scale, width, gap)
    drawn = sum(b - a for a, b in spans) * scale + gap * (len(spans) - 1)
    x = left + (width - drawn) / 2
    sections = []
    for first, last in spans:
        sections.append(Section(first, last, x))
        x += (last - first) * scale + gap
    return Layout(tuple(sections), scale, low + (height - across * scale) / 2, bottom)


def _broken(
    drawing: Drawing, wanted: float, least: float, width: float, gap: float
) -> tuple[float, list[tuple[float, float]]]:
    """The largest scale up to `wanted` at which everything that must stay fits, and the stretches that stay."""
    start, end, _, _ = extent(drawing)
    scale = wanted
    for _ in range(40):
        spans = _kept(drawing, gap / scale)
        room = width - gap * (len(spans) - 1)
        kept = sum(b - a for a, b in spans)
        if kept * scale <= room + 1e-6:
            break
        scale *= 0.94
        if scale <= least:
            return least, [(start, end)]
    return scale, spread(spans, (room / scale - kept), start, end)


def _kept(drawing: Drawing, merge: float) -> list[tuple[float, float]]:
    """Both ends and the surroundings of every hole, half-lap and beginning of a taper, joined where little is between
    them."""
    start, end, bottom, top = extent(drawing)
    across = top - bottom
    reach = [LEAST_END * across, LEAST_END * across]
    for side, chain in enumerate((end_chain(drawing.top_face, 0), end_chain(drawing.top_face, 1))):
        for point in chain:
            reach[side] = max(reach[side], (point[0] - start if side == 0 else end - point[0]) + 0.8 * across)
    spans = [(start, start + reach[0]), (end - reach[1], end)]
    marked = [sorted((hole.start[0], hole.tip[0])) for hole in drawing.holes]
    marked += [sorted(x for x, _ in lap.waste) for lap in drawing.laps]
    marked += [[taper.lines[0][0][0]] for taper in drawing.tapers]
    for xs in marked:
        spans.append((max(start, xs[0] - AROUND_HOLE * across), min(end, xs[-1] + AROUND_HOLE * across)))
    joined: list[tuple[float, float]] = []
    for first, last in sorted(spans):
        if joined and first - joined[-1][1] < 2 * merge:
            joined[-1] = (joined[-1][0], max(joined[-1][1], last))
        else:
            joined.append((first, last))
    return [(max(start, first), min(end, last)) for first, last in joined]


def within(one: Point, two: Point, start: float, end: float) -> list[Point]:
    """The part of a line between two lines across the piece: empty, or its two ends."""
    if one[0] > two[0]:
        one, two = two, one
    if two[0] < start or one[0] > end:
        return []
    long = two[0] - one[0]
    if long < 1e-9:
        return [one, two]

    def at(x: float) -> Point:
        return x, one[1] + (two[1] - one[1]) * (x - one[0]) / long

    return [at(max(one[0], start)), at(min(two[0], end))]


def inside(polygon: Sequence[Point], point: Point) -> bool:
    """Whether a point is in a polygon (even-odd rule)."""
    return any(first <= point[0] <= last for first, last in crossings(polygon, point[1]))


def end_chain(polygon: Sequence[Point], side: int) -> list[Point]:
    """The corners of end A (side 0) or B (1) of a counter-clockwise polygon, along its edge: what the saw cuts."""
    if len(polygon) < 3:
        return []
    xs = [point[0] for point in polygon]
    middle, way = (min(xs) + max(xs)) / 2, (-1 if side == 0 else 1)
    chain: list[Point] = []
    for one, two in zip(polygon, (*polygon[1:], *polygon[:1]), strict=True):
        long = hypot(two[0] - one[0], two[1] - one[1])
        outward = (two[1] - one[1]) / long if long else 0.0
        if outward * way > _FACING and ((one[0] + two[0]) / 2 - middle) * way > 0:
            chain += [point for point in (one, two) if point not in chain]
    return chain


def swing(drawing: Drawing, note: EndNote) -> tuple[Point, Point, Point] | None:
    """For a mitred end: its long point, the corner where a square cut from there would end, and where the mitre ends.
    None where there is nothing to show."""
    if note.long_point is None or not note.miter:
        return None
    chain = end_chain(drawing.top_face, 0 if note.end == "A" else 1)
    if len(chain) < 2:
        return None
    long = note.long_point
    short = max(chain, key=lambda point: hypot(point[0] - long[0], point[1] - long[1]))
    if abs(short[1] - long[1]) < 1e-6:
        return None
    return long, (long[0], short[1]), short


def grain_lines(polygon: Sequence[Point], along: bool, spacing: float, wave: float, inset: float) -> list[list[Point]]:
    """Wavering lines inside a polygon on the screen, along it or across it; always the same."""
    points = polygon if along else [(y, x) for x, y in polygon]
    if len(points) < 3:
        return []
    ys = [point[1] for point in points]
    lines: list[list[Point]] = []
    level, count = min(ys) + spacing * 0.7, 0
    while level < max(ys) - spacing * 0.3:
        for first, last in crossings(points, level):
            if last - first > 4 * inset:
                lines.append(_waver(first + inset, last - inset, level, wave, count))
        count += 1
        level += spacing * (0.75 + 0.5 * ((count * 0.618034) % 1.0))
    return lines if along else [[(x, y) for y, x in line] for line in lines]


def _waver(first: float, last: float, level: float, wave: float, count: int) -> list[Point]:
    steps = max(2, int((last - first) / max(wave * 6, 4.0)))  # off the true curve by at most a fortieth of the wave
    line = []
    for step in range(steps + 1):
        x = first + (last - first) * step / steps
        line.append((x, level + wave * sin(x / (wave * 31) + count * 1.9) + 0.5 * wave * sin(x / (wave * 11) + count)))
    return line


def hatch(polygon: Sequence[Point], spacing: float, lean: float = 45.0) -> list[tuple[Point, Point]]:
    """Slanting lines inside a polygon on the screen, equally spaced."""
    if len(polygon) < 3:
        return []
    c, s = cos(radians(lean)), sin(radians(lean))
    points = [(x * c + y * s, y * c - x * s) for x, y in polygon]
    lowest, highest = min(y for _, y in points), max(y for _, y in points)
    lines = []
    level = (int(lowest / spacing) + 0.5) * spacing
    while level < highest:
        for first, last in crossings(points, level):
            lines.append(((first * c - level * s, first * s + level * c), (last * c - level * s, last * s + level * c)))
        level += spacing
    return lines
