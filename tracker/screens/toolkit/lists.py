"""The list used by every screen: large rows that show a touch at once. Rows are recycled: a thousand cost as much as
ten. A swipe scrolls; two buttons do the same for a knuckle. A line with an arrow on it shows that the list
continues beyond the edge."""

from __future__ import annotations

from collections.abc import Hashable
from itertools import pairwise
from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.recycleview import RecycleView
from kivy.uix.recycleview.views import RecycleDataAdapter

from tracker.screens.toolkit.handed import Handed
from tracker.screens.toolkit.list_rows import CELL, RowView
from tracker.screens.toolkit.text import count_lines, largest_type, lines_height
from tracker.screens.toolkit.theme import GAP, GAP_DANGER, HELD, SCALE, Themed, current_theme, font_size

LARGE_LINES, MOST_LINES, MOST_SPARE = 3, 12, 100
"""The most lines of a title in the larger type, and in all; and how many rows are kept."""
_HELD_FIELDS = ("title", "title_font", "title_lines", "row_size", "queue")
_STRIP_FIELDS = ("title", "title_font", "title_lines", "queue")
STRIP_MARGIN = 4.0
"""The part of a strip's width used by the scroll bar (mm)."""
ROW_MARGIN, GROUP_MARGIN = 18.2, 7.0
"""The part of a row's width not used by its words, in millimetres: padding, shape and scroll bar (kv/lists.kv)."""


class SpareRows(RecycleDataAdapter):
    """Keeps the rows that no list shows with the app's theme. Kivy keeps them for the whole process: those of a closed
    app returned in the next app's lists with colours and sizes that no longer followed anything."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._spare = current_theme().spare_rows

    def get_view(self, index: int, data_item: dict[str, Any], viewclass: type) -> Any:
        """The row as it was, or a spare one filled with its data, or a new one."""
        here = self.dirty_views.get(viewclass, {})
        if index in here:
            return here.pop(index)
        spare = self._spare[viewclass]
        if not spare and not here:
            return self.create_view(index, data_item, viewclass)
        view = spare.pop() if spare else here.popitem()[1]
        self.refresh_view_attrs(index, data_item, view)
        return view

    def invalidate(self) -> None:
        """The data have changed: every row is invalid."""
        for view in (*self.views.values(), *(each for rows in self.dirty_views.values() for each in rows.values())):
            if len(self._spare[type(view)]) < MOST_SPARE:
                self._spare[type(view)].append(view)
        self.views: dict[int, Any] = {}
        self.dirty_views.clear()


class RowsView(RecycleView):
    """The view that scrolls the rows."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(view_adapter=SpareRows(), **kwargs)


