"""The bar above the card of a piece: the current batch as a strip of numbers, and the button to hold for all."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty

from tracker.cards.station.batch import Strip
from tracker.screens.toolkit.handed import Handed
from tracker.screens.toolkit.list_rows import CELL, Cell
from tracker.screens.toolkit.text import count_lines, largest_type, lines_height, measure_width
from tracker.screens.toolkit.theme import GAP, GAP_DANGER, HELD, SCALE, Themed, font_size
from tracker.words import say

HOLD_MARGIN, CELL_MARGIN, LIST, MOST_HOLD = 4.8, 8.6, 22.0, 48.0
"""In the bar above the card, in millimetres: the part of a held button not used by its words, and of a cell not used by
its number; the width of the button for the list, and the greatest width of the held button."""
MOST_CELLS = 6
TITLE_SHARE = 0.48
"""Landscape: the share of the room beside the held button that a title may take before it is set smaller; the rest is
for the caution."""
INFINITE = 1e9
ALL = "all of the batch"
"""The key of the row that is held to tick all that are left."""


class BatchBar(Themed, Handed):
    """The current batch as a strip of numbers above the card, the button to hold for the rest of it, and the button for
    the whole list; above the strip a title or a caution. on_choose(key): a number was tapped, or ALL was held;
    on_list: the list is wanted.

    The strip has one row: for a long batch it shows the numbers around the current one.
    """

    __events__ = ("on_choose", "on_list")
    title, caution = StringProperty(""), StringProperty("")
    all_text = StringProperty("")
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
    chosen = ObjectProperty(None, allownone=True)
    columns = NumericProperty(1)
    list_width, strip_width, hold_width = NumericProperty(0), NumericProperty(0), NumericProperty(0)
    title_width, title_font, hold_font = NumericProperty(0), NumericProperty(1), NumericProperty(1)
    hold_lines, how_lines = NumericProperty(1), NumericProperty(1)
    title_lines, caution_lines, caution_font = NumericProperty(1), NumericProperty(1), NumericProperty(1)
    after_lines = NumericProperty(1)
    beside = BooleanProperty(True)
    """Whether the caution is beside the title; otherwise it is below."""
    head_height = NumericProperty(0)
    how = StringProperty(say("Hold one second"))
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
            "caution",
            "title",
            "alone",
            "upright",
            "list_text",
            "list_mm",
        ):
            self.fbind(name, self._share)

    def show(self, strip: Strip | None, chosen: tuple[str, str], all_text: str) -> None:
        """Show the strip that contains `chosen`, an item and its step; and what one hold claims. What comes next is on
        the large button."""
        self.cells = cells_of(strip, chosen) if strip else ()
        self.chosen, self.all_text = chosen, all_text

    def choose_all(self) -> None:
        """The button for the rest was held."""
        self.dispatch("on_choose", ALL)

    def on_choose(self, key: Hashable) -> None: ...

    def on_list(self) -> None: ...

    def _share_out(self, *_: object) -> None:
        """The most numbers that leave enough room for the held button and its words."""
        mm, count = self.mm, len(self.cells)
        note = font_size(SCALE["note"], mm)
        numbers = [measure_width(cell.text, note, True) / mm for cell in self.cells]
        cell = max(CELL, CELL_MARGIN + max(numbers, default=0.0))
        room = self.width / mm - (self.list_mm + GAP if self.list_text else 0)
        columns, strip = 0, -GAP
        hold = min(MOST_HOLD, room - GAP_DANGER) if self.all_text else 0.0
        for columns in range(min(count, MOST_CELLS), 0, -1):
            strip = columns * (cell + GAP) - GAP
            hold = min(MOST_HOLD, room - strip - GAP_DANGER) if self.all_text else 0.0
            if strip <= room and (not self.all_text or (hold >= HELD and self._hold_fits(hold))):
                break
        if self.all_text:
            self._hold_fits(hold)
            strip = room - GAP_DANGER - hold
        self.list_width, self.strip_width, self.hold_width = (
            (self.list_mm * mm if self.list_text else 0),
            max(0.0, strip) * mm,
            hold * mm,
        )
        self.columns = max(1, columns)
        self._share_height(self.width - (hold + GAP_DANGER if hold else 0) * mm)
        at = next((at for at, cell in enumerate(self.cells) if cell.key == self.chosen), 0)
        first = max(0, min(at // max(1, columns) * columns, count - columns))
        self.shown = self.cells[first : first + columns]

    def _share_height(self, wide: float) -> None:
        """Share out the room above the strip, beside the held button: the title in one large line or in smaller lines,
        and the caution beside it, or below it if it doesn't fit there."""
        mm = self.mm
        note = font_size(SCALE["note"], mm)
        beside = count_lines(self.caution, note, wide - (self.list_mm + 2 * GAP if self.list_text else 0) * mm)
        low = self.alone and beside <= 3
        self.after_lines = max(1, beside) if low else 1
        self.above, self.after = ("", self.caution) if low else (self.caution, "")
        fine, task = (font_size(SCALE[name], mm) for name in ("fine", "task"))
        most = wide * (TITLE_SHARE if self.above else 1.0)
        title = self._share_title(wide, [each for each in (task, note) if self._on_one_line(each) <= most], most)
        if not self.title or not self.beside:
            large = 2 if self.cells else 3  # without pieces there is nothing to draw large
            self.caution_font = largest_type(self.above, wide, [(note, large)], fine)
            self.caution_lines = max(1, count_lines(self.above, self.caution_font, wide))
        caution = lines_height(self.caution_lines, self.caution_font) if self.above else 0
        self.head_height = max(title, caution) if self.beside else title + caution
        least = HELD * mm if self.all_text or self.title else 0  # so that every number has the same place
        row = max(CELL * mm, lines_height(self.after_lines, note))
        self.bar_height = max(least, self.head_height + row + (1.5 * mm if self.head_height else 0))

    def _on_one_line(self, size: float) -> float:
        """The width of the title on one line, in points."""
        return measure_width(self.title, size, True) + 2 * self.mm

    def _share_title(self, wide: float, sizes: list[float], most: float) -> float:
        """Choose the largest type for the title that leaves room for the caution beside it; returns the height of the
        title."""
        note = font_size(SCALE["note"], self.mm)
        self.beside, self.title_lines, self.title_width = True, 1, 0
        if not self.title:
            return 0.0
        for name in ("note", "fine"):  # of the caution
            for size in sizes:
                self.title_width, self.title_font = self._on_one_line(size), size
                if self._caution_fits(name, wide - self.title_width - GAP * self.mm):
                    return lines_height(1, size)
            self.title_font, self.title_width = note, most
            self.title_lines = count_lines(self.title, note, most, True)
            if self.title_lines <= 2 and self._caution_fits(name, wide - most - GAP * self.mm):
                return lines_height(self.title_lines, note)
            self.title_lines = 1
        self.beside, self.title_width = False, wide
        self.title_font = largest_type(self.title, wide, [(note, 2)], font_size(SCALE["fine"], self.mm), True)
        self.title_lines = max(1, count_lines(self.title, self.title_font, wide, True))
        return lines_height(self.title_lines, self.title_font)

    def _caution_fits(self, name: str, wide: float) -> bool:
        """Whether the caution fits into two lines of this type beside the title."""
        self.caution_font = font_size(SCALE[name], self.mm)
        self.caution_lines = max(1, count_lines(self.above, self.caution_font, wide))
        return self.caution_lines <= 2 or not self.above

    def _hold_fits(self, hold: float) -> bool:
        """Whether the words fit into `hold` millimetres; in the larger type if possible."""
        mm = self.mm
        width, fine = (hold - HOLD_MARGIN) * mm, font_size(SCALE["fine"], mm)
        self.how_lines = count_lines(self.how, fine, width)
        how = lines_height(self.how_lines, fine)
        for name in ("note", "fine"):
            self.hold_font = font_size(SCALE[name], mm)
            self.hold_lines = count_lines(self.all_text, self.hold_font, width, True)
            if lines_height(self.hold_lines, self.hold_font) + how <= (HELD - HOLD_MARGIN) * mm:
                return True
        return False


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
