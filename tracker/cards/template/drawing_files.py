"""An outline as a drawing for other programs: SVG at full size, and DXF R12. Text in memory."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, tan
from xml.sax.saxutils import escape

from tracker.plan.convex import Point
from tracker.plan.outline.curve import Arc, Cubic, Line, Loop, extent
from tracker.plan.outline.outlined import Outlined

DXF_CHORD = 0.005
"""Millimetres: how far a chord may be from a cubic curve, which R12 doesn't have."""


def svg_drawing(each: Outlined, title: str) -> str:
    """One user unit is a millimetre, and the size says so; arcs stay arcs."""
    x0, y0, x1, y1 = extent(each.outer)
    wide, high = number(x1 - x0), number(y1 - y0)
    path = " ".join(path_data(loop, (x0, y1)) for loop in each.loops)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">\n'
        f"<title>{escape(title)}</title>\n"
        f'<path d="{path}" fill="none" stroke="black" stroke-width="0.25" fill-rule="evenodd"/>\n</svg>\n'
    )


def path_data(loop: Loop, zero: Point, per: float = 1.0) -> str:
    """A loop as SVG path data, y downward from `zero`; `per` is the number of millimetres in its unit."""

    def place(p: Point) -> str:
        return f"{figure((p[0] - zero[0]) / per)} {figure((zero[1] - p[1]) / per)}"

    def figure(value: float) -> str:
        return number(value, 5 if per == 1.0 else 7)

    parts = [f"M {place(loop[0].start)}"]
    for segment in loop:
        if isinstance(segment, Line):
            parts.append(f"L {place(segment.end)}")
        elif isinstance(segment, Cubic):
            parts.append(f"C {place(segment.first)} {place(segment.second)} {place(segment.end)}")
        else:
            radius = figure(segment.radius / per)
            sweep = 0 if segment.turn > 0 else 1
            halves = 2 if abs(segment.turn) > 3.1 else 1
            parts += [f"A {radius} {radius} 0 0 {sweep} {place(segment.at((at + 1) / halves))}" for at in range(halves)]
    return " ".join([*parts, "Z"])


def number(value: float, digits: int = 5) -> str:
    """Rounded to this many decimals, without trailing zeros."""
    return f"{round(value, digits) + 0.0:.{digits}f}".rstrip("0").rstrip(".")


def dxf_drawing(each: Outlined) -> str:
    """R12 text: one closed polyline for each loop, arcs as bulges tan(turn / 4). R12 has no units: these are
    millimetres."""
    lines = ["0", "SECTION", "2", "HEADER", "9", "$ACADVER", "1", "AC1009", "0", "ENDSEC"]
    lines += ["0", "SECTION", "2", "ENTITIES"]
    for loop in each.loops:
        lines += ["0", "POLYLINE", "8", "OUTLINE", "66", "1", "70", "1", "10", "0.0", "20", "0.0", "30", "0.0"]
        for (x, y), bulge in _vertices(loop):
            lines += ["0", "VERTEX", "8", "OUTLINE", "10", f"{x:.6f}", "20", f"{y:.6f}", "30", "0.0"]
            if bulge:
                lines += ["42", f"{bulge:.9f}"]
        lines += ["0", "SEQEND", "8", "OUTLINE"]
    return "\n".join([*lines, "0", "ENDSEC", "0", "EOF", ""])


def _vertices(loop: Loop) -> Iterator[tuple[Point, float]]:
    """Where each segment of a loop begins, and its bulge."""
    for segment in loop:
        if isinstance(segment, Arc):
            count = max(1, ceil(abs(segment.turn) / 3.0))
            bulge = tan(segment.turn / count / 4)
        else:
            count, bulge = segment.steps(DXF_CHORD), 0.0
        yield from ((segment.at(at / count), bulge) for at in range(count))
