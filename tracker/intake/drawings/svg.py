"""Closed curves from an SVG file (SVG 1.1): shapes, groups, transforms, units. Millimetres, y upward."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections import Counter
from math import cos, isfinite, radians, sin, tan

from tracker.intake.errors import IntakeError
from tracker.plan.outline.curve import Loop, Move
from tracker.plan.outline.errors import OutlineError
from tracker.plan.outline.svg_path import svg_loops

MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "px": 25.4 / 96, "": 25.4 / 96}
"""Millimetres in a unit (CSS 2.1, 4.3.2: 96 dots to the inch)."""
DEEPEST = 50
MOST_LOOPS = 500
MOST_ELEMENTS = 50_000
_HIDDEN = {
    "defs", "clipPath", "mask", "symbol", "marker", "pattern", "linearGradient", "radialGradient", "style", "metadata",
    "title", "desc",
}  # fmt: skip
_LEFT_OUT = {"text", "use", "image", "foreignObject", "tspan"}
_LENGTH = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,2})?)\s*(mm|cm|in|pt|pc|px|)\s*\Z")
_CALL = re.compile(r"(\w+)\s*\(([^()]*)\)")
_ARGUMENTS = {"matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewX": (1,), "skewY": (1,)}


def svg_curves(data: bytes) -> tuple[list[Loop], list[str]]:
    """The closed curves of a drawing, and remarks on what was left out. Raises IntakeError."""
    if b"<!ENTITY" in data or (
        b"<!DOCTYPE" in data and b"[" in data.partition(b"<!DOCTYPE")[2][:2000].partition(b">")[0]
    ):
        raise IntakeError("the drawing defines entities: save it as plain SVG")
    try:
        root = ET.fromstring(data)
    except (ET.ParseError, ValueError, LookupError):
        raise IntakeError("this isn't an SVG file, or it is damaged") from None
    if _tag(root) != "svg":
        raise IntakeError("this isn't an SVG file")
    walk = _Walk()
    base, top = _base(root, walk.remarks)
    walk.into(root, base, 0)
    turned_over = Move(1.0, 0.0, 0.0, -1.0, 0.0, top)
    return [turned_over.loop(loop) for loop in walk.loops], walk.said()


def _tag(element: ET.Element) -> str:
    return element.tag.rsplit("}", 1)[-1] if isinstance(element.tag, str) else ""


def _base(root: ET.Element, remarks: list[str]) -> tuple[Move, float]:
    """The transform from the drawing's units to millimetres, and the drawing's height in mm."""
    wide, high = _length(root.get("width")), _length(root.get("height"))
    box = _numbers(root.get("viewBox", ""))
    if len(box) == 4 and box[2] > 0 and box[3] > 0 and (wide or high):
        scale = min(size for size in (wide and wide / box[2], high and high / box[3]) if size)
        return Move(scale, 0.0, 0.0, scale, -box[0] * scale, -box[1] * scale), box[3] * scale
    remarks.append("the drawing doesn't say its size: 96 dots to the inch are taken")
    return Move(MM[""], 0.0, 0.0, MM[""]), high or (box[3] * MM[""] if len(box) == 4 else 0.0)


class _Walk:
    """Walks through all groups and collects what is drawn."""

    def __init__(self) -> None:
        self.loops: list[Loop] = []
        self.remarks: list[str] = []
        self._skipped: Counter[str] = Counter()
        self._seen = 0

    def said(self) -> list[str]:
        skipped = [f"{count} × {tag} left out" for tag, count in sorted(self._skipped.items())]
        return [*self.remarks, *skipped]

    def into(self, element: ET.Element, move: Move, depth: int) -> None:
        self._seen += 1
        if depth > DEEPEST or self._seen > MOST_ELEMENTS:
            raise IntakeError("the drawing is nested too deep, or has too many elements, for an outline")
        tag = _tag(element)
        if tag in _HIDDEN or not tag:
            return
        if tag in _LEFT_OUT:
            self._skipped[tag] += 1
            return
        if depth and tag == "svg":
            self._skipped["svg inside the svg"] += 1
            return
        move = move @ _transform(element.get("transform", ""))
        self._draw(tag, element, move)
        for child in element:
            self.into(child, move, depth + 1)

    def _draw(self, tag: str, element: ET.Element, move: Move) -> None:
        data = _path_of(tag, element)
        if not data.strip():
            return
        if move.area == 0:
            self._skipped["flattened shape"] += 1
            return
        try:
            loops = svg_loops(data, closing=True)
        except OutlineError as wrong:
            raise IntakeError(f"a {tag} can't be read: {wrong.what.replace('{{', '{').replace('}}', '}')}") from None
        if not loops:
            self._skipped["open line"] += 1
        self.loops += [move.loop(loop) for loop in loops]
        if len(self.loops) > MOST_LOOPS:
            raise IntakeError(f"the drawing has more than {MOST_LOOPS} closed curves: too many for an outline")


def _path_of(tag: str, element: ET.Element) -> str:
    """A shape as path data; empty for a group."""
    if tag == "path":
        return element.get("d", "")
    if tag in ("polygon", "polyline"):
        points = element.get("points", "").strip()
        return f"M{points}{' Z' if tag == 'polygon' else ''}" if points else ""

    def at(name: str) -> float:
        return (_length(element.get(name)) or 0.0) / MM[""]

    if tag in ("circle", "ellipse"):
        rx, ry = (at("r"), at("r")) if tag == "circle" else (at("rx"), at("ry"))
        x, y = at("cx"), at("cy")
        turn = f"A{rx!r},{ry!r} 0 0 1"
        return f"M{x + rx!r},{y!r} {turn} {x - rx!r},{y!r} {turn} {x + rx!r},{y!r} Z" if rx > 0 and ry > 0 else ""
    if tag != "rect" or at("width") <= 0 or at("height") <= 0:
        return ""
    x, y, wide, high = at("x"), at("y"), at("width"), at("height")
    rx = at("rx") if element.get("rx") else at("ry")
    ry = at("ry") if element.get("ry") else at("rx")
    rx, ry = min(rx, wide / 2), min(ry, high / 2)
    if rx <= 0 or ry <= 0:
        return f"M{x!r},{y!r} h{wide!r} v{high!r} h{-wide!r} Z"
    turn = f"A{rx!r},{ry!r} 0 0 1"
    right, low = x + wide, y + high
    return (
        f"M{x + rx!r},{y!r} H{right - rx!r} {turn} {right!r},{y + ry!r} V{low - ry!r} {turn} {right - rx!r},{low!r} "
        f"H{x + rx!r} {turn} {x!r},{low - ry!r} V{y + ry!r} {turn} {x + rx!r},{y!r} Z"
    )


def _transform(text: str) -> Move:
    move = Move()
    for name, written in _CALL.findall(text):
        n = _numbers(written)
        if name not in _ARGUMENTS or len(n) not in _ARGUMENTS[name]:
            raise IntakeError(f"'{name[:20]}({written[:20]})' isn't a transform of a drawing")
        move = move @ _one(name, n)
    return move


def _one(name: str, n: list[float]) -> Move:
    if name == "matrix":
        return Move(*n)
    if name == "translate":
        return Move(e=n[0], f=n[1] if len(n) > 1 else 0.0)
    if name == "scale":
        return Move(a=n[0], d=n[-1])
    if name == "rotate":
        c, s = cos(radians(n[0])), sin(radians(n[0]))
        turn = Move(c, s, -s, c)
        return turn if len(n) == 1 else Move(e=n[1], f=n[2]) @ turn @ Move(e=-n[1], f=-n[2])
    slant = tan(radians(n[0]))
    return Move(c=slant) if name == "skewX" else Move(b=slant)


def _length(text: str | None) -> float | None:
    """A length in millimetres; None for a percentage or for what isn't a length."""
    found = _LENGTH.match(text[:40]) if text else None
    return float(found[1]) * MM[found[2]] if found else None


def _numbers(text: str) -> list[float]:
    try:
        numbers = [float(part) for part in re.split(r"[\s,]+", text.strip()[:400]) if part]
    except ValueError:
        raise IntakeError(f"'{text[:20]}' isn't a row of numbers") from None
    if not all(isfinite(number) and abs(number) < 1e7 for number in numbers):
        raise IntakeError("a number of the drawing is too large")
    return numbers
