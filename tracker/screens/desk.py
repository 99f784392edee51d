"""What any screen may ask of the running app, and what is said to the person. The app fulfils it; nothing imports the
app."""

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
from tracker.screens.device.background_search import BackgroundSearch
from tracker.screens.device.sound import Sounds
from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.device.worker import Worker
from tracker.screens.in_hand import InHand
from tracker.screens.toolkit.prompts import Option, Panel
from tracker.screens.toolkit.theme import Theme
from tracker.screens.toolkit.touch import GhostGuard
from tracker.shop import Shop
from tracker.shop.together import Together
from tracker.work.decide.decide import Answer, ConfirmClock, Do, Intent
from tracker.work.operations import Station

Reason = Literal["refused", "done", "scanned", "build", "record", "clock", "fault", "choose first"]
"""What a notice is about: a tap that was refused or did something, a code that was scanned, a build file, the record on
the disk, the tablet's clock, a fault of the program; or that a build must be chosen first."""


class Notice(Struct, frozen=True, kw_only=True):
    """One sentence for the person: what it is about, how it is meant, and when it was said (UTC)."""

    sentence: str
    reason: Reason
    tone: Tone
    at: datetime


class Desk(Protocol):
    """The running app as a screen knows it."""

    root: Any
    """The shell, which fills the window: what lies over a screen is laid on it."""
    shop: Shop
    theme: Theme
    worker: Worker
    board_search: BackgroundSearch
    together: Together
    """This tablet among the others of its shop."""
    guard: GhostGuard
    sounds: Sounds
    screen: ThisScreen
    """The screen that shows the window: how many points an inch of it has."""
    station: Station
    """Where the tablet is."""
    in_hand: InHand
    """What a tap on the buttons of the card does."""
    item_key: str
    """The key of the item on the card."""
    assembly: str
    """The key of the assembly at the glue-up."""
    place_before: str
    """The place that was shown before this one."""
    notice: Notice | None
    """What is said now."""

    def floor(self) -> Floor:
        """The shop floor at this moment. Only where a build is open."""

    def floors(self) -> tuple[Floor, ...]:
        """The same of every build with a clock, the one in hand first."""

    @property
    def places(self) -> frozenset[str]:
        """The names of all places."""

    def shows(self, screen: object) -> bool:
        """Whether this is the screen that is shown."""

    def go(self, place: str) -> None:
        """Show a place; without a build only one that needs none."""

    def hold(self, key: str, step: str = "") -> None:
        """Put an item on the card, here; `step`: of a piece's two ends, the one that is to be trimmed first."""

    def put_in_hand(self, key: str) -> None:
        """Remember the item on the card, also over a restart; nothing is drawn."""

    def take(self, key: str) -> None:
        """Show the card of an item, wherever it belongs."""

    def take_from(self, run: str, key: str) -> None:
        """Show the card of an item of whatever build, or say why it has none any more."""

    def stand_at(self, station: str) -> None:
        """Move the tablet to a station, and show what can be done there."""

    def choose_station(self) -> None:
        """Ask where the tablet is."""

    def redraw(self) -> None:
        """Draw what is shown again: the shop has changed, or what is thought of."""

    def act(self, intent: Intent) -> None:
        """Carry out a tap; its mark changes only once it is on the disk. What keeps it from being done is said."""

    def do(self, intent: Intent) -> bool:
        """The same; whether it was done."""

    def answer(self, run: str, intent: Answer | ConfirmClock | Do) -> None:
        """A person has seen that a clock is over, or that the tablet's clock is right, of whatever build."""

    def offer_anyway(self, action: Action) -> None:
        """Something is in the way: say what, and ask for the reason to go ahead."""

    def together_words(self) -> str:
        """The small mark: with whom this tablet is together, or since when it is alone; nothing without a hub."""

    def notify(self, sentence: str, reason: Reason, tone: Tone = "caution") -> None:
        """Say one sentence; an empty one takes away what was said."""

    def ask(
        self, title: str, options: Sequence[Option], chosen: Callable[[Any], None], note: str = "", cancel: str = "Back"
    ) -> Panel:
        """Ask for one of up to seven; `chosen` gets its key. One question at a time lies over the screen."""

    def scanned(self, text: str) -> None:
        """A code was scanned or typed, on whatever screen."""

    def open_build(self, path: Path, then: Callable[[], None] = ...) -> None:
        """Take up a build and go on with `then`, or say what is wrong with it."""

    def learn(self, paths: Iterable[Path] | None = None, then: Callable[[], None] = ...) -> None:
        """Read build files (all of them unless said) in the background, then go on with `then`."""

    def restore(self, backup: Path) -> str:
        """Put a backup in the place of the record; one sentence that says what came of it."""

    def measure_screen(self, dpi: float) -> None:
        """A card was held to the screen: it has so many points to an inch."""

    def set(self, name: str, value: str) -> None:
        """Change a setting of this tablet, and work by it from now on."""

    def turn_light(self) -> None:
        """The other of the two themes."""


def the_desk() -> Desk:
    """The running app."""
    desk: Desk = App.get_running_app()
    return desk


def shown_path(path: Path) -> str:
    """A path as a person reads it: `~` for their own folder."""
    try:
        return f"~/{path.relative_to(Path.home())}"
    except ValueError:
        return str(path)
