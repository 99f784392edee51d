"""The small drawing on a label: the two ends of a piece at true angles, its middle broken away if it is too long."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from PIL import Image, ImageDraw

from tracker.cards.piece.drawing import Drawing, Point
from tracker.paper.ink import Ink, ink_of

BREAK = 1.8
"""The gap of the break, in millimetres."""
STUBBY = 1.6
"""A piece up to this many times too long for its room is drawn whole and smaller, which is better than broken."""
HEAD = 1.3
"""The longest arrowhead, in millimetres."""
LINE = 0.3


@lru_cache(maxsize=64)
def sketch_ink(drawing: Drawing, room: tuple[int, int], mm: float) -> Ink:
    """The same drawing as ink; cached, because the pieces of a part have the same drawing."""
    return ink_of(~np.asarray(sketch(drawing, room, mm)))


def sketch(drawing: Drawing, room: tuple[int, int], mm: float) -> Image.Image:
    """The piece from above, end A left and the near edge below, as a 1-bit picture no larger than `room` dots.

    `mm` is dots per millimetre of paper. One scale in both directions: an angle on paper is the angle on the wood.
    """
    line = max(1, round(LINE * mm))
    left, right, low, high = _extent(drawing.outline)
    length, breadth = max(right - left, 1e-9), max(high - low, 1e-9)
    across, down = room[0] - 2 * line, room[1] - 2 * line
    scale = down / breadth
    if length * scale > across and length * scale < STUBBY * across:
        scale = across / length
    height = round(breadth * scale) + 2 * line
    if length * scale <= across + 1e-6:
        picture = Image.new("1", (round(length * scale) + 2 * line, height), 1)
        _put(picture, drawing, (left, high), scale, (line, line), line)
        clear = _clear(drawing, scale, line, picture.width)
    else:
        picture = Image.new("1", (room[0], height), 1)
        half = _put_broken(picture, drawing, scale, line, mm)
        clear = _clear(drawing, scale, line, half)
    _arrow(picture, drawing.grain, clear, line, mm)
    return picture


def _extent(points: Sequence[Point]) -> tuple[float, float, float, float]:
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    return min(xs), max(xs), min(ys), max(ys)


def _clear(drawing: Drawing, scale: float, line: int, room: int) -> tuple[float, float]:
    """The range, in dots, in which a line along the middle of the piece is on its upper face."""
    left, _, low, high = _extent(drawing.outline)
    middle = (low + high) / 2
    face = drawing.top_face or drawing.outline
    crossings = [
        x0 + (middle - y0) / (y1 - y0) * (x1 - x0)
        for (x0, y0), (x1, y1) in zip(face, (*face[1:], face[0]), strict=True)
        if (y0 <= middle) != (y1 <= middle)
    ]
    if len(crossings) < 2:
        return 0.0, float(room)
    return line + (min(crossings) - left) * scale, min(room, line + (max(crossings) - left) * scale)


def _put_broken(picture: Image.Image, drawing: Drawing, scale: float, line: int, mm: float) -> int:
    """Each end in its own half, both halves torn off along the same wavy line; returns the width of a half."""
    left, right, _, high = _extent(drawing.outline)
    gap = round(BREAK * mm)
    half = (picture.width - gap) // 2
    for start, corner in ((0, float(line)), (picture.width - half, half - line - (right - left) * scale)):
        part = Image.new("1", (half, picture.height), 1)
        _put(part, drawing, (left, high), scale, (corner, line), line)
        picture.paste(part, (start, 0))
    draw = ImageDraw.Draw(picture)
    for x in (half, picture.width - half - 1):
        _break_line(draw, x, picture.height, gap * 0.42, max(1, round(line * 0.6)))
    return half


def _break_line(draw: ImageDraw.ImageDraw, x: float, height: float, swing: float, line: int) -> None:
    """The drafting symbol for a break: a zigzag in the middle of a straight line."""
    middle, step = height / 2, min(height / 5, swing * 2)
    points = [(x, 0), (x, middle - step), (x - swing, middle - step / 3), (x + swing, middle + step / 3)]
    draw.line([*points, (x, middle + step), (x, height)], fill=0, width=line)


def _put(
    picture: Image.Image, drawing: Drawing, origin: Point, scale: float, corner: tuple[float, float], line: int
) -> None:
    """`origin` (a point of the piece, y upward) is drawn at `corner` (dots, y downward)."""
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


def _arrow(picture: Image.Image, grain: str, clear: tuple[float, float], line: int, mm: float) -> None:
    """A double-headed arrow in the direction of the grain, in the room that the break leaves."""
    draw = ImageDraw.Draw(picture)
    x, y = (clear[0] + clear[1]) / 2, picture.height / 2
    along = grain == "along"
    reach = (clear[1] - clear[0]) * 0.3 if along else picture.height * 0.3
    head = min(HEAD * mm, picture.height * 0.2, reach * 0.6)
    if head < 3 * line / 2:
        return

    def turned(by_length: float, by_width: float) -> tuple[float, float]:
        return (x + by_length, y + by_width) if along else (x + by_width, y + by_length)

    draw.line([turned(-reach + head, 0), turned(reach - head, 0)], fill=0, width=line)
    for way in (-1, 1):
        back = way * (reach - head)
        draw.polygon([turned(way * reach, 0), turned(back, -head / 2.2), turned(back, head / 2.2)], fill=0)
