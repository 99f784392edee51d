"""The rows of a list: pieces, headings, strips of numbers, and plates to hold. Words that the list's edge would cut
aren't drawn, because half a line looks like a fault."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.recycleview.views import RecycleDataViewBehavior
from kivy.uix.widget import Widget
from msgspec import Struct

from tracker.screens.toolkit.buttons import Plate, Plated
from tracker.screens.toolkit.marks import draw_shape
from tracker.screens.toolkit.text import Text
from tracker.screens.toolkit.theme import HELD, SCALE, SMALL, Themed
from tracker.screens.toolkit.touch import Holdable, Tappable
from tracker.screens.toolkit.typeset import DrawnText, Line
from tracker.words import say

CELL = SMALL
"""The height of a cell of a strip (mm)."""
CELL_LEFT, CELL_RIGHT, SIGN, SIGN_GAP = 1.3, 0.6, 5.2, 0.6
"""Inside a cell, in millimetres: the margin, the mark, and the gap between the mark and the number."""
AT_ONCE = 12
"""How many new cells of a strip are made in one frame."""


class Cell(Struct, frozen=True, kw_only=True):
    """One of several things that differ only in their number: `key` is returned when it is chosen."""

    key: Hashable
    text: str
    tone: str = ""


class RowView(Struct, frozen=True, kw_only=True):
    """One row: `key` is returned when it is chosen; a `group` row is a heading and can't be chosen; one with `cells` is
    a strip of numbers."""

    title: str
    subtitle: str = ""
    tone: str = ""
    key: Hashable = None
    group: bool = False
    cells: tuple[Cell, ...] = ()
    held: bool = False
    """Whether it is chosen by holding it for a second."""


class RowText(Text):
    """The words of a row, drawn when all of them are in view: `whole`. Without the words that it `leads`, a heading
    means little."""

    queue = ObjectProperty(None, allownone=True, rebind=True)
    whole = BooleanProperty(True)
    leads = BooleanProperty(True)


class ListRow(RecycleDataViewBehavior, Tappable, Plate):
    """title, subtitle, tone (a shape at the leading side), key, chosen (current). 22 mm high."""

    title = StringProperty("")
    subtitle = StringProperty("")
    tone = StringProperty("")
    key = ObjectProperty(None, allownone=True)
    queue = ObjectProperty(None, allownone=True, rebind=True)
    title_font, title_lines = NumericProperty(1), NumericProperty(1)
    subtitle_lines = NumericProperty(1)
    subtitle_font = NumericProperty(1)
    least_mm = NumericProperty(22.0)

    _meant: Hashable = None
    """The key that the finger landed on: a row that is recycled under the finger must not choose another."""

    def _press(self) -> None:
        super()._press()
        self._meant = self.key

    def on_tap(self) -> None:
        if self.queue is None or self.key != self._meant:
            return
        if self.ids.title.whole:
            self.queue.dispatch("on_choose", self.key)
        else:  # nobody chooses what can't be read
            self.queue.show(self.key)


class GroupRow(RecycleDataViewBehavior, Themed, BoxLayout):
    """A heading: one setting of the saw and what is cut with it."""

    below = NumericProperty(0)
    """How far the title of the row below extends under this heading's title, in points."""
    title = StringProperty("")
    subtitle = StringProperty("")
    queue = ObjectProperty(None, allownone=True, rebind=True)
    title_font, title_lines = NumericProperty(1), NumericProperty(1)
    subtitle_lines = NumericProperty(1)
    subtitle_font = NumericProperty(1)


