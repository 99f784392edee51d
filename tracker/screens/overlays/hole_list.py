"""The holes of an assembly as a list: which get plugs, and which screws go into them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from kivy.properties import ListProperty, StringProperty

from tracker.cards.glueup.plugs import plugs_card
from tracker.cards.glueup.screws import screws_card
from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover
from tracker.screens.toolkit.list_rows import RowView
from tracker.words import say


class _Line(Protocol):
    @property
    def title(self) -> str: ...
    @property
    def said(self) -> str: ...


class HoleListCover(Cover):
    """A row for each line of holes; `foot` is about all of them, `empty` is for none."""

    rows = ListProperty([])
    empty = StringProperty("")
    foot = StringProperty("")

    def list_lines(self, lines: Iterable[_Line]) -> None:
        self.rows = [
            RowView(title=line.title, subtitle=line.said, tone="ready", key=at) for at, line in enumerate(lines)
        ]


class PlugsCover(HoleListCover):
    """Plugging: which holes, and how to cut a plug so that it doesn't show."""

    empty = StringProperty(say("No plugs here."))
    foot = StringProperty(say("Cut plugs from the face of an offcut of the same board, and line the grain up."))

    def draw(self) -> None:
        self.card = plugs_card(the_desk().floor(), self.key)
        self.title = f"{self.card.title}: {self.card.count_words}"
        self.list_lines(self.card.lines)


class ScrewsCover(HoleListCover):
    """Driving screws, and removing those that only held while the glue dried: which ones."""

    empty = StringProperty(say("No screws here."))
    foot = StringProperty(
        say("Try the drill and the screw on scrap first. Keep the other hand out of the screw’s line.")
    )

    def draw(self) -> None:
        self.card = screws_card(the_desk().floor(), self.key)
        self.title = f"{self.card.title}: {self.card.count_words}"
        self.list_lines(self.card.lines)
