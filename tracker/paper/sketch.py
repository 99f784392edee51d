"""The small drawing on a label: the two ends of a piece at true angles, its middle broken away where it is too long."""

from __future__ import annotations

from collections.abc import Sequence

from PIL import Image, ImageDraw

from tracker.cards.drawing import Drawing, Point

BREAK = 1.6
"""The gap of the break, in millimetres."""


def sketch(drawing: Drawing, size: tuple[int, int], dots_per_mm: float) -> Image.Image:
    """The piece from above, end A left and the near edge below, as a 1-bit picture of at most `size` dots.

    One scale in both directions, so that an angle on paper is the angle on the wood.
    """
    picture = Image.new("1", size, 1)
    line = max(1, round(dots_per_mm * 0.3))
    left, right, low, high = _extent(drawing.outline)
    across, down = size[0] - 1 - line, size[1] - 1 - line
    scale = down / max(high - low, 1e-9)
    if (right - left) * scale > across and (right - left) * scale < 1.6 * across:
        scale = across / (right - left)  # a stubby piece: whole and a little smaller beats broken
    top = (size[1] - (high - low) * scale) / 2
    if (right - left) * scale <= across + 1e-6:
        start = (size[0] - (right - left) * scale) / 2
        _put(picture, drawing, (left, high), scale, (start, top), line)
        edges = (start, start + (right - left) * scale)
    else:
        _put_broken(picture, drawing, scale, top, line, dots_per_mm)
        edges = (0.0, float(size[0]))
    _arrow(picture, drawing.grain, edges, (top, size[1] - top), line)
    return picture


def _extent(points: Sequence[Point]) -> tuple[float, float, float, float]:
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    return min(xs), max(xs), min(ys), max(ys)


def _put_broken(
    picture: Image.Image, drawing: Drawing, scale: float, top: float, line: int, dots_per_mm: float
) -> None:
    """Each end in its own half, cut off by the edge of that half, and the two break lines between."""
    left, right, _, high = _extent(drawing.outline)
    gap = round(BREAK * dots_per_mm)
    half = (picture.width - gap) // 2
    inset = line / 2
    for start, corner in ((0, inset), (picture.width - half, half - 1 - inset - (right - left) * scale)):
        part = Image.new("1", (half, picture.height), 1)
        _put(part, drawing, (left, high), scale, (corner, top), line)
        picture.paste(part, (start, 0))
    draw = ImageDraw.Draw(picture)
    for x in (half, picture.width - half - 1):
        _break_line(draw, x, top, picture.height - top, gap / 2, line)


def _break_line(draw: ImageDraw.ImageDraw, x: float, top: float, bottom: float, swing: float, line: int) -> None:
    """The draughtsman's break: a straight line with one zigzag in its middle, running a little past the edges."""
    middle, step = (top + bottom) / 2, min((bottom - top) / 6, swing * 2)
    points = [
        (x, max(0, top - swing)),
        (x, middle - step),
        (x - swing, middle - step / 3),
        (x + swing, middle + step / 3),
        (x, middle + step),
        (x, bottom + swing),
    ]
    draw.line(points, fill=0, width=max(1, line // 2))


def _put(
    picture: Image.Image, drawing: Drawing, origin: Point, scale: float, corner: tuple[float, float], line: int
) -> None:
    """`origin` (a point of the piece, y upward) lands on `corner` (dots, y downward)."""
    draw = ImageDraw.Draw(picture)

    def place(point: Point) -> tuple[float, float]:
        return corner[0] + (point[0] - origin[0]) * scale, corner[1] + (origin[1] - point[1]) * scale

    outline = [place(point) for point in drawing.outline]
    draw.line([*outline, outline[0], outline[1]], fill=0, width=line, joint="curve")
    face = [place(point) for point in drawing.top_face]
    if face and face != outline:
        draw.line([*face, face[0]], fill=0, width=max(1, line // 2))
    for start, end in drawing.hidden:
        _dashes(draw, place(start), place(end), max(1, line // 2))


def _dashes(draw: ImageDraw.ImageDraw, start: Point, end: Point, line: int) -> None:
    (x0, y0), (x1, y1) = start, end
    length = max(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5, 1e-9)
    step = line * 8
    at = 0.0
    while at < length:
        stop = min(at + step / 2, length)
        ends = [(x0 + (x1 - x0) * t / length, y0 + (y1 - y0) * t / length) for t in (at, stop)]
        draw.line(ends, fill=0, width=line)
        at += step


def _arrow(picture: Image.Image, grain: str, across: tuple[float, float], down: tuple[float, float], line: int) -> None:
    """A double-headed arrow the way the grain runs, in the middle of the piece."""
    draw = ImageDraw.Draw(picture)
    x, y = (across[0] + across[1]) / 2, (down[0] + down[1]) / 2
    head = max(3.0, (down[1] - down[0]) * 0.14)
    if min(across[1] - across[0], down[1] - down[0]) < 4 * head:
        return
    if grain == "along":
        reach = (across[1] - across[0]) * 0.22
        tips = [(x - reach, y, 1), (x + reach, y, -1)]
        # White under the shaft where it crosses the break, so that it reads as one arrow.
        draw.rectangle((x - reach, y - head, x + reach, y + head), fill=1)
    else:
        reach = (down[1] - down[0]) * 0.34
        tips = [(x, y - reach, 1), (x, y + reach, -1)]
        draw.rectangle((x - head, y - reach, x + head, y + reach), fill=1)
    draw.line([tips[0][:2], tips[1][:2]], fill=0, width=line)
    for tip_x, tip_y, way in tips:
        back, side = head * 1.5 * way, head * 0.75
        wings = (
            [(tip_x + back, tip_y - side), (tip_x + back, tip_y + side)]
            if grain == "along"
            else [(tip_x - side, tip_y + back), (tip_x + side, tip_y + back)]
        )
        draw.polygon([(tip_x, tip_y), *wings], fill=0)
