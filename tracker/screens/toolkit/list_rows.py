"""The rows of a list: pieces, headings, strips of numbers, and what is held. Words that the list's edge would cut are
not drawn: half a line reads as a fault."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.recycleview.views import RecycleDataViewBehavior
from msgspec import Struct

from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.text import Text
from tracker.screens.toolkit.theme import HELD, SMALL, Themed
from tracker.screens.toolkit.touch import Holdable, Tappable

CELL = SMALL
"""The height of a cell of a strip (mm)."""


class Cell(Struct, frozen=True, kw_only=True):
    """One of several things that are alike but for their number: `key` comes back when it is chosen."""

    key: Hashable
    text: str
    tone: str = ""


class RowView(Struct, frozen=True, kw_only=True):
    """One row: `key` comes back when it is chosen; a `group` row is a heading and can't be; one with `cells` is a strip
    of numbers."""

    title: str
    subtitle: str = ""
    tone: str = ""
    key: Hashable = None
    group: bool = False
    cells: tuple[Cell, ...] = ()
    held: bool = False
    """It is chosen by holding it for a second."""


class RowText(Text):
    """Words of a row, drawn when all of them are in view: `whole`. Without what `leads` to them they mean little."""

    queue = ObjectProperty(None, allownone=True, rebind=True)
    whole = BooleanProperty(True)
    leads = BooleanProperty(True)


class ListRow(RecycleDataViewBehavior, Tappable, Plate):
    """title, subtitle, tone (a shape at the leading side), key, chosen (in hand). 22 mm high."""

    title = StringProperty("")
    subtitle = StringProperty("")
    tone = StringProperty("")
    key = ObjectProperty(None, allownone=True)
    queue = ObjectProperty(None, allownone=True, rebind=True)
    title_lines = NumericProperty(1)
    subtitle_lines = NumericProperty(1)
    subtitle_font = NumericProperty(1)
    least_mm = NumericProperty(22.0)

    _meant: Hashable = None
    """The key that the finger landed on: a row that is recycled under it must not choose another."""

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
    """A heading: one setting of the saw and what is cut at it."""

    title = StringProperty("")
    subtitle = StringProperty("")
    queue = ObjectProperty(None, allownone=True, rebind=True)
    title_lines = NumericProperty(1)
    subtitle_lines = NumericProperty(1)
    subtitle_font = NumericProperty(1)


class StripCell(Tappable, Plate):
    """A number with its sign, 15 mm square or more."""

    text = StringProperty("")
    tone = StringProperty("")
    key = ObjectProperty(None, allownone=True)
    queue = ObjectProperty(None, allownone=True, rebind=True)
    whole = BooleanProperty(True)
    """Whether all of it is in view; else its number isn't drawn."""
    least_mm = NumericProperty(SMALL)

    def on_tap(self) -> None:
        if self.queue is None:
            return
        if self.whole:
            self.queue.dispatch("on_choose", self.key)
        else:  # nobody chooses what can't be read
            self.queue.show(self.key)


class StripRow(RecycleDataViewBehavior, Themed, BoxLayout):
    """Things that are alike but for their number, side by side; as many rows of them as the width asks for."""

    title = StringProperty("")
    title_lines = NumericProperty(1)
    cells = ObjectProperty(())
    chosen = ObjectProperty(None, allownone=True)
    columns = NumericProperty(1)
    queue = ObjectProperty(None, allownone=True, rebind=True)

    def __init__(self, **kwargs: Any) -> None:
        self._spare: list[StripCell] = []
        """Cells of a longer strip that the row showed before: to make one takes longer than all else of a row."""
        super().__init__(**kwargs)
        self._put()

    def on_cells(self, *_: object) -> None:
        self._put()

    def on_chosen(self, *_: object) -> None:
        self._put()

    def on_queue(self, *_: object) -> None:
        self._put()

    def _put(self) -> None:
        grid = self.ids.get("grid")
        if grid is None:
            return
        while len(grid.children) > len(self.cells):
            self._spare.append(grid.children[0])
            grid.remove_widget(grid.children[0])
        while len(grid.children) < len(self.cells):
            grid.add_widget(self._spare.pop() if self._spare else StripCell())
        for widget, cell in zip(reversed(grid.children), self.cells, strict=True):
            widget.key, widget.text, widget.tone, widget.queue = cell.key, cell.text, cell.tone, self.queue
            widget.chosen = cell.key == self.chosen


class HoldPlate(Holdable, Plate):
    """Held for a second it does for all what a tap does for one. 30 mm high; a bar fills while it is held."""

    title = StringProperty("")
    title_lines = NumericProperty(1)
    title_font = NumericProperty(1)
    how = StringProperty("Hold for one second")
    how_lines = NumericProperty(1)
    queue = ObjectProperty(None, allownone=True, rebind=True)
    least_mm = NumericProperty(HELD)


class HoldRow(RecycleDataViewBehavior, Themed, BoxLayout):
    """A plate to hold, with the wider gap around it that what is held needs."""

    title = StringProperty("")
    title_lines = NumericProperty(1)
    key = ObjectProperty(None, allownone=True)
    queue = ObjectProperty(None, allownone=True, rebind=True)

    def held(self) -> None:
        """The plate was held for a second."""
        if self.queue is not None:
            self.queue.dispatch("on_choose", self.key)
