"""Every widget of the toolkit, on a few pages, with the longest words and numbers that it must hold."""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path
from typing import Any

from kivy.app import App
from kivy.factory import Factory
from kivy.lang import Builder

from tracker.cards.marks import MarkView, Tone
from tracker.cards.piece.drawing import Drawing, EndNote, HoleMark
from tracker.measure.length import Length
from tracker.measure.tape_reading import MILLIMETRE, SIXTEENTH, Mark, read_length
from tracker.screens.drawing.piece import PieceDrawing
from tracker.screens.toolkit.theme import Theme
from tracker.screens.toolkit.widgets import BigReading, Option, Panel, RowView, load_toolkit

PAGES = ("CardPage", "PiecesPage", "ButtonsPage", "FacesPage", "KeypadPage", "PanelPage", "ReadingsPage")
TABLETS = {"10 inch, fine": (1920, 1200, 224.0), "10 inch, coarse": (1280, 800, 149.0)}
_KV = str(Path(__file__).with_name("gallery.kv"))


class Gallery(App):
    """One page in one theme. `page` is the name of a rule of gallery.kv."""

    def __init__(self, page: str, theme: str = "day", **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.theme = Theme(name=theme)
        self.page = page

    def load_config(self) -> None:
        return None

    def load_kv(self, filename: str | None = None) -> bool:
        return False

    def build(self) -> Any:
        load_toolkit()
        if _KV not in Builder.files:
            Builder.load_file(_KV)
        page = Factory.get(self.page)()
        _fill(page)
        return page


def inches(number: str) -> Any:
    """`23 5/8` as the tape shows it."""
    return read_length(Length.of(sum(Fraction(each) for each in number.split()), "in"), Mark("in", Fraction(1, 64)))


def drawing(
    length: float,
    width: float,
    *,
    a: float = 0,
    b: float = 0,
    bevel: float = 0,
    trimmed: tuple[bool, bool] = (True, True),
    holes: tuple[HoleMark, ...] = (),
    grain: str = "along",
    taper: float = 0,
) -> Drawing:
    """The drawing of a board whose far edge is longer at both ends; its near edge may taper toward end B."""
    at_a, at_b = (math.tan(math.radians(angle)) * width for angle in (a, b))
    back = math.tan(math.radians(bevel)) * 19
    notes = [
        EndNote(
            end="A" if side == 0 else "B",
            miter=f"{angle:g}°" if angle else "",
            bevel=f"{bevel:g}°" if bevel else "",
            swing="far edge and top face longer" if angle and bevel else "far edge longer" if angle else "",
            long_point=((0.0, width), (length, width))[side] if angle else None,
            trimmed=trimmed[side],
            next=True,
            upper_longer=True,
        )
        for side, angle in enumerate((a, b))
    ]
    spare = (0 if trimmed[0] else 12.7, 0 if trimmed[1] else 12.7)
    blank = ((-spare[0], 0.0), (length + spare[1], 0.0), (length + spare[1], width), (-spare[0], width))
    return Drawing(
        outline=((at_a, 0), (length - at_b, taper), (length, width), (0, width)),
        top_face=((at_a + back, 0), (length - at_b - back, taper), (length - back, width), (back, width)),
        hidden=(),
        blank=blank if any(spare) else (),
        ends=(notes[0], notes[1]),
        holes=holes,
        grain="across" if grain == "across" else "along",
    )


POCKETS = tuple(
    HoleMark(start=(x, y), tip=(x - 40, y), hidden=hidden, pocket=True, done=True)
    for x, y, hidden in ((60, 25, False), (60, 60, False), (60, 95, True))
)
PEGS = tuple(
    HoleMark(start=(x, 60), tip=(x, 60), hidden=hidden, pocket=False, done=True)
    for x, hidden in ((60, False), (240, True))
)
DRAWINGS = {
    "mitred at both ends, still to trim": drawing(600, 89, a=15, b=15, trimmed=(False, False)),
    "compound": drawing(360, 120, a=28.9, b=28.9, bevel=30.4, trimmed=(True, False)),
    "long and thin": drawing(1800, 38, a=5.7, b=5.7, trimmed=(False, False)),
    "square, with pockets": drawing(420, 120, holes=POCKETS),
    "tapered leg": drawing(430, 64, a=10.5, taper=28, trimmed=(True, True)),
    "top, grain across": drawing(300, 240, grain="across", holes=PEGS),
}

_ROUTE_TONES: tuple[Tone, ...] = ("done", "ready", "waiting", "waiting", "waiting", "caution", "waiting")
_ROUTE_WORDS = ("cut", "trimmed", "drilled", "dry fit", "glued", "sanded 120", "finished")
ROUTE = [MarkView(word, tone) for word, tone in zip(_ROUTE_WORDS, _ROUTE_TONES, strict=True)]
HALF = Mark("mm", Fraction(1, 2))
READINGS = (
    *(inches(number) for number in ("23 5/8", "131 63/64", "11/16", "48")),
    read_length(Length.of(600, "mm"), MILLIMETRE),
    read_length(Length.of(Fraction("1828.5"), "mm"), HALF),
    "28.9°",
    read_length(Length.of(Fraction(-3, 8), "in"), SIXTEENTH),
)
OPTIONS = [
    Option(key="saw", text="Saw", sub_text="7 pieces ready", tone="ready"),
    Option(key="drill", text="Drill", sub_text="3 pieces ready", tone="ready"),
    Option(key="bench", text="Bench", sub_text="nothing is ready", tone="waiting"),
    Option(key="sanding", text="Sanding", sub_text="12 pieces ready", tone="ready"),
    Option(key="finishing", text="Finishing", sub_text="waits for sanding", tone="waiting", possible=False),
]


def rows() -> list[RowView]:
    found = []
    for setup, words in enumerate(
        ("Square, stop 24\u20095⁄8″", "Swing 5.7° left, tilt 29.5° left, stop 23\u20095⁄8″", "")
    ):
        found.append(RowView(title=("Cut", "Trim", "Waits")[setup], subtitle=words, group=True))
        for number, tone in enumerate(("done", "ready", "ready", "caution"), 1):
            said = "waits until Leg 2 of 4 is cut, drilled and dry fitted" if setup == 2 else "23 5⁄8″"
            found.append(
                RowView(
                    title=f"Leg {number} of 4" if number < 4 else "Lower back stretcher 3 of 4",
                    subtitle=said,
                    tone="waiting" if setup == 2 else tone,
                    key=(setup, number),
                )
            )
    return found


def _fill(page: Any) -> None:
    ids = page.ids
    if "marks" in ids:
        ids.marks.marks = ROUTE
    if "reading" in ids:
        ids.reading.reading = inches("23 5/8")
    if "piece" in ids:
        ids.piece.drawing = DRAWINGS["mitred at both ends, still to trim"]
    if "queue" in ids:
        ids.queue.rows = rows()
        ids.queue.selected = (0, 2)
    if "pieces" in ids:
        for shape in DRAWINGS.values():
            sheet = Factory.Sheet()
            sheet.add_widget(PieceDrawing(drawing=shape))
            ids.pieces.add_widget(sheet)
    if "readings" in ids:
        for reading in READINGS:
            sheet = Factory.Sheet()
            sheet.add_widget(BigReading(reading=reading))
            ids.readings.add_widget(sheet)
    if type(page).__name__ == "PanelPage":
        Panel(title="Where are you working?", note="The queue shows what can be done there.", options=OPTIONS).open_on(
            page
        )