class QueueList(Themed, Handed):
    """rows: a sequence of RowView. selected: the current key. on_choose(key): a row was tapped.

    empty_text is shown when there are no rows.
    """

    __events__ = ("on_choose",)
    rows = ListProperty([])
    rows_width = NumericProperty(0)
    """The part of the list's width for the rows: all of it, unless the buttons are beside them."""
    rows_height = NumericProperty(0)
    """The height of all rows."""
    selected = ObjectProperty(None, allownone=True)
    empty_text = StringProperty("")
    overflows, more_above, more_below = BooleanProperty(False), BooleanProperty(False), BooleanProperty(False)
    button_gap = NumericProperty(0)
    """The gap between the rows and the two buttons: wider if there is a row to hold."""
    low_edge, high_edge = NumericProperty(0), NumericProperty(0)
    """The visible part of the rows, in points from their foot."""
    beside = BooleanProperty(False)
    """Whether the two buttons are beside the rows."""
    beside_mm = NumericProperty(80.0)
    """Up to this height the buttons are beside the rows in portrait."""
    row_mm = NumericProperty(22.0)
    group_mm = NumericProperty(15.0)

    def __init__(self, **kwargs: Any) -> None:
        self._refresh = Clock.create_trigger(self._fill, -1)
        self.settle = Clock.create_trigger(self._settle, 0.1)
        super().__init__(**kwargs)
        self.bind(rows=self._refresh, selected=self._refresh, mm=self._refresh, rows_width=self._refresh)

    def on_kv_post(self, base_widget: object) -> None:
        self._refresh()

    def on_choose(self, key: Hashable) -> None: ...

    def _fill(self, *_: object) -> None:
        self.button_gap = (GAP_DANGER if any(row.held for row in self.rows) else GAP) * self.mm
        data = [self._entry(row) for row in self.rows]
        for at, (heading, row) in enumerate(pairwise(self.rows)):
            if heading.group:
                data[at]["below"] = self._down_to_words(heading, row)
        if data == self.ids.view.data:
            return  # nothing changed, as in most seconds while a clock is running: recycle no rows
        self.ids.view.data = data
        Clock.schedule_once(lambda _: self.show(self.selected, only_if_seen=True), 0)
        self.settle()

    def _entry(self, row: RowView) -> dict[str, Any]:
        """A recycled row keeps the fields that it isn't given, so every entry has every field."""
        titles, subtitles, title_size, size = self._lines(row)
        entry = {
            "title": row.title,
            "subtitle": row.subtitle,
            "title_font": title_size,
            "title_lines": titles,
            "subtitle_lines": subtitles,
            "subtitle_font": size,
            "row_size": (None, self._height(row)),
            "queue": self,
        }
        if row.group:
            return {"viewclass": "GroupRow", "below": 0, **entry}
        if row.held:
            return {"viewclass": "HoldRow", **{name: entry[name] for name in _HELD_FIELDS}, "key": row.key}
        if row.cells:
            keys = [cell.key for cell in row.cells]
            chosen_cell = self.selected if self.selected in keys else None
            strip = {**{name: entry[name] for name in _STRIP_FIELDS}, "cells": row.cells, "keys": keys}
            size_and_columns = {"row_size": entry["row_size"], "columns": self._columns(row)}
            return {"viewclass": "StripRow", "chosen": chosen_cell, **strip, **size_and_columns}
        chosen = row.key is not None and row.key == self.selected
        return {"viewclass": "ListRow", **entry, "tone": row.tone, "key": row.key, "chosen": chosen}

    def _down_to_words(self, heading: RowView, row: RowView) -> float:
        """From the foot of a heading's title to that of the title of the row below it, in points: the words of both
        are in the middle of their height."""

        def under_title(of: RowView) -> float:
            titles, subtitles, title_size, size = self._lines(of)
            title, said = lines_height(titles, title_size), lines_height(subtitles, size)
            return float(title + (self._height(of) - title - said) / 2)

        return float(self._height(heading) - under_title(heading) + self.ids.rows.spacing + under_title(row))

    def _lines(self, row: RowView) -> tuple[int, int, float, float]:
        """The number of lines of the title and the subtitle at the list's width, and their font sizes: the larger one
        while they need few lines."""
        width = self.rows_width - (GROUP_MARGIN if row.group else ROW_MARGIN) * self.mm
        note, fine = (font_size(SCALE[name], self.mm) for name in ("note", "fine"))
        size = largest_type(row.subtitle, width, [(note, 1 if row.group else 2)], fine)
        title = largest_type(row.title, width, [(note, LARGE_LINES)], fine, True)
        titles, subtitles = count_lines(row.title, title, width, True), count_lines(row.subtitle, size, width)
        return min(MOST_LINES, titles), min(MOST_LINES, subtitles), title, size

    def _height(self, row: RowView) -> float:
        titles, subtitles, title_size, size = self._lines(row)
        if row.held:
            words = lines_height(titles, title_size)
            return float(max(HELD * self.mm, words + 12.0 * self.mm) + 2 * GAP * self.mm)
        if row.cells:
            deep = -(-len(row.cells) // self._columns(row))
            name = lines_height(titles, title_size) if row.title else 0
            return float(name + (deep * CELL + (deep - 1) * GAP) * self.mm)
        words = lines_height(titles, title_size) + lines_height(subtitles, size)
        return float(max((self.group_mm if row.group else self.row_mm) * self.mm, words + 5.0 * self.mm))

    def _columns(self, row: RowView) -> int:
        """How many cells of a strip fit side by side."""
        fit = int((self.rows_width / self.mm - STRIP_MARGIN + GAP) // (CELL + GAP))
        return max(1, min(len(row.cells), fit))

    def page(self, way: int) -> None:
        """Scroll by a screenful of whole rows: +1 is down, to the first that wasn't whole at the foot."""
        view = self.ids.view
        ends = self._ends()
        top = (1 - view.scroll_y) * (ends[-1][1] - view.height)
        foot = top + view.height
        if way > 0:
            self._begin_at(next((start for start, end in ends if end > foot + 1 and start > top + 1), ends[-1][0]))
        else:
            last = max((end for start, end in ends if start < top - 1), default=0)
            self._begin_at(next(start for start, _ in ends if start >= last - view.height))

    def _settle(self, *_: object) -> None:
        """After a swipe has ended, or the rows have changed: put the nearest whole row at the top."""
        view = self.ids.view
        if view.effect_y.is_manual or view.effect_y.velocity:
            self.settle()
        elif self.more_above and self.more_below:
            ends = self._ends()
            top = (1 - view.scroll_y) * (ends[-1][1] - view.height)
            nearest = min((start for start, _ in ends), key=lambda start: abs(start - top))
            if abs(nearest - top) > 1:
                self._begin_at(nearest)
                self.show(self.selected, only_if_seen=True)

    def _ends(self) -> list[tuple[float, float]]:
        """Where each row begins and ends, in points from the very top."""
        gap, at, ends = self.ids.rows.spacing, 0.0, []
        for entry in self.ids.view.data:
            ends.append((at, at + entry["row_size"][1]))
            at = ends[-1][1] + gap
        return ends

    def _begin_at(self, top: float) -> None:
        beyond = self._ends()[-1][1] - self.ids.view.height
        if beyond > 0:
            self._scroll(1 - top / beyond)

    def on_selected(self, *_: object) -> None:
        """Bring the selected row into view, wherever it was selected, for example by a label."""
        if self.selected is not None:
            Clock.schedule_once(lambda _: self.show(self.selected), 0)

    def show(self, key: Hashable, only_if_seen: bool = False) -> None:
        """Scroll so that the row `key` is in view, with its heading if both fit.

        `only_if_seen`: only for a row that other rows have pushed over the edge; one that somebody scrolled away stays
        there.
        """
        view, drawn = self.ids.view, self.ids.view.data
        at = next(
            (
                index
                for index, entry in enumerate(drawn)
                if key is not None and key in (entry.get("key"), *entry.get("keys", ()))
            ),
            None,
        )
        if at is None:
            return
        ends = self._ends()
        beyond = ends[-1][1] - view.height
        if beyond <= 0:
            return
        top, foot = ends[at]
        seen = (1 - view.scroll_y) * beyond
        if only_if_seen and (foot <= seen or top >= seen + view.height):
            return
        if top < seen or foot > seen + view.height:
            heading = max((index for index in range(at) if drawn[index]["viewclass"] == "GroupRow"), default=0)
            above = ends[heading][0]
            self._begin_at(above if foot - above <= view.height else top)

    def _scroll(self, share: float) -> None:
        """Scroll there, and tell the effect, which would otherwise continue from where the last swipe left it."""
        view = self.ids.view
        view.effect_y.velocity = 0
        view.scroll_y = max(0.0, min(1.0, share))
        view._update_effect_y_bounds()
