"""A full-size template: tiled over sheets, or on one large page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, dist, pi, radians, sin
from textwrap import wrap

from msgspec import Struct

from tracker.cards.template.page import Page, Step, Stroke, Words, box, line
from tracker.cards.template.rule import rule, square
from tracker.cards.template.tiles import FOOT, MARGIN, OVERLAP, Tiling, tiling
from tracker.measure import Units
from tracker.plan.convex import Point
from tracker.plan.outline.curve import Arc, Line, Loop, Segment, extent, flat, inside
from tracker.plan.outline.outlined import Outlined
from tracker.words import say

LINE = 0.25
SEAM = (4.0, 2.0, 1.0, 2.0)
HIDDEN = (2.0, 1.5)
CROSS = 3.5
"""Half the size of a cross; its middle is OVERLAP / 2 from the tile's edges, so that neighbours share it."""
APART = 5.0
"""About how far the points of a line are from one another that decide on which sheets it is."""
LARGE_PAD = 15.0
BESIDE = 44.0
"""Reserved for the square and the map, at the right of the foot."""
WIDE = 0.54
"""The average width of a character, as a fraction of the type size, with a margin."""
ARROWS = (90.0, 70.0)
ARROW = 14.0
LETTER = 7.0
"""The type size of an end's letter."""
TRUE = say("Print at 100 %, no fitting. Rule and square must measure true.")
LAID = say("Lay cross on cross ({overlap:g} mm overlap).", overlap=OVERLAP)


class Sheet(Struct, frozen=True, kw_only=True):
    """A page with its name, and the position of its lower left corner of the drawing on the panel and on the page."""

    name: str
    page: Page
    panel: Point
    paper: Point
    size: Point


def sheets(each: Outlined, title: str, paper: str, units: Units, scale: float = 1.0) -> tuple[Sheet, ...]:
    """The sheets that have a line on them, from the top left. `paper` is a name in PAPERS."""
    tiles = tiling(_extent(each), paper, scale)
    points = list(_dense([flat(loop, 0.1) for loop in each.loops]))
    wanted = [
        (column, row)
        for row in reversed(range(tiles.rows))
        for column in range(tiles.columns)
        if _touches(tiles, column, row, points)
    ]
    drawing = _Drawing(each)
    found = []
    for number, (column, row) in enumerate(wanted, 1):
        words = say(
            "sheet {name}, {number} of {count}   {paper}   {title}",
            name=tiles.name(column, row),
            number=number,
            count=len(wanted),
            paper=paper,
            title=title,
        )
        found.append(_sheet(drawing, tiles, (column, row), wanted, words, units, scale))
    return tuple(found)


def large_sheet(each: Outlined, title: str, units: Units, scale: float = 1.0) -> Sheet:
    """One page of the outline's own size."""
    x0, y0, x1, y1 = _extent(each)
    size = (max(x1 - x0 + 2 * LARGE_PAD, 150.0), y1 - y0 + 2 * LARGE_PAD)
    width, height = size[0] + 2 * MARGIN, size[1] + 2 * MARGIN + FOOT
    paper, panel = (MARGIN, MARGIN + FOOT), ((x0 + x1 - size[0]) / 2, y0 - LARGE_PAD)
    drawing = _Drawing(each).on((paper[0] - panel[0], paper[1] - panel[1]), (*panel, *size))
    foot = _foot(each, size[0], title, units, laid="")
    strokes, words = _parted([*drawing, *foot])
    page = Page(
        width=width * scale, height=height * scale, strokes=strokes, words=words, clip=(*paper, *size), scale=scale
    )
    return Sheet(name="A1", page=page, panel=panel, paper=paper, size=size)


def _extent(each: Outlined) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = extent(each.outer)
    xs, ys = [x0, x1, *(p[0] for p in each.hidden)], [y0, y1, *(p[1] for p in each.hidden)]
    return min(xs), min(ys), max(xs), max(ys)


def _touches(tiles: Tiling, column: int, row: int, points: Sequence[Point]) -> bool:
    (x, y), (wide, high) = tiles.corner(column, row), tiles.size
    return any(x - 1 <= px <= x + wide + 1 and y - 1 <= py <= y + high + 1 for px, py in points)


