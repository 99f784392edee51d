"""The tour's hand: drives the app through its widgets, as a finger would."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kivy.uix.widget import Widget

from tracker.screens.places.more import Tile
from tracker.screens.toolkit.buttons import BigButton, Plate, SmallButton
from tracker.screens.toolkit.keypad import Key
from tracker.screens.toolkit.list_rows import ListRow
from tracker.tour.headless import Stage
from tracker.words import say
from tracker.work.decide.decide import Do, next_step

MOST_ASKED = 50
"""The most rounds of results that cause more work, before something must be wrong."""


class Guide:
    """Drives the app through its widgets, as a finger would."""

    def __init__(self, app: Any, stage: Stage) -> None:
        self.app, self.stage = app, stage

    @property
    def run(self) -> str:
        """The name of the current run."""
        return self.app.floor().run.name

    def go(self, place: str) -> None:
        """Go to a place, by taps on the rail, or behind its `more`."""
        self.stage.run_for(0.4, 0.1)  # for a moment after a change of screen no touch counts
        for button in self.app.root.ids.rail.children:
            if button.place == place:
                self.stage.tap(button)
                return
        self.choose_tile(place)

    def choose_tile(self, name: str) -> None:
        """Tap a tile behind `more`."""
        self.go("more")
        self._tap(self.app.root.screen, Tile, name=name)

    def choose_row(self, title: str) -> None:
        """Tap the words of a row of the list being shown. A row that isn't whole is scrolled into view first: its
        middle may be behind the buttons below the list."""
        screen = self.app.root.screen
        row = self._found(screen, ListRow, title=title)
        if not row.ids.title.whole:
            screen.ids.list.show(row.key)
            self.stage.run_for(0.4, 0.1)
            row = self._found(screen, ListRow, title=title)
        self.stage.tap(row.ids.title)

    def open(self, name: str) -> None:
        """Open a sample build from the list of builds."""
        self.go("builds")
        self.let_work()  # files are read in the background
        self.choose_row(name)

    def move_to_station(self, station: str) -> None:
        """Move the tablet to a station."""
        self.go("station")
        self.go("station")
        self._tap(self.app.root, BigButton, text=station)

    def tap_button(self) -> None:
        """Tap the large button of the card, ready or not."""
        self._tap(self.app.root.screen, BigButton)

    def leave_panel(self) -> None:
        """Leave the topmost overlay."""
        self._tap(self.app.root.children[0], SmallButton, text="Back")

    def tap_kind(self, kind: type[Widget], at: int = 0, **values: str) -> None:
        """Tap the widget of a kind with index `at` on the topmost layer, as a finger would."""
        self.stage.run_for(0.4, 0.1)
        top = self.app.root.children[0] if len(self.app.root.children) > 1 else self.app.root.screen
        found = [each for each in top.walk() if isinstance(each, kind)]
        self.stage.tap([each for each in found if _is(each, values)][at])

    def _tap(self, under: Widget, kind: type[Widget], **values: str) -> None:
        self.stage.tap(self._found(under, kind, **values))

    def _found(self, under: Widget, kind: type[Widget], **values: str) -> Any:
        for widget in under.walk():
            if isinstance(widget, kind) and _is(widget, values):
                return widget
        raise LookupError(f"there is no {kind.__name__} {values} on the screen")

    def open_item(self, key: str) -> None:
        """Show a piece or an assembly on the card."""
        self.app.open_item(key)
        self.stage.run_for(0.4, 0.1)  # for a moment after a change of screen no touch counts

    def show_lay(self) -> None:
        """Show how the piece lies on the saw."""
        self.this_piece("On the saw")

    def this_piece(self, option: str = "") -> None:
        """Show the options of the current piece, and one of them."""
        self._tap(self.app.root.screen, SmallButton, text="This piece")
        if option:
            self.choose(option)

    def choose(self, option: str) -> None:
        """Choose an option of the open panel."""
        self._tap(self.app.root.children[0], BigButton, text=option)

    def tap_words(self, words: str) -> None:
        """Tap a button of the topmost overlay."""
        self._tap(self.app.root.children[0], Plate, text=words)

    def press_key(self, key: str) -> None:
        """Tap a key of the topmost overlay."""
        self._tap(self.app.root.children[0], Key, key=key)

    def work(self, key: str, until: str = "") -> None:
        """Do an item's steps, and first those of its members, up to but not including `until`."""
        floor = self.app.floor()
        for member in floor.item(key).members:
            self.work(member)
        while (step := next_step(floor.run, self.app.shop.state, floor.item(key))) and step.id != until:
            self.app.act(Do(key, step.id, "Tested: ready", run=self.run))

    def let_work(self) -> None:
        """Run until the worker has finished all its jobs and the screen shows the results: a result may cause more
        jobs."""
        for _ in range(MOST_ASKED):
            self.app.worker.submit(lambda: None, lambda _: None).result()
            self.stage.frames(2)
            if self.app.worker.idle:
                return
        raise AssertionError(f"the worker is still busy after {MOST_ASKED} rounds")

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.stage.jump(seconds)
        self.stage.run_for(2.0, 0.5)


def _is(widget: Widget, values: Mapping[str, str]) -> bool:
    """Whether its properties have these values: ids, names, or English words as the screen says them, where a button
    may begin with a capital."""
    found = {name: str(getattr(widget, name, "")).casefold() for name in values}
    return all(found[name] in (value.casefold(), say(value).casefold()) for name, value in values.items())