class StripCell(Tappable, Plated, Widget):
    """A number with its mark, 15 mm square or more. The cell draws them itself: a list is full of cells, and two
    widgets in each took four times as long."""

    text = StringProperty("")
    tone = StringProperty("")
    key = ObjectProperty(None, allownone=True)
    queue = ObjectProperty(None, allownone=True)
    whole = BooleanProperty(True)
    """Whether all of it is in view; otherwise its number isn't drawn."""
    least_mm = NumericProperty(SMALL)

    def __init__(self, **kwargs: Any) -> None:
        self.drawn_text: list[DrawnText] = []
        self.truncated = False
        self._draw = Clock.create_trigger(self._put, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "mm", "text", "tone", "whole", "ink", "palette"):
            self.fbind(name, self._draw)
        for name in ("y", "top", "queue"):
            self.fbind(name, self.look)
        self._draw()

    def look(self, *_: object) -> None:
        """Check whether all of it is in view: the list was scrolled, or the cell was moved."""
        queue = self.queue
        self.whole = not queue or (self.y >= queue.low_edge - 1 and self.top <= queue.high_edge + 1)

    def _put(self, *_: object) -> None:
        """The mark at the left, the number in the middle of the rest, in the larger type that fits."""
        self.canvas.clear()
        self.drawn_text = []
        if not self.whole or self.width <= 1:
            return
        mm, sign = self.mm, SIGN * self.mm
        left = self.x + CELL_LEFT * mm
        start = left + sign + SIGN_GAP * mm
        room = self.right - CELL_RIGHT * mm - start
        with self.canvas:
            draw_shape(self.tone, left, self.center_y - sign / 2, sign, self.palette)
            Color(*self.ink)
            line = Line(self.text, SCALE["note"], mm, bold=True)
            if line.width > room:
                line = Line(self.text, SCALE["fine"], mm, bold=True)
            x, baseline = start + (room - line.width) / 2, self.center_y - line.height / 2
            line.put(x, baseline)
        self.truncated = line.width > room + 1
        self.drawn_text = [line.drawn(x, baseline, self.ink)]

    def on_tap(self) -> None:
        if self.queue is None:
            return
        if self.whole:
            self.queue.dispatch("on_choose", self.key)
        else:  # nobody chooses what can't be read
            self.queue.show(self.key)


class StripRow(RecycleDataViewBehavior, Themed, BoxLayout):
    """Things that differ only in their number, side by side, in as many rows as the width requires."""

    title = StringProperty("")
    title_font, title_lines = NumericProperty(1), NumericProperty(1)
    cells = ObjectProperty(())
    chosen = ObjectProperty(None, allownone=True)
    columns = NumericProperty(1)
    queue = ObjectProperty(None, allownone=True, rebind=True)

    def __init__(self, **kwargs: Any) -> None:
        self._spare: list[StripCell] = []
        """Cells of a longer strip that the row showed before; making one takes longer than the rest of a row."""
        self._list: Any = None
        self._more = Clock.create_trigger(self._put, 0)
        super().__init__(**kwargs)
        self._put()

    def on_cells(self, *_: object) -> None:
        self._put()

    def on_chosen(self, *_: object) -> None:
        self._put()

    def on_queue(self, *_: object) -> None:
        if self._list is not None:
            self._list.unbind(low_edge=self._look, high_edge=self._look)
        self._list = self.queue
        if self._list is not None:
            self._list.bind(low_edge=self._look, high_edge=self._look)
        self._put()

    def _look(self, *_: object) -> None:
        for cell in self.ids.grid.children:
            cell.look()

    def _put(self, *_: object) -> None:
        """Give the cells their numbers. Of many new cells some are made in this frame, and more in the next."""
        grid = self.ids.get("grid")
        if grid is None:
            return
        while len(grid.children) > len(self.cells):
            self._spare.append(grid.children[0])
            grid.remove_widget(grid.children[0])
        made = 0
        while len(grid.children) < len(self.cells) and (self._spare or made < AT_ONCE):
            made += not self._spare
            grid.add_widget(self._spare.pop() if self._spare else StripCell())
        for widget, cell in zip(reversed(grid.children), self.cells, strict=False):
            widget.key, widget.text, widget.tone, widget.queue = cell.key, cell.text, cell.tone, self.queue
            widget.chosen = cell.key == self.chosen
        if len(grid.children) < len(self.cells):
            self._more()


class HoldPlate(Holdable, Plate):
    """Held for a second it does for all what a tap does for one. 30 mm high; a bar fills while it is held."""

    title = StringProperty("")
    title_font, title_lines = NumericProperty(1), NumericProperty(1)
    how = StringProperty(say("Hold for one second"))
    how_lines = NumericProperty(1)
    queue = ObjectProperty(None, allownone=True, rebind=True)
    least_mm = NumericProperty(HELD)


class HoldRow(RecycleDataViewBehavior, Themed, BoxLayout):
    """A plate to hold, with the wider gap around it that such a plate needs."""

    title = StringProperty("")
    title_font, title_lines = NumericProperty(1), NumericProperty(1)
    key = ObjectProperty(None, allownone=True)
    queue = ObjectProperty(None, allownone=True, rebind=True)

    def held(self) -> None:
        """The plate was held for a second."""
        if self.queue is not None:
            self.queue.dispatch("on_choose", self.key)