def _dense(polygons: Sequence[Sequence[Point]]) -> Iterator[Point]:
    for points in polygons:
        for at, (qx, qy) in enumerate(points):
            px, py = points[at - 1]
            count = max(1, int(dist((px, py), (qx, qy)) / APART))
            for step in range(count):
                yield (px + (qx - px) * step / count, py + (qy - py) * step / count)


def _sheet(
    drawing: _Drawing, tiles: Tiling, at: tuple[int, int], wanted: Sequence[tuple[int, int]], title: str,
    units: Units, scale: float,
) -> Sheet:  # fmt: skip
    panel, paper = tiles.corner(*at), (MARGIN, MARGIN + FOOT)
    wide, high = tiles.size
    drawn = [
        *drawing.on((paper[0] - panel[0], paper[1] - panel[1]), (*panel, wide, high)),
        box((*paper, wide, high), width=0.1, dashes=(1.0, 1.0)),
        *_crosses(paper, tiles.size),
        *_foot(drawing.each, wide, title, units, laid=LAID if len(wanted) > 1 else ""),
        *_map(tiles, at, wanted, paper[0] + wide),
    ]
    strokes, words = _parted(drawn)
    page = Page(
        width=tiles.paper[0] * scale, height=tiles.paper[1] * scale, strokes=strokes, words=words,
        clip=(*paper, wide, high), scale=scale,
    )  # fmt: skip
    return Sheet(name=tiles.name(*at), page=page, panel=panel, paper=paper, size=tiles.size)


def _parted(drawn: Sequence[Stroke | Words]) -> tuple[tuple[Stroke, ...], tuple[Words, ...]]:
    strokes = tuple(each for each in drawn if isinstance(each, Stroke))
    return strokes, tuple(each for each in drawn if isinstance(each, Words))


def _crosses(at: Point, size: Point) -> Iterator[Stroke]:
    for x in (at[0] + OVERLAP / 2, at[0] + size[0] - OVERLAP / 2):
        for y in (at[1] + OVERLAP / 2, at[1] + size[1] - OVERLAP / 2):
            yield line((x - CROSS, y), (x + CROSS, y))
            yield line((x, y - CROSS), (x, y + CROSS))


def _foot(each: Outlined, wide: float, title: str, units: Units, laid: str) -> Iterator[Stroke | Words]:
    """What is printed below the drawing; nothing of it is shortened, since it says how to read the sheet."""
    room = wide - BESIDE - 2.0
    if len(title) * WIDE * 3.4 <= room:
        yield Words(MARGIN, MARGIN + 12.8, 3.4, title)
    else:
        size = min(2.4, 2 * room / WIDE / (len(title) + 20))  # a long word may end the first line early
        for y, text in zip((14.4, 11.8), wrap(title, int(room / WIDE / size)), strict=False):
            yield Words(MARGIN, MARGIN + y, size, text)
    for y, text in ((9.3, f"{TRUE} {laid}".strip()), (6.6, _lies(each))):
        yield Words(MARGIN, MARGIN + y, min(2.2, room / WIDE / len(text)), text)
    yield from rule(MARGIN, MARGIN + 3.4, units)
    yield from square(MARGIN + wide - BESIDE, MARGIN, units)


def _lies(each: Outlined) -> str:
    """How the wood lies under the sheet."""
    if not each.ends:
        return say("The panel's front is down.")
    if each.hidden:
        return say("The piece lies top face up, near edge toward you; its bottom face is dashed.")
    return say("The piece lies top face up, near edge toward you.")


def _map(tiles: Tiling, at: tuple[int, int], wanted: Sequence[tuple[int, int]], right: float) -> Iterator[Stroke]:
    """All sheets, small, with this one grey."""
    shape = tiles.size[1] / tiles.size[0]
    wide = min(20.0 / tiles.columns, 12.5 / tiles.rows / shape)
    left, low = right - tiles.columns * wide, MARGIN
    for column, row in wanted:
        place = (left + column * wide, low + row * wide * shape, wide, wide * shape)
        yield box(place, width=0.1, fill=0.7 if (column, row) == at else 1.0)


