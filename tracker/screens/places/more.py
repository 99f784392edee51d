"""The places without room on the rail, and a few words about the screen before."""

from __future__ import annotations

from kivy.properties import StringProperty

from tracker.cards.help import help_for
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.overlays.first_steps import FirstSteps
from tracker.screens.overlays.wipe import WipeLock
from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.touch import Tappable
from tracker.words import say

TILES = (
    ("builds", say("Builds"), "builds"),
    ("labels", say("Labels"), "label"),
    ("shopping", say("Shopping"), "shopping"),
    ("clocks", say("Timers"), "clock"),
    ("history", say("History"), "undo"),
    ("restore", say("Backups"), "chest"),
    ("settings", say("Settings"), "settings"),
    ("wipe", say("Wipe down"), "wipe"),
    ("first steps", say("First steps"), "help"),
)
"""The name, word and icon: first the places, then what can be done here."""


class Tile(Tappable, Plate):
    """A place to go: an icon above its word, as large as its part of the grid."""

    text = StringProperty("")
    icon = StringProperty("")
    least_mm = 22.0


class MoreScreen(CardScreen):
    """Nine tiles. The card shows the help for the screen before."""

    needs_run = False

    def on_kv_post(self, base_widget: object) -> None:
        for name, word, icon in TILES:
            tile = Tile(text=word, icon=icon)
            tile.name = name
            tile.bind(on_tap=lambda tapped: self.choose(tapped.name))
            self.ids.tiles.add_widget(tile)

    def draw(self) -> None:
        self.card = help_for(the_desk().place_before)

    def choose(self, name: str) -> None:
        """A tile was tapped."""
        desk = the_desk()
        if name == "wipe":
            desk.root.add_widget(WipeLock())
        elif name == "first steps":
            FirstSteps.begin()
        else:
            desk.go(name)
