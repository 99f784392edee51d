"""Glue-ups: the card of the current assembly; the list of all is one tap away."""

from __future__ import annotations

from collections.abc import Hashable

from tracker.cards.glueup.glueup import assembly_card, assembly_rows
from tracker.cards.station.station import nothing_to_glue
from tracker.screens.desk import the_desk
from tracker.screens.overlays.work_sheet import WorkSheet
from tracker.screens.places.assembly import AssemblyView
from tracker.screens.places.barred import BarredScreen
from tracker.screens.places.empty import EmptyView
from tracker.screens.toolkit.list_rows import RowView
from tracker.words import say

LIST_WIDE = 28.0
"""The width of the button for the list (mm)."""


class GlueupSheet(WorkSheet):
    """All assemblies of the build; a tap shows the card of one."""

    def draw(self) -> None:
        rows = assembly_rows(the_desk().floor())
        self.rows = [RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.key) for row in rows]

    def choose(self, key: Hashable) -> None:
        """An assembly was tapped."""
        self.close()
        the_desk().open_item(str(key))


class GlueupScreen(BarredScreen):
    """The card of one assembly; the list of all is one tap away."""

    ticks = True

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        rows = assembly_rows(floor)
        key = desk.assembly if desk.assembly in floor.run.items else rows[0].key if rows else ""
        self.card = assembly_card(floor, key) if key else None
        if self.card is None:
            self.view(EmptyView).card = nothing_to_glue(floor)
        else:
            self.view(AssemblyView).card = self.card
        self.batch.alone, self.batch.list_mm = True, LIST_WIDE
        self.batch.list_text = say("All glue-ups") if len(rows) > 1 else ""
        self.batch.caution = self.card.action.caution if self.card else ""
        self.ids.clocks.on_card = key if self.card and self.card.clock else ""
        if self.card is not None:
            self.view(AssemblyView).clocked = bool(self.ids.clocks.ids.chips.children)

    def show_list(self) -> None:
        """Show all assemblies, over the screen."""
        GlueupSheet(title=say("All glue-ups"), selected=self.card.key if self.card else None).show()

    @property
    def assembly_scanned_into(self) -> str:
        return self.card.key if self.card else ""