class _Drawing:
    """The outline with its seams, grain, holes and the letters of its ends, made once for all sheets."""

    def __init__(self, each: Outlined) -> None:
        self.each = each
        runs = list(grain_arrows(each))
        arrows = [runs[at : at + 3] for at in range(0, len(runs), 3)]  # a shaft and its two heads
        self.arrows = [arrow for arrow in arrows if not any(_meet(arrow, end) for end in each.ends)]

    def on(self, move: Point, window: tuple[float, float, float, float]) -> Iterator[Stroke | Words]:
        """Moved to its place on a page; `window` is the part of the panel that the page shows: left, bottom, width,
        height."""
        for start, end in self.each.seams:
            yield self._clipped([_by(start, move), _by(end, move)], dashes=SEAM)
        for arrow in self.arrows:
            if all(_within(point, window) for run in arrow for point in run):
                yield from (self._clipped([_by(point, move) for point in run]) for run in arrow)
        for letter, (x, y) in zip("AB", self.each.ends, strict=False):
            x, y = x - LETTER / 3, y - LETTER / 3
            if _within((x, y), window) and _within((x + LETTER * 0.7, y + LETTER * 0.7), window):
                yield Words(*_by((x, y), move), LETTER, letter)
        if self.each.hidden:
            yield self._clipped([_by(p, move) for p in (*self.each.hidden, self.each.hidden[0])], dashes=HIDDEN)
        for mark in self.each.marks:
            x, y = _by(mark.at, move)
            yield self._clipped([(x - 3.0, y), (x + 3.0, y)])
            yield self._clipped([(x, y - 3.0), (x, y + 3.0)])
            if mark.diameter:
                circle = Arc((x, y), mark.diameter / 2, 0.0, 2 * pi)
                yield Stroke(path=_steps((circle,), (0.0, 0.0)), clipped=True)
        for loop in self.each.loops:
            yield Stroke(path=_steps(loop, move), width=LINE, clipped=True)

    def _clipped(self, points: Sequence[Point], dashes: tuple[float, ...] = ()) -> Stroke:
        drawn = line(*points, dashes=dashes)
        return Stroke(path=drawn.path, width=drawn.width, dashes=dashes, clipped=True)


def grain_arrows(each: Outlined) -> Iterator[tuple[Point, ...]]:
    """Arrows along the grain where there is room in the wood: lists of points, in the outline's coordinates."""
    polygons = [flat(loop, 0.5) for loop in each.loops]
    x0, y0, x1, y1 = extent(each.outer)
    columns, rows = max(1, round((x1 - x0) / ARROWS[0])), max(1, round((y1 - y0) / ARROWS[1]))
    for row in range(rows):
        for column in range(columns):
            at = (x0 + (column + 0.5) * (x1 - x0) / columns, y0 + (row + 0.5) * (y1 - y0) / rows)
            way = radians(each.grain_at(at))
            tip, tail = _off(at, way, ARROW), _off(at, way, -ARROW)
            if not all(_in_wood(polygons, point) for point in (tip, tail, at)):
                continue
            yield tail, tip
            for end, back in ((tip, pi), (tail, 0.0)):
                yield tuple(_off(end, way + back + spread, 3.0) if spread else end for spread in (-0.45, 0.0, 0.45))


def _meet(arrow: Sequence[Sequence[Point]], end: Point) -> bool:
    """Whether an arrow runs into the letter of an end."""
    return any(dist(point, end) < LETTER for run in arrow for point in run)


def _in_wood(polygons: Sequence[Sequence[Point]], point: Point) -> bool:
    return inside(polygons[0], point) and not any(inside(hole, point) for hole in polygons[1:])


def _off(p: Point, way: float, by: float) -> Point:
    return (p[0] + by * cos(way), p[1] + by * sin(way))


def _by(p: Point, move: Point) -> Point:
    return (p[0] + move[0], p[1] + move[1])


def _within(p: Point, window: tuple[float, float, float, float]) -> bool:
    x, y, wide, high = window
    return x <= p[0] <= x + wide and y <= p[1] <= y + high


def _steps(loop: Loop | Sequence[Segment], move: Point) -> tuple[Step, ...]:
    """The curve itself, not its polygon: arcs as cubic curves of at most 30 degrees, off by their radius × 4e-7."""
    steps: list[Step] = [("move", _by(loop[0].start, move))]
    for segment in loop:
        if isinstance(segment, Line):
            steps.append(("line", _by(segment.end, move)))
            continue
        for cubic in segment.cubics(pi / 6) if isinstance(segment, Arc) else (segment,):
            points = (_by(point, move) for point in (cubic.first, cubic.second, cubic.end))
            steps.append(("cubic", tuple(value for point in points for value in point)))
    return (*steps, ("close", ()))
