"""A drawing on disk as an `[[outlines]]` table: its largest curve, with the curves inside it as cutouts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import isfinite

from msgspec import Struct

from tracker.cards.template.drawing_files import path_data
from tracker.intake.drawings.dxf import dxf_curves
from tracker.intake.drawings.svg import svg_curves
from tracker.intake.errors import IntakeError
from tracker.measure import Units
from tracker.plan.outline.curve import Loop, extent, flat, inside, moments
from tracker.plan.outline.figures import MOST_SEGMENTS

MOST_BYTES = 4_000_000
LARGE, SMALL = 3000.0, 10.0
LEAST_AREA = 0.01
INCH = 25.4
LONGEST = 3_500
"""The most characters on a line of a build file, with a margin."""


class Drawing(Struct, frozen=True, kw_only=True):
    """An outline in millimetres, y upward, and remarks. `outside` curves lie beside the largest one."""

    outer: Loop
    cutouts: tuple[Loop, ...]
    outside: int
    remarks: tuple[str, ...]


def read_drawing(data: bytes, name: str) -> Drawing:
    """Read an SVG or DXF file; its bytes decide which it is, not its name. Raises IntakeError."""
    if len(data) > MOST_BYTES:
        raise IntakeError("the drawing is larger than 4 MB")
    if not data.strip():
        raise IntakeError("the file is empty")
    if data[:4] == b"PK\x03\x04" or data[:2] == b"\x1f\x8b":
        raise IntakeError("the file is packed: save it as plain SVG or DXF")
    is_xml = b"<" in data[:400] and re.search(rb"<(\?xml|svg|!--|!DOCTYPE|\w+:svg)", data[:2000]) is not None
    loops, remarks = svg_curves(data) if is_xml else dxf_curves(data)
    found = [loop for loop in loops if abs(moments(loop)[0]) > LEAST_AREA]
    if not found:
        said = f" ({'; '.join(remarks[:3])})" if remarks else ""
        raise IntakeError(f"no closed curve is drawn in it{said}")
    if sum(map(len, found)) > MOST_SEGMENTS:
        raise IntakeError(f"the drawing has more than {MOST_SEGMENTS:,} lines and curves: too many for an outline")
    return _sorted(found, remarks)


def _sorted(loops: Sequence[Loop], remarks: list[str]) -> Drawing:
    outer, *others = sorted(loops, key=lambda loop: -abs(moments(loop)[0]))
    box = extent(outer)
    if not all(isfinite(value) and abs(value) < 1e7 for value in box):
        raise IntakeError("the drawing is larger than a kilometre")
    polygon = flat(outer, 0.05)
    within = [loop for loop in others if inside(polygon, loop[0].start)]
    wide, deep = box[2] - box[0], box[3] - box[1]
    if max(wide, deep) > LARGE or min(wide, deep) < SMALL:
        remarks = [*remarks, f"it is {wide:.1f} × {deep:.1f} mm: is its unit right?"]
    outside = len(others) - len(within)
    if outside:
        remarks = [*remarks, f"{outside} closed curve{'s' if outside > 1 else ''} outside the largest one left out"]
    return Drawing(outer=outer, cutouts=tuple(within), outside=outside, remarks=tuple(remarks))


def outline_text(drawing: Drawing, id_: str, of: str, units: Units) -> str:
    """An `[[outlines]]` table, with every remark as a comment."""
    per = INCH if units == "in" else 1.0
    box = extent(drawing.outer)
    zero = (box[0], box[3])
    remarks = [f"# {remark}" for remark in drawing.remarks]
    size = " × ".join(f"{length / per:.4g}" for length in (box[2] - box[0], box[3] - box[1]))
    cutouts = f", {len(drawing.cutouts)} cutout{'' if len(drawing.cutouts) == 1 else 's'}" if drawing.cutouts else ""
    paths = [_broken(path_data(loop, zero, per)) for loop in (drawing.outer, *drawing.cutouts)]
    return "\n".join(
        [
            "[[outlines]]",
            *remarks,
            f'id = "{id_}"',
            f'of = "{of}"                        # the part or the assembly that it is sawn from',
            f"# {size} {units}{cutouts}; for a build whose units are {units!r}".replace("'", '"'),
            'svg = """',
            *paths,
            '"""',
            "",
        ]
    )


def _broken(path: str) -> str:
    """A long path broken into lines before a letter."""
    lines = [""]
    for part in re.split(r" (?=[A-Z])", path):
        if len(lines[-1]) + len(part) > 110:
            lines.append("")
        lines[-1] = f"{lines[-1]} {part}".strip()
    return "\n".join(lines)
