"""Shopping: what to buy for the board plan, and for the rest of the build."""

from __future__ import annotations

from typing import Any

import msgspec
from kivy.properties import NumericProperty, ObjectProperty, StringProperty
from kivy.uix.recycleview.views import RecycleDataViewBehavior

from tracker.cards.boards.boards import boards_of
from tracker.cards.boards.sheet import shopping_sheet
from tracker.cards.boards.shopping import ShoppingRow, shopping_card
from tracker.paper.board_sheet import write_board_sheet
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.places.board_search import look_for_boards
from tracker.screens.places.printing import PrintsSheets, paper_of
from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.lists import QueueList
from tracker.screens.toolkit.text import count_lines
from tracker.screens.toolkit.theme import SCALE, current_theme, font_size
from tracker.screens.toolkit.touch import Tappable
from tracker.words import say

EACH_MM, COST_MM, TICK_MM = 30.0, 27.0, 10.0
"""The room for the unit price, for the price of a line, and for its tick."""
TICKED = "bought"
"""The setting with what was ticked, by run: a help at the dealer's, and not a fact of the work."""


class BoughtRow(RowView, frozen=True, kw_only=True):
    """A line with its unit price and its total price; `tone` is done when it is ticked."""

    each: str = ""
    cost: str = ""


class ShoppingLine(RecycleDataViewBehavior, Tappable, Plate):
    """One thing to buy. A tap ticks it, another one unticks it."""

    title = StringProperty("")
    subtitle = StringProperty("")
    each, cost = StringProperty(""), StringProperty("")
    tone = StringProperty("")
    key = ObjectProperty(None, allownone=True)
    queue = ObjectProperty(None, allownone=True, rebind=True)
    title_lines = NumericProperty(1)
    subtitle_lines = NumericProperty(1)
    subtitle_font = NumericProperty(1)

    def on_tap(self) -> None:
        if self.queue is not None and self.ids.title.whole:
            self.queue.dispatch("on_choose", self.key)


class ShoppingList(QueueList):
    """Rows that can be ticked: BoughtRow and, for headings, RowView."""

    def _entry(self, row: RowView) -> dict[str, Any]:
        entry = super()._entry(row)
        if isinstance(row, BoughtRow):
            keep = ("title", "subtitle", "title_lines", "subtitle_lines", "subtitle_font", "row_size", "queue")
            own = {"each": row.each, "cost": row.cost, "tone": row.tone, "key": row.key}
            entry = {"viewclass": "ShoppingLine", **own, **{name: entry[name] for name in keep}}
        return entry

    def _lines(self, row: RowView) -> tuple[int, int, float, float]:
        """A line's words don't extend into its columns."""
        if not isinstance(row, BoughtRow):
            return super()._lines(row)
        each = 0.0 if current_theme().upright else EACH_MM
        width = self.rows_width - (TICK_MM + each + COST_MM + 16.0) * self.mm
        note, fine = (font_size(SCALE[name], self.mm) for name in ("note", "fine"))
        return count_lines(row.title, note, width), count_lines(row.subtitle, fine, width), note, fine


class ShoppingScreen(PrintsSheets, CardScreen):
    """The list in groups, ticked as things are bought, and the total cost."""

    left = StringProperty("")
    """How much is still to be bought."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        the_desk().board_search.bind(answer=self._on_search)

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        look_for_boards(desk.board_search, floor)
        self.card = shopping_card(floor.run.build, boards_of(floor, desk.board_search.answer))
        bought = _ticked().get(floor.run.name, [])
        rows: list[RowView] = []
        for group in self.card.groups:
            rows.append(RowView(title=group.title, subtitle=group.said, group=True))
            for row in group.rows:
                key = f"{group.title}: {row.title}"
                tone = "done" if key in bought else "ready"
                rows.append(
                    BoughtRow(title=row.title, subtitle=_below(row), each=row.each, cost=row.cost, key=key, tone=tone)
                )
        lines = [row for row in rows if isinstance(row, BoughtRow)]
        done = sum(row.tone == "done" for row in lines)
        self.left = say("{done} of {count} bought", done=done, count=len(lines)) if lines else ""
        self.ids.list.rows = rows

    def tick(self, key: str) -> None:
        """A line was tapped: it is bought, or isn't after all."""
        run, ticked = the_desk().floor().run.name, _ticked()
        mine = ticked.setdefault(run, [])
        if key in mine:
            mine.remove(key)
        else:
            mine.append(key)
        the_desk().shop.settings[TICKED] = msgspec.json.encode(ticked).decode()
        self.draw()

    def print_list(self) -> None:
        """Print the list alone, as a PDF."""
        floor = the_desk().floor()
        build = floor.run.build
        sheet = shopping_sheet(floor.run, boards_of(floor, the_desk().board_search.answer))
        self.print_pdf(build, say("shopping list"), lambda file: write_board_sheet(file, sheet, paper_of(build)))

    def _on_search(self, *_: object) -> None:
        desk = the_desk()
        if desk.shop.run is not None and desk.shows(self):
            desk.redraw()


def _below(row: ShoppingRow) -> str:
    """The words below the thing to buy; in portrait with the unit price, which has no column there."""
    each = say("{each} each", each=row.each) if row.each and current_theme().upright else ""
    return ", ".join(filter(None, (row.said, each)))


def _ticked() -> dict[str, list[str]]:
    """What was ticked in each run; empty if that can't be read."""
    try:
        return msgspec.json.decode(the_desk().shop.settings.get(TICKED, "{}"), type=dict[str, list[str]])
    except msgspec.DecodeError:
        return {}
