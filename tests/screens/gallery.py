"""Every widget of the toolkit on one page after another, with the longest words and numbers it must hold."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from kivy.app import App
from kivy.lang import Builder

from tracker.measure.length import Length
from tracker.measure.reading import SIXTEENTH, read_length
from tracker.screens.theme import Theme
from tracker.screens.widgets import MarkView, Option, Panel, RowView, load_toolkit

PAGES = """
#:import Factory kivy.factory.Factory

<CardPage@Ground>:
    Sheet:
        size_hint_x: None
        width: 26 * app.theme.mm
        padding: 1.5 * app.theme.mm, app.theme.grid
        RailButton:
            text: 'queue'
            icon: 'queue'
            chosen: True
        RailButton:
            text: 'clocks'
            icon: 'clock'
        RailButton:
            text: 'labels'
            icon: 'label'
        RailButton:
            text: 'scan'
            icon: 'scan'
        Widget:
    QueueList:
        id: queue
        size_hint_x: None
        width: 62 * app.theme.mm
    Sheet:
        Text:
            text: 'Leg 2 of 4'
            font_size: app.theme.lead
            bold: True
            size_hint_y: None
            height: self.lines_height
        BigReading:
            id: reading
            size_hint_y: None
            height: 38 * app.theme.mm
        Widget:
        MarksRow:
            id: marks
        BigButton:
            text: 'Cut is done'
            sub_text: 'then trim end B'
            tone: ''
"""


class Gallery(App):
    """`page` is the name of a rule in PAGES."""

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
        if "gallery" not in Builder.files:
            Builder.load_string(PAGES, filename="gallery")
        from kivy.factory import Factory

        page = Factory.get(self.page)()
        fill(page)
        return page


ROUTE = [
    MarkView("cut", "done"), MarkView("trimmed", "ready"), MarkView("drilled", "waiting"), MarkView("dry fitted", "waiting"),
    MarkView("glued", "waiting"), MarkView("sanded", "caution"), MarkView("finished", "waiting"),
]  # fmt: skip


def fill(page: Any) -> None:
    ids = page.ids
    if "marks" in ids:
        ids.marks.marks = ROUTE
    if "reading" in ids:
        ids.reading.reading = read_length(Length.of(Fraction(189, 8), "in"), SIXTEENTH)
    if "queue" in ids:
        rows = []
        for setup in range(3):
            rows.append(RowView(title=f"Mitre {15 * setup}°", subtitle="stop at 23 5⁄8″", group=True))
            rows += [
                RowView(
                    title=f"Leg {n} of 4",
                    subtitle="23 5⁄8″ end A",
                    tone=("done", "ready", "waiting", "caution")[n - 1],
                    key=(setup, n),
                )
                for n in range(1, 5)
            ]
        ids.queue.rows = rows
        ids.queue.selected = (0, 2)


__all__ = ["Gallery", "Option", "Panel"]
