"""The shell around every screen: the rail of places, the strip of running clocks, and one sentence when it is needed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kivy.properties import DictProperty, ListProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.floatlayout import FloatLayout

from tracker.cards.clocks import clocks_card
from tracker.cards.queue import STATION_WORDS
from tracker.screens.base import CardScreen, the_app
from tracker.screens.buttons import RailButton
from tracker.screens.clocks import ClockChip

PLACES = (
    ("builds", "Builds", "builds"),
    ("station", "Station", "saw"),
    ("glueup", "Glue-up", "glue"),
    ("clocks", "Clocks", "clock"),
    ("labels", "Labels", "label"),
    ("scan", "Scan", "scan"),
)
"""Name, word and icon of each place, from the top of the rail down."""
CHIPS = 3
"""How many clocks the strip has room for; the others are one tap away."""


class Rail(BoxLayout):
    """One button a place."""

    current = StringProperty("")

    def on_kv_post(self, base_widget: object) -> None:
        for name, word, icon in PLACES:
            button = RailButton(text=word, icon=icon)
            button.place = name
            button.bind(on_tap=lambda tapped: the_app().go(tapped.place))
            self.add_widget(button)

    def on_current(self, *_: object) -> None:
        for button in self.children:
            button.chosen = button.place == self.current


class Strip(BoxLayout):
    """The station, and the running clocks, always."""

    station = StringProperty("")
    build = StringProperty("")
    clocks = ListProperty([])
    more = StringProperty("")

    def draw(self) -> None:
        """The clocks as they stand now."""
        app = the_app()
        self.station = STATION_WORDS[app.station]
        self.build = app.shop.run.build.name if app.shop.run else ""
        clocks = clocks_card(app.floor()).clocks if app.shop.run else ()
        chips = self.ids.chips
        shown = clocks[:CHIPS]
        while len(chips.children) > len(shown):
            chips.remove_widget(chips.children[0])
        while len(chips.children) < len(shown):
            chip = ClockChip()
            chip.bind(on_tap=lambda tapped: the_app().go("clocks"))
            chips.add_widget(chip)
        for chip, clock in zip(reversed(chips.children), shown, strict=True):
            chip.title, chip.time, chip.share, chip.tone = clock.title, clock.text, clock.share, clock.tone
        self.clocks = list(clocks)
        self.more = f"and {len(clocks) - CHIPS} more" if len(clocks) > CHIPS else ""


class Shell(FloatLayout):
    """The root. Its place holds one screen at a time; screens are made when first shown, then kept."""

    said = StringProperty("")
    makers = DictProperty({})

    def __init__(self, makers: dict[str, Callable[[], CardScreen]], **kwargs: Any) -> None:
        self._screens: dict[str, CardScreen] = {}
        self._current = ""
        super().__init__(**kwargs)
        self.makers = makers

    @property
    def screen(self) -> CardScreen:
        """The screen that is shown."""
        return self._screens[self._current]

    def show(self, name: str) -> None:
        """Show a screen, drawn as the shop is now."""
        if self._current and self._current != name:
            self.screen.leave()
        if name not in self._screens:
            self._screens[name] = self.makers[name]()
        self._current = name
        self.ids.rail.current = name
        place = self.ids.place
        if not (place.children and place.children[0] is self.screen):
            place.clear_widgets()
            place.add_widget(self.screen)
        self.draw()

    def draw(self) -> None:
        """Draw the strip and the screen that is shown."""
        self.ids.strip.draw()
        self.screen.draw()

    def tick(self) -> None:
        """A second has passed: what shows running clocks is drawn again."""
        if self.ids.strip.clocks:
            self.ids.strip.draw()
            if self.screen.ticks:
                self.screen.draw()
