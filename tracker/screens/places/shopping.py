"""Shopping: what to buy for the plan of the boards, and for the rest of the build."""

from __future__ import annotations

from typing import Any

from kivy.properties import NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.recycleview.views import RecycleDataViewBehavior

from tracker.cards.boards.boards import boards_of
from tracker.cards.boards.shopping import shopping_card
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.places.board_search import look_for_boards
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.lists import QueueList
from tracker.screens.toolkit.text import count_lines
from tracker.screens.toolkit.theme import SCALE, Themed, font_size

COST_MM = 34.0
"""Room for what a line costs."""


class CostRow(RowView, frozen=True, kw_only=True):
    """A line with what it costs."""

    cost: str = ""


class ShoppingLine(RecycleDataViewBehavior, Themed, BoxLayout):
    """One thing to buy. It is read, not tapped."""

    title = StringProperty("")
    subtitle = StringProperty("")
    cost = StringProperty("")
    queue = ObjectProperty(None, allownone=True, rebind=True)
    title_lines = NumericProperty(1)
    subtitle_lines = NumericProperty(1)
    subtitle_font = NumericProperty(1)


class ShoppingList(QueueList):
    """Rows that are read: CostRow and, for headings, RowView."""

    def _entry(self, row: RowView) -> dict[str, Any]:
        entry = super()._entry(row)
        if isinstance(row, CostRow):
            keep = ("title", "subtitle", "title_lines", "subtitle_lines", "subtitle_font", "row_size", "queue")
            entry = {"viewclass": "ShoppingLine", "cost": row.cost, **{name: entry[name] for name in keep}}
        return entry

    def _lines(self, row: RowView) -> tuple[int, int, float]:
        """A line's words don't reach into its cost."""
        if not isinstance(row, CostRow):
            return super()._lines(row)
        width = self.rows_width - (COST_MM + 8.2) * self.mm
        note, fine = (font_size(SCALE[name], self.mm) for name in ("note", "fine"))
        return count_lines(row.title, note, width), count_lines(row.subtitle, fine, width), fine


class ShoppingScreen(CardScreen):
    """The list in groups, and what it costs together."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        the_desk().board_search.bind(answer=self._thought)

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        look_for_boards(desk.board_search, floor)
        self.card = shopping_card(floor.run.build, boards_of(floor, desk.board_search.answer))
        rows: list[RowView] = []
        for group in self.card.groups:
            rows.append(RowView(title=group.title, subtitle=group.said, group=True))
            for row in group.rows:
                rows.append(CostRow(title=row.title, subtitle=row.said, cost=row.cost))
        self.ids.list.rows = rows

    def _thought(self, *_: object) -> None:
        desk = the_desk()
        if desk.shop.run is not None and desk.shows(self):
            desk.redraw()
