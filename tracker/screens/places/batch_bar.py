"""The bar above the card of a piece: the current batch as a strip of numbers, and the button to hold for all."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Hashable, Sequence
from typing import Any, NamedTuple

from kivy.clock import Clock
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty

from tracker.cards.station.batch import Strip
from tracker.screens.toolkit.handed import Handed
from tracker.screens.toolkit.list_rows import CELL, Cell
from tracker.screens.toolkit.text import count_lines, largest_type, lines_height, measure_width
from tracker.screens.toolkit.theme import GAP, GAP_DANGER, HELD, SCALE, Themed, font_size
from tracker.words import say

HOLD_MARGIN, CELL_MARGIN, LIST = 4.8, 8.6, 22.0
"""In the bar above the card, in millimetres: the part of a held button not used by its words, and of a cell not used by
its number; the width of the button for the list."""
HOLDS, WIDER_HOLDS = (48.0, 45.0, 42.0, 39.0, 36.0, 33.0, HELD), (66.0, 60.0, 54.0)
"""The widths of the held button to choose from, and those where its words fit none of them (mm)."""
MOST_CELLS = 6
TITLE_SHARE = 0.48
"""Landscape: the share of the room beside the held button that a title of two lines may take; the rest is for the
caution."""
HOW = (say("Hold one second"), say("Hold 1 s"))
"""How to do what the held button claims; the shorter words where the others need two lines."""
INFINITE = 1e9
ALL = "all of the batch"
"""The key of the row that is held to tick all that are left."""


class Title(NamedTuple):
    """How the title is set: its type, lines and width (points), and whether the caution is beside it or below it."""

    font: float
    lines: int
    width: float
    beside: bool = True


class BatchBar(Themed, Handed):
    """The current batch as a strip of numbers above the card, the button to hold for the rest of it, and the button for
    the whole list; above the strip a title or a caution. on_choose(key): a number was tapped, or ALL was held;
    on_list: the list is wanted.

    The strip has one row: of a long batch it shows the numbers around the current one, and a chevron where there are
    more.
    """

    __events__ = ("on_choose", "on_list")
    title, caution = StringProperty(""), StringProperty("")
    all_text, all_short = StringProperty(""), StringProperty("")
    """What one hold claims, and the same without the name, for where the button is narrow."""
    hold_text = StringProperty("")
    """Output: the one that is shown."""
    list_text = StringProperty(say("All work"))
    """The words of the button for the list; empty where there is nothing else to choose."""
    list_mm = NumericProperty(LIST)
    """The width of that button."""
    alone = BooleanProperty(False)
    """Whether no piece is the current item: then the caution is beside the button for the list, where it fits."""
    above, after = StringProperty(""), StringProperty("")
    """The words above the strip beside the title, and those after the button for the list."""
    low_edge, high_edge = NumericProperty(-INFINITE), NumericProperty(INFINITE)
    """The edges that a row of a list asks for; nothing of this strip is scrolled out of view."""
    cells = ObjectProperty(())
    shown = ObjectProperty(())
    more_before, more_after = BooleanProperty(False), BooleanProperty(False)
    """Whether there are numbers before or after those that are shown."""
    chosen = ObjectProperty(None, allownone=True)
    columns = NumericProperty(1)
    list_width, strip_width, hold_width = NumericProperty(0), NumericProperty(0), NumericProperty(0)
    title_width, title_font, hold_font = NumericProperty(0), NumericProperty(1), NumericProperty(1)
    hold_lines = NumericProperty(1)
    title_lines, caution_lines, caution_font = NumericProperty(1), NumericProperty(1), NumericProperty(1)
    after_lines = NumericProperty(1)
    beside = BooleanProperty(True)
    """Whether the caution is beside the title; otherwise it is below."""
    head_height = NumericProperty(0)
    how = StringProperty(HOW[0])
    bar_height = NumericProperty(0)

    def __init__(self, **kwargs: Any) -> None:
        self._share = Clock.create_trigger(self._share_out, -1)
        super().__init__(**kwargs)
        for name in (
            "width",
            "mm",
            "cells",
            "chosen",
            "all_text",
            "all_short",
            "caution",
            "title",
            "alone",
            "upright",
            "list_text",
            "list_mm",
        ):
            self.fbind(name, self._share)

    def show(self, strip: Strip | None, chosen: tuple[str, str], all_text: str, all_short: str = "") -> None:
        """Show the strip that contains `chosen`, an item and its step; and what one hold claims. What comes next is on
        the large button."""
        self.cells = cells_of(strip, chosen) if strip else ()
        self.chosen, self.all_text, self.all_short = chosen, all_text, all_short

    def choose_all(self) -> None:
        """The button for the rest was held."""
        self.dispatch("on_choose", ALL)

    def on_choose(self, key: Hashable) -> None: ...

    def on_list(self) -> None: ...

    def _share_out(self, *_: object) -> None:
        """The largest title beside which the caution takes two lines; then what is held, as wide as leaves room for
        that and for all numbers."""
        mm, note = self.mm, font_size(SCALE["note"], self.mm)
        self._say_beside_list(note)
        for title in self._titles(note):
            holds = HOLDS if self.all_text else (0.0,)
            widest = bisect(holds, False, key=lambda each: self._caution_fits(title, each))
            if (hold := self._hold_among(holds[widest:])) is not None:
                break
        else:
            title, hold = Title(note, 1, 0, beside=False), self._hold_among(HOLDS)
            hold = self._hold_among(WIDER_HOLDS) if hold is None else hold
            hold = WIDER_HOLDS[0] if hold is None else hold
        self._put_title(title, hold)
        strip = max(0.0, self._strip_room(hold)) if self.cells else 0.0
        self.list_width, self.strip_width, self.hold_width = (
            (self.list_mm * mm if self.list_text else 0),
            strip * mm,
            hold * mm,
        )
        self._share_height(note)
        self._choose_cells(strip)

    def _say_beside_list(self, note: float) -> None:
        """Where no piece is the current item, the caution is beside the button for the list, if it fits there."""
        wide = self.width - (self.list_mm + 2 * GAP if self.list_text else 0) * self.mm
        beside = count_lines(self.caution, note, wide)
        low = self.alone and beside <= 3
        self.after_lines = max(1, beside) if low else 1
        self.above, self.after = ("", self.caution) if low else (self.caution, "")

    def _titles(self, note: float) -> list[Title]:
        """The ways to set the title, the largest first; one of no size where there is none."""
        if not self.title:
            return [Title(0, 0, 0)]
        sizes = [font_size(SCALE[name], self.mm) for name in ("task", "note")]
        found = [Title(size, 1, measure_width(self.title, size, True) + 2 * self.mm) for size in sizes]
        most = TITLE_SHARE * (self.width - (HELD + GAP_DANGER if self.all_text else 0) * self.mm)
        if count_lines(self.title, note, most, True) == 2:
            found.append(Title(note, 2, most))
        return [*found, Title(note, 1, 0, beside=False)]

    def _caution_width(self, title: Title, hold: float) -> float:
        """The width for the caution with this title and a held button of so many millimetres (points)."""
        return self._beside_hold(hold) - (title.width + GAP * self.mm if title.lines and title.beside else 0)

    def _caution_fits(self, title: Title, hold: float) -> bool:
        """Whether the caution takes two lines at most, where a piece is drawn below it."""
        wide = self._caution_width(title, hold)
        most = 2 if self.cells or self.title else 3
        return wide > 1 and count_lines(self.above, font_size(SCALE["note"], self.mm), wide) <= most

    def _beside_hold(self, hold: float) -> float:
        """The width beside a held button (points)."""
        return self.width - (hold + GAP_DANGER if hold else 0) * self.mm

    def _strip_room(self, hold: float) -> float:
        """The width of the strip beside a held button of so many millimetres (mm)."""
        beside = self._beside_hold(hold) / self.mm
        return beside - (self.list_mm + GAP if self.list_text else 0)

    def _hold_among(self, holds: Sequence[float]) -> float | None:
        """Choose what is held, its words and their type: the widest of these that leaves room for all numbers, else the
        narrowest that its words fit; None where they fit none."""
        if not self.all_text:
            return 0.0 if holds else None
        all_cells = min(len(self.cells), MOST_CELLS) * (self._cell_width() + GAP) - GAP
        for text in filter(None, (self.all_text, self.all_short)):
            for name in ("note", "fine"):
                found = None
                for hold in holds:  # what doesn't fit a wide one doesn't fit a narrow one
                    if not self._hold_fits(text, name, hold):
                        break
                    found = hold
                    if self._strip_room(hold) >= all_cells:
                        break
                if found is not None:
                    self._hold_fits(text, name, found)
                    return found
        return None

    def _hold_fits(self, text: str, name: str, hold: float) -> bool:
        """Whether the words fit into `hold` millimetres in this type, which becomes that of the button."""
        mm = self.mm
        width, fine = (hold - HOLD_MARGIN) * mm, font_size(SCALE["fine"], mm)
        self.how = next((how for how in HOW if count_lines(how, fine, width) <= 1), HOW[-1])
        self.hold_text, self.hold_font = text, font_size(SCALE[name], mm)
        self.hold_lines = count_lines(text, self.hold_font, width, True)
        high = lines_height(self.hold_lines, self.hold_font) + lines_height(1, fine)
        return high <= (HELD - HOLD_MARGIN) * mm

    def _put_title(self, title: Title, hold: float) -> None:
        """The title in its type, and the caution beside it or below it."""
        note, fine = (font_size(SCALE[name], self.mm) for name in ("note", "fine"))
        self.beside, self.title_width = title.beside, title.width
        self.title_font, self.title_lines = title.font or note, max(1, title.lines)
        if not title.beside:
            self.title_width = self._beside_hold(hold)
            self.title_font = largest_type(self.title, self.title_width, [(note, 2)], fine, True)
            self.title_lines = max(1, count_lines(self.title, self.title_font, self.title_width, True))
        self.caution_font = note
        self.caution_lines = max(1, count_lines(self.above, note, self._caution_width(title, hold)))

    def _share_height(self, note: float) -> None:
        """The height of the title and the caution, and of the bar; that of two lines is kept for less, so that every
        number has the same place."""
        title = lines_height(self.title_lines, self.title_font) if self.title else 0
        caution = lines_height(self.caution_lines, self.caution_font) if self.above else 0
        self.head_height = max(title, caution) if self.beside else title + caution
        row = max(CELL * self.mm, lines_height(self.after_lines, note))
        gap = 1.5 * self.mm
        least = lines_height(2, note) + row + gap if self.all_text or self.title or self.cells else 0
        self.bar_height = max(least, self.head_height + row + (gap if self.head_height else 0))

    def _cell_width(self) -> float:
        """The least width of a cell, by the widest number (mm)."""
        note = font_size(SCALE["note"], self.mm)
        numbers = [measure_width(cell.text, note, True) / self.mm for cell in self.cells]
        return max(CELL, CELL_MARGIN + max(numbers, default=0.0))

    def _choose_cells(self, strip: float) -> None:
        """The numbers around the current one, as many as have room."""
        count = len(self.cells)
        self.columns = max(1, min(count, MOST_CELLS, int((strip + GAP) / (self._cell_width() + GAP))))
        at = next((at for at, cell in enumerate(self.cells) if cell.key == self.chosen), 0)
        first = max(0, min(at - (self.columns - 1) // 2, count - self.columns))
        self.more_before, self.more_after = first > 0, first + self.columns < count
        self.shown = self.cells[first : first + self.columns]


def cells_of(strip: Strip, chosen: tuple[str, str] = ("", "")) -> tuple[Cell, ...]:
    """A cell for each piece; for many equal pieces one cell with the count, which leads to the next piece."""
    if strip.many:
        tone = strip.next.tone
        return (Cell(key=_at(strip, chosen), text=say("{tally} done", tally=strip.tally), tone=tone),)
    return tuple(Cell(key=(each.key, each.step), text=each.number, tone=each.tone) for each in strip.places)


def _at(strip: Strip, chosen: tuple[str, str]) -> tuple[str, str]:
    """The piece that a row of many equal ones stands for: the current one, or else the next."""
    keys = [(each.key, each.step) for each in strip.places]
    return chosen if chosen in keys else (strip.next.key, strip.next.step)
