"""Before the glue: the checklist over the whole screen, and the parts that go in."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, ObjectProperty, StringProperty
from kivy.uix.widget import Widget

from tracker.cards.glueup.checklist import WARM, CheckLine, checklist_card
from tracker.cards.glueup.members import members_of
from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover
from tracker.screens.places.glueup_tiles import open_sheet
from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.touch import Tappable
from tracker.words import say
from tracker.work.decide.intents import Check, CheckIn, UndoEntry


class CheckTile(Tappable, Plate):
    """A line of the checklist; a tap ticks it, and a second tap unticks it."""

    line: Any = ObjectProperty(None, rebind=True, allownone=True)
    least_mm = 22.0


class ChecklistCover(Cover):
    """Every line as a tile, and at the end the step that follows them."""

    takes_scans = True
    lines = ListProperty([])

    def draw(self) -> None:
        self.card = checklist_card(the_desk().floor(), self.key)
        self.title = say("Glue-up checklist: {title}", title=self.card.title)
        self.lines = list(self.card.lines)

    def on_lines(self, *_: object) -> None:
        grid = self.ids.grid
        button = grid.children[0]
        tiles = [child for child in reversed(grid.children) if isinstance(child, CheckTile)]
        if len(tiles) != len(self.lines):
            grid.clear_widgets()
            tiles = [CheckTile() for _line in self.lines]
            for tile in tiles:
                tile.bind(on_tap=lambda tapped: self.tapped(tapped.line))
            # Empty cells up to the last one: the large button is where it always is.
            blanks = [Widget() for _cell in range(-(len(tiles) + 1) % grid.cols)]
            for child in (*tiles, *blanks, button):
                grid.add_widget(child)
        for tile, line in zip(tiles, self.lines, strict=True):
            tile.line = line

    def tapped(self, line: CheckLine) -> None:
        """A line was tapped."""
        if line.intent is not None:
            the_desk().act(line.intent)
        else:
            open_sheet("air" if line.check == WARM else "parts", self.key)

    def act(self) -> None:
        """The large button: glue is spread, and the open time starts."""
        intent = self.card.action.intent
        self.close()
        if intent is not None:
            the_desk().act(intent)

    def go_ahead(self) -> None:
        """The button was tapped though something is in the way."""
        action = self.card.action
        self.close()
        the_desk().offer_anyway(action)


class PartsCover(Cover):
    """The members: a tap checks in a piece that has lost its label, or undoes that; a piece that isn't ready shows its
    card."""

    takes_scans = True
    rows = ListProperty([])
    said = StringProperty("")

    def draw(self) -> None:
        floor = the_desk().floor()
        item = floor.item(self.key)
        members = members_of(floor, item)
        self.title = item.title
        self.rows = [
            RowView(
                title=member.title,
                subtitle=_said(member.scanned, member.tone == "done", member.said),
                tone="done" if member.scanned else "ready" if member.tone == "done" else "waiting",
                key=member.key,
            )
            for member in sorted(members, key=lambda member: (member.tone == "done", member.scanned))
        ]
        here = sum(member.scanned for member in members)
        self.said = say(
            "{here} of {count} parts here. Scan each label, or tap the part.", here=here, count=len(members)
        )
        self.seen = floor.state.checks(floor.run, item).get("parts")
        self.ids.all.text = say("Not all here") if self.seen else say("All here")

    def choose(self, key: str) -> None:
        """A part was tapped."""
        desk = the_desk()
        floor = desk.floor()
        item = floor.item(self.key)
        kept = floor.state.checked_in(floor.run, item).get(key)
        if kept is not None:
            desk.act(UndoEntry(kept.id, run=self.run))
        elif next(row for row in self.rows if row.key == key).tone == "ready":
            desk.act(CheckIn(self.key, key, run=self.run))
        else:
            self.close()
            desk.open_item(key)

    def all_here(self) -> None:
        """A person has seen all parts, without scanning; or takes that back."""
        the_desk().act(UndoEntry(self.seen.id, run=self.run) if self.seen else Check(self.key, "parts", run=self.run))


def _said(scanned: bool, ready: bool, said: str) -> str:
    return (
        say("in")
        if scanned
        else say("{said}: tap once it is here", said=said)
        if ready
        else say("{said}: tap for the card", said=said)
    )
