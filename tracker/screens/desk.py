"""The interface of the running app for its screens, and its messages to the person. The app implements it; nothing
imports the app."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Literal, Protocol

from kivy.app import App
from msgspec import Struct

from tracker.cards.marks import Tone
from tracker.cards.piece.action import Action
from tracker.floor.floor import Floor
from tracker.screens.current_item import CurrentItem
from tracker.screens.device.background_search import BackgroundSearch
from tracker.screens.device.sound import Sounds
from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.device.worker import Worker
from tracker.screens.toolkit.prompts import Option, Panel
from tracker.screens.toolkit.theme import Theme
from tracker.screens.toolkit.touch import GhostGuard
from tracker.shop import Shop
from tracker.shop.together import Together
from tracker.words import say
from tracker.work.decide.decide import Answer, ConfirmClock, Do, Intent
from tracker.work.operations import Station

Reason = Literal["refused", "done", "scanned", "build", "record", "clock", "fault", "choose first"]
"""What a notice is about: a tap that was refused or did something, a scanned code, a build file, the record on the
disk, the tablet's clock, a bug; or that a build must be chosen first."""


class Notice(Struct, frozen=True, kw_only=True):
    """One sentence for the person: its subject, its tone, and its time (UTC)."""

    sentence: str
    reason: Reason
    tone: Tone
    at: datetime


class Desk(Protocol):
    """The running app, as its screens know it."""

    root: Any
    """The shell, which fills the window; overlays are added to it."""
    shop: Shop
    theme: Theme
    worker: Worker
    board_search: BackgroundSearch
    together: Together
    """This tablet's connection with the others of its shop."""
    guard: GhostGuard
    sounds: Sounds
    screen: ThisScreen
    """The screen that shows the window, with its resolution."""
    station: Station
    """Where the tablet is."""
    current_item: CurrentItem
    """What a tap on the card's buttons does."""
    item_key: str
    """The key of the item on the card."""
    assembly: str
    """The key of the assembly at the glue-up."""
    place_before: str
    """The place that was shown before this one."""
    notice: Notice | None
    """The present message; None when there is none."""

    def floor(self) -> Floor:
        """The shop floor at this moment. Only while a build is open."""

    def floors(self) -> tuple[Floor, ...]:
        """The shop floors of every build with a clock, the current one first."""

    @property
    def places(self) -> frozenset[str]:
        """The names of all places."""

    def shows(self, screen: object) -> bool:
        """Whether this is the screen being shown."""

    def go(self, place: str) -> None:
        """Show a place; without a build only one that needs none."""

    def show_item(self, key: str, step: str = "") -> None:
        """Put an item on the card, here. `step`: which of a piece's two ends is trimmed first."""

    def remember_item(self, key: str) -> None:
        """Remember the item on the card, also across a restart; nothing is drawn."""

    def open_item(self, key: str) -> None:
        """Show the card of an item, in the place where it belongs."""

    def open_item_of_run(self, run: str, key: str) -> None:
        """Show the card of an item of any build, or say why it no longer has one."""

    def move_to_station(self, station: str) -> None:
        """Move the tablet to a station, and show what can be done there."""

    def choose_station(self) -> None:
        """Ask where the tablet is."""

    def redraw(self) -> None:
        """Redraw the screen: the shop has changed, or a search has a result."""

    def act(self, intent: Intent) -> None:
        """Carry out a tap; its mark changes only after it is on the disk. A refusal is shown."""

    def do(self, intent: Intent) -> bool:
        """The same; returns whether it was done."""

    def answer(self, run: str, intent: Answer | ConfirmClock | Do) -> None:
        """A person has seen that a clock of any build has ended, or that the tablet's clock is right."""

    def offer_anyway(self, action: Action) -> None:
        """Explain what is in the way, and ask for a reason to go ahead."""

    def together_words(self) -> str:
        """The small mark: the tablets this one is connected with, or since when it is alone; empty without a hub."""

    def notify(self, sentence: str, reason: Reason, tone: Tone = "caution") -> None:
        """Show one sentence; an empty one removes the present message."""

    def ask(
        self,
        title: str,
        options: Sequence[Option],
        chosen: Callable[[Any], None],
        note: str = "",
        cancel: str = say("Back"),
    ) -> Panel:
        """Ask for one of up to seven options; `chosen` is called with its key. Only one question is shown at a time."""

    def scanned(self, text: str) -> None:
        """A code was scanned or typed, on any screen."""

    def open_build(self, path: Path, then: Callable[[], None] = ...) -> None:
        """Open a build and continue with `then`, or say what is wrong with it."""

    def learn(self, paths: Iterable[Path] | None = None, then: Callable[[], None] = ...) -> None:
        """Read build files (by default all) in the background, then continue with `then`."""

    def restore(self, backup: Path) -> str:
        """Replace the record by a backup; returns one sentence about the result."""

    def measure_screen(self, dpi: float) -> None:
        """A card was held to the screen, which gives its points per inch."""

    def set(self, name: str, value: str) -> None:
        """Change a setting of this tablet, and apply it at once."""

    def turn_light(self) -> None:
        """Switch to the other theme."""


def the_desk() -> Desk:
    """The desk of the running app."""
    desk: Desk = App.get_running_app()
    return desk


def shown_path(path: Path) -> str:
    """A path for a person: with `~` for their home folder."""
    try:
        return f"~/{path.relative_to(Path.home())}"
    except ValueError:
        return str(path)
