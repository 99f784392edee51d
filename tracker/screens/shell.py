"""The shell around every screen: the rail of places, the running clocks, and one message when needed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kivy.properties import (
    AliasProperty,
    BooleanProperty,
    ListProperty,
    NumericProperty,
    ObjectProperty,
    StringProperty,
)
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.floatlayout import FloatLayout

from tracker.cards.clocks.clocks import clock_stack, clocks_card
from tracker.cards.station.station import STATION_WORDS
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.toolkit.buttons import BigButton, HoldButton, RailButton
from tracker.screens.toolkit.clock_face import ClockChip
from tracker.screens.toolkit.overlay import Overlay
from tracker.words import say

PLACES = (
    ("station", say("Saw"), "saw"),
    ("glueup", say("Glue-up"), "glue"),
    ("boards", say("Boards"), "board"),
    ("scan", say("Scan"), "scan"),
    ("more", say("More"), "queue"),
)
"""The name, word and icon of each place, from the top of the rail down; the others are behind `more`."""
_ON_RAIL = frozenset(name for name, _, _ in PLACES)
CHIPS = 2
"""How many clocks are on every screen; the others are one tap away."""


STATION_ICONS: dict[str, str] = {
    "saw": "saw",
    "drill": "drill",
    "bench": "bench",
    "sanding": "sand",
    "finishing": "finish",
}


class Rail(BoxLayout):
    """One button for each place; the station's shows its name, and a second tap on it moves the tablet to another
    station."""

    current = StringProperty("")
    station = StringProperty("saw")
    upright = BooleanProperty(False)

    def on_kv_post(self, base_widget: object) -> None:
        for name, word, icon in PLACES:
            button = RailButton(text=word, icon=icon, size_hint_y=1)
            button.place = name
            button.bind(on_tap=lambda tapped: self.go(tapped.place))
            self.add_widget(button)

    def go(self, place: str) -> None:
        """Go to a place; from the station, to another station."""
        if place == self.current == "station":
            the_desk().choose_station()
        else:
            the_desk().go(place)

    def on_current(self, *_: object) -> None:
        for button in self.children:
            button.chosen = button.place == (self.current if self.current in _ON_RAIL else "more")

    def on_station(self, *_: object) -> None:
        for button in self.children:
            if button.place == "station":
                button.text, button.icon = STATION_WORDS[self.station], STATION_ICONS[self.station]


class ClockStack(BoxLayout):
    """The running clocks, the most urgent first, at the top of the left column of every screen. Those that have no room
    are counted on the last; those of other builds alone share one line, so that the card keeps its room."""

    most = NumericProperty(CHIPS)
    """The most clocks that are shown."""
    on_card = StringProperty("")
    """The key of the item whose most urgent clock the card shows large: it isn't shown here, too."""
    clocks = ListProperty([])
    words = StringProperty("")
    mark = StringProperty("")
    """The tablets this one is connected with, or since when it is alone; empty without a hub."""

    def on_most(self, *_: object) -> None:
        """The card has another amount of room."""
        self.draw()

    def on_on_card(self, *_: object) -> None:
        """The card shows another clock."""
        self.draw()

    def draw(self) -> None:
        """Draw the clocks for the present time."""
        desk = the_desk()
        clocks = clocks_card(*desk.floors()).clocks
        run = desk.shop.run
        on_card = next((each for each in clocks if run and (each.run, each.key) == (run.name, self.on_card)), None)
        elsewhere = [each for each in clocks if each is not on_card]
        stack = clock_stack(elsewhere, run.name if run else "", int(self.most))
        chips, shown = self.ids.chips, stack.chips
        while len(chips.children) > len(shown):
            chips.remove_widget(chips.children[0])
        while len(chips.children) < len(shown):
            chip = ClockChip()
            chip.size_hint_x = 1
            chip.bind(on_tap=lambda tapped: the_desk().go("clocks"))
            chips.add_widget(chip)
        for chip, clock in zip(reversed(chips.children), shown, strict=True):
            chip.title, chip.time, chip.share, chip.tone = clock.title, clock.text, clock.share, clock.tone
            chip.more = stack.more if clock is shown[-1] else 0
        self.clocks, self.words = list(clocks), stack.others
        self.mark = desk.together_words()


class Shell(FloatLayout):
    """The root. Its place holds one screen at a time; screens are made when first shown, then kept."""

    notice = ObjectProperty(None, allownone=True)
    """The present message."""
    said = AliasProperty(lambda shell: shell.notice.sentence if shell.notice else "", bind=["notice"])
    said_tone = AliasProperty(lambda shell: shell.notice.tone if shell.notice else "caution", bind=["notice"])

    def __init__(self, make: Callable[[str], CardScreen], **kwargs: Any) -> None:
        self._make = make
        self._screens: dict[str, CardScreen] = {}
        self._current = ""
        super().__init__(**kwargs)

    def on_size(self, *_: object) -> None:
        the_desk().theme.window = self.size

    @property
    def current(self) -> str:
        """The name of the screen being shown; empty before the first."""
        return self._current

    @property
    def screen(self) -> CardScreen:
        """The screen being shown."""
        return self._screens[self._current]

    def show(self, name: str) -> None:
        """Show a screen, drawn for the present state of the shop."""
        if self._current and self._current != name:
            self.screen.leave()
        if name not in self._screens:
            self._screens[name] = self._make(name)
        self._current = name
        self.ids.rail.current = name
        place = self.ids.place
        if not (place.children and place.children[0] is self.screen):
            place.clear_widgets()
            place.add_widget(self.screen)
        self.draw()

    def close_questions(self) -> str:
        """Close open questions without an answer, because a scan is about something else. Returns the closed
        questions."""
        asked = [each for each in self._sheets() if not each.takes_scans]
        for sheet in asked:
            sheet.close()
        return next((title for sheet in asked if (title := getattr(sheet, "title", ""))), "")

    def _sheets(self) -> list[Overlay]:
        """The overlays that belong to the screen, the topmost first."""
        return [child for child in self.children if isinstance(child, Overlay) and not child.stays]

    def close_sheets(self) -> None:
        """Close the overlays of the screen, because another screen or another build is about to be shown."""
        for sheet in self._sheets():
            sheet.close()

    def draw(self) -> None:
        """Draw the screen being shown, and its clocks; before the first is shown there is nothing to draw."""
        if not self._current:
            return
        self.ids.rail.station = the_desk().station
        self.screen.ids.clocks.draw()
        self.screen.draw()

    def says(self) -> tuple[str, ...]:
        """The texts of the buttons on the screen being shown."""
        buttons = self.screen.walk(restrict=True) if self._current else ()
        return tuple(button.text for button in buttons if isinstance(button, BigButton | HoldButton))

    def tick(self) -> None:
        """A second has passed: redraw what shows running clocks."""
        if self._current and self.screen.ids.clocks.clocks:
            self.screen.ids.clocks.draw()
            if self.screen.ticks:
                self.screen.draw()
