"""Labels of an invented build, from the plainest to the most awkward."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable

from tracker.cards.labels.label import Label, end_words
from tracker.cards.piece.drawing import Drawing, EndNote
from tracker.paper.face import face
from tracker.paper.labels import write_label_pdf
from tracker.paper.sheets import Sheet
from tracker.work.codes import code_for


def drawing(
    length: float = 600, width: float = 76, a: float = 15, b: float = 15, bevel: float = 0, grain: str = "along"
) -> Drawing:
    """The drawing of a piece whose far edge is longer at both ends."""
    at_a, at_b = (math.tan(math.radians(angle)) * width for angle in (a, b))
    back = math.tan(math.radians(bevel)) * 19
    notes = [
        EndNote(
            end="A" if end == 0 else "B",
            miter=f"{angle:g}°" if angle else "",
            bevel=f"{bevel:g}°" if bevel else "",
            swing="far edge longer" if angle else "",
            long_point=((0.0, width), (length, width))[end] if angle else None,
            trimmed=True,
            next=True,
            upper_longer=True,
        )
        for end, angle in enumerate((a, b))
    ]
    return Drawing(
        outline=((at_a, 0), (length - at_b, 0), (length, width), (0, width)),
        top_face=((at_a + back, 0), (length - at_b - back, 0), (length - back, width), (back, width)),
        hidden=(((at_a + back, 0), (back, width)),) if bevel else (),
        blank=(),
        ends=(notes[0], notes[1]),
        holes=(),
        grain="across" if grain == "across" else "along",
    )


JOINERY = ("2\u00a0mortises near edge, far edge · groove near edge · round over near top", "2\u00a0mortises · groove")


def label(title: str, item: str, shape: Drawing | None = None, **words: str) -> Label:
    return Label(
        code=code_for("winter stool", item),
        title=title,
        build=words.get("build", "Winter stool"),
        final=words.get("final", "23\u20095⁄8″ × 3″ × 3⁄4″"),
        blank=words.get("blank", "24\u20095⁄8″ × 3\u20091⁄4″"),
        hand=words.get("hand", ""),
        face="this face up" if shape else "",
        joinery=JOINERY if words.get("joinery") else (),
        ends=(end_words(shape.ends[0]), end_words(shape.ends[1])) if shape else ((), ()),
        drawing=shape,
    )


LONGEST = label(
    "Lower stretcher between the back legs of the long bench 23 of 24",
    "stretcher:23",
    drawing(1219.2, 88.9, 28.9, 28.9, 40.9),
    final="1219.5 mm × 188.5 mm × 119.5 mm",
    blank="1244.5 mm × 195.5 mm",
    hand="right-hand",
    build="Long bench with a back for the boathouse, third revision",
)
LABELS = (
    label("Leg 1 of 4", "leg:1", drawing()),
    label("Leg 2 of 4", "leg:2", drawing(b=0), hand="left-hand", joinery="yes"),
    label("Leg 3 of 4", "leg:3", drawing(bevel=10.5), hand="right-hand"),
    label("Stave 4 of 12", "stave:4", drawing(120, 60, 45, 45)),
    label("Panel 6 of 6", "panel:6", drawing(300, 200, 0, 0, grain="across")),
    LONGEST,
    Label(
        code=code_for("winter stool", "base:1"),
        title="Base",
        build="Winter stool",
        lines=("4 × Leg", "2 × Front apron", "2 × Side apron", "Glued, 4 clamps"),
    ),
)


def sheet_pdf(labels: Iterable[Label], sheet: Sheet, *, dpi: int = 300) -> bytes:
    """The labels on their sheets, as one PDF."""
    file = io.BytesIO()
    write_label_pdf(file, labels, sheet, dpi=dpi)
    return file.getvalue()


def label_png(label: Label, sheet: Sheet) -> bytes:
    """A picture of one label alone."""
    file = io.BytesIO()
    face(label, sheet, 300).save(file, "PNG")
    return file.getvalue()
