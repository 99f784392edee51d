"""The path data of an SVG drawing (SVG 1.1, chapter 8): text in, closed loops out."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import atan2, ceil, cos, dist, isfinite, pi, radians, sin, sqrt, tan

from tracker.plan.convex import Point
from tracker.plan.outline.curve import TURN, Arc, Cubic, Line, Loop, Segment
from tracker.plan.outline.errors import OutlineError, quoted
from tracker.words import say

MOST_NUMBERS = 40_000
_TOKEN = re.compile(r"\s*,?\s*(?:([MmLlHhVvCcSsQqTtAaZz])|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?))")
_NUMBERS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}


def svg_loops(d: str, closing: bool = False) -> tuple[Loop, ...]:
    """The closed curves of path data, in its own units, with y as written.

    `closing`: a subpath not closed with a Z is closed by a line if its ends meet, and otherwise left out. Without
    `closing` an open path raises OutlineError, as does anything that isn't path data.
    """
    reader = _Reader(closing)
    for command, numbers in _commands(d):
        reader.take(command, numbers)
    reader.finish()
    return tuple(reader.loops)


def _commands(d: str) -> list[tuple[str, list[float]]]:
    """Every command with its numbers; repeated commands are written out: M followed by more pairs continues as L."""
    found: list[tuple[str, list[float]]] = []
    at = count = 0
    command = ""
    d = d.strip()
    while at < len(d):
        letter, at = _letter(d, at, command)
        if letter:
            command = letter
        elif not command or command in "Zz":
            raise OutlineError(say("a path begins with M"))
        numbers, at = _arguments(d, at, command)
        count += len(numbers) + 1
        if count > MOST_NUMBERS:
            raise OutlineError(say("the path has too many points"), hint=say("a simpler drawing will do"))
        found.append((command, numbers))
        command = {"M": "L", "m": "l"}.get(command, command)
    return found


def _letter(d: str, at: int, before: str) -> tuple[str, int]:
    token = _TOKEN.match(d, at)
    if token is None:
        raise OutlineError(say("can't read '{quoted}' in the path", quoted=quoted(d[at : at + 12].strip())))
    return (token[1], token.end()) if token[1] else ("", at)


def _arguments(d: str, at: int, command: str) -> tuple[list[float], int]:
    numbers: list[float] = []
    for place in range(_NUMBERS[command.upper()]):
        token = _TOKEN.match(d, at)
        if token is None or not token[2]:
            raise OutlineError(say("the path ends in the middle of '{command}'", command=command))
        text = token[2]
        at = token.end()
        if command in "Aa" and place in (3, 4) and text[0] in "01":  # no separator is needed after a flag
            at -= len(text) - 1
            text = text[0]
        value = float(text)
        if not isfinite(value) or abs(value) > 1e7:
            raise OutlineError(say("a number in the path is too large"))
        numbers.append(value)
    return numbers, at


class _Reader:
    """The position of the pen, and the loops closed so far."""

    def __init__(self, closing: bool) -> None:
        self.loops: list[Loop] = []
        self.opened = 0
        self._closing = closing
        self._run: list[Segment] = []
        self._here: Point = (0.0, 0.0)
        self._start: Point = (0.0, 0.0)
        self._moved = False
        self._handle: Point | None = None
        """The second control point of the last curve, which S and T mirror."""
        self._before = ""

    def take(self, command: str, n: list[float]) -> None:
        upper = command.upper()
        if upper != "M" and not self._moved:
            raise OutlineError(say("a path begins with M"))
        base = self._here if command.islower() else (0.0, 0.0)
        points = [(base[0] + x, base[1] + y) for x, y in zip(n[::2], n[1::2], strict=False)]
        handle: Point | None = None
        if upper == "M":
            self._leave()
            self._here = self._start = points[0]
            self._moved = True
        elif upper == "Z":
            self._close()
        elif upper in "HV":
            to = (base[0] + n[0], self._here[1]) if upper == "H" else (self._here[0], base[1] + n[0])
            self._line(to)
        elif upper == "L":
            self._line(points[0])
        elif upper in "CSQT":
            handle = self._curve(upper, points)
        else:
            self._arc(n, (base[0] + n[5], base[1] + n[6]))
        self._handle, self._before = handle, upper

    def finish(self) -> None:
        self._leave()

    def _add(self, *segments: Segment) -> None:
        self._run.extend(segments)
        self._here = segments[-1].end

    def _line(self, to: Point) -> None:
        if dist(self._here, to) > 1e-12:
            self._add(Line(self._here, to))
        self._here = to

    def _curve(self, upper: str, points: list[Point]) -> Point:
        here = self._here
        if upper in "ST":
            mirrors = self._handle if self._before in ("CS" if upper == "S" else "QT") else None
            points = [(2 * here[0] - mirrors[0], 2 * here[1] - mirrors[1]) if mirrors else here, *points]
        if upper in "CS":
            self._add(Cubic(here, points[0], points[1], points[2]))
            self._here = points[2]
            return points[1]
        handle, to = points
        first, second = ((p[0] + 2 / 3 * (handle[0] - p[0]), p[1] + 2 / 3 * (handle[1] - p[1])) for p in (here, to))
        self._add(Cubic(here, first, second, to))
        self._here = to
        return handle

    def _arc(self, n: list[float], to: Point) -> None:
        if dist(self._here, to) < 1e-12:
            return
        if n[0] == 0 or n[1] == 0:
            self._line(to)
            return
        self._add(*svg_arc(self._here, to, abs(n[0]), abs(n[1]), n[2], n[3] != 0, n[4] != 0))
        self._here = to

    def _close(self) -> None:
        self._line(self._start)
        if self._run:
            self.loops.append(tuple(self._run))
        self._run = []

    def _leave(self) -> None:
        """The pen moves elsewhere, or the path ends."""
        if not self._run:
            return
        gap = dist(self._here, self._start)
        if self._closing and gap <= 1e-6 * max(1.0, *map(abs, self._here)):
            self._close()
        elif self._closing:
            self.opened += 1
            self._run = []
        else:
            raise OutlineError(say("the path isn't closed"), hint=say("end it with Z"))


def svg_arc(p: Point, q: Point, rx: float, ry: float, tilt: float, large: bool, sweep: bool) -> tuple[Segment, ...]:
    """An elliptical arc by its ends (SVG 1.1, appendix F.6). A circular arc stays an arc; an elliptical one becomes
    cubic curves of at most 22.5 degrees, which are off by less than its radius × 1e-7."""
    c, s = cos(radians(tilt)), sin(radians(tilt))
    dx, dy = (p[0] - q[0]) / 2, (p[1] - q[1]) / 2
    x, y = c * dx + s * dy, -s * dx + c * dy
    over = (x / rx) ** 2 + (y / ry) ** 2
    if over > 1:
        rx, ry = rx * sqrt(over), ry * sqrt(over)
    under = (rx * y) ** 2 + (ry * x) ** 2
    root = sqrt(max(0.0, (rx * ry) ** 2 - under) / under) * (1 if large != sweep else -1)
    cx, cy = root * rx * y / ry, -root * ry * x / rx
    centre = (c * cx - s * cy + (p[0] + q[0]) / 2, s * cx + c * cy + (p[1] + q[1]) / 2)
    begin = atan2((y - cy) / ry, (x - cx) / rx)
    turn = (atan2((-y - cy) / ry, (-x - cx) / rx) - begin) % TURN
    if not sweep:
        turn -= TURN
    if abs(rx - ry) < 1e-9 * rx:
        return (Arc(centre, rx, atan2(p[1] - centre[1], p[0] - centre[0]), turn),)

    def place(u: float, v: float) -> Point:
        return (centre[0] + c * rx * u - s * ry * v, centre[1] + s * rx * u + c * ry * v)

    return elliptic(place, begin, turn)


def elliptic(place: Callable[[float, float], Point], begin: float, turn: float) -> tuple[Cubic, ...]:
    """An arc of the unit circle, transformed by the affine map `place`."""
    count = max(1, ceil(abs(turn) / (pi / 8) - 1e-9))
    step = turn / count
    pull = 4 / 3 * tan(step / 4)
    curves = []
    for which in range(count):
        a, b = begin + which * step, begin + (which + 1) * step
        curves.append(
            Cubic(
                place(cos(a), sin(a)),
                place(cos(a) - pull * sin(a), sin(a) + pull * cos(a)),
                place(cos(b) + pull * sin(b), sin(b) - pull * cos(b)),
                place(cos(b), sin(b)),
            )
        )
    return tuple(curves)
