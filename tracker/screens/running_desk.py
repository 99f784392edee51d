"""The desk that every screen uses, as the running app implements it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from kivy.app import App
from kivy.metrics import Metrics
from kivy.properties import ObjectProperty, StringProperty
from msgspec.structs import replace

from tracker.cards.marks import Tone
from tracker.cards.piece.action import Action
from tracker.cards.station.settings_of_work import ready_words
from tracker.cards.station.station import STATION_WORDS, queue_card
from tracker.cards.together.conflicts import conflict_words
from tracker.cards.together.together import mark_words
from tracker.cards.words import inside
from tracker.design.problems import Problem
from tracker.floor.floor import Floor
from tracker.floor.rack import with_racked
from tracker.screens.current_item import CurrentItem
from tracker.screens.desk import Notice, Reason
from tracker.screens.device.background_search import BackgroundSearch
from tracker.screens.device.sound import Sounds
from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.device.worker import Worker, on_next_frame
from tracker.screens.lazy import class_named
from tracker.screens.openings import Openings
from tracker.screens.overlays.alarm import AlarmWatch
from tracker.screens.scans import Scans
from tracker.screens.toolkit.prompts import Option, Panel
from tracker.screens.toolkit.theme import Theme
from tracker.screens.toolkit.touch import GhostGuard
from tracker.shop import Shop
from tracker.shop.together import Together
from tracker.words import say
from tracker.work.conflicts import conflicts
from tracker.work.decide.decide import AT_RISK, GOING_AHEAD, Answer, ConfirmClock, Do, Intent, Refusal
from tracker.work.facts import Entry

SCREENS = {
    "builds": "places.builds.BuildsScreen",
    "station": "places.station.StationScreen",
    "glueup": "places.glueup.GlueupScreen",
    "clocks": "places.clocks.ClocksScreen",
    "boards": "places.boards.BoardsScreen",
    "shopping": "places.shopping.ShoppingScreen",
    "labels": "places.labels.LabelsScreen",
    "scan": "places.scan.ScanScreen",
    "more": "places.more.MoreScreen",
    "settings": "places.settings.SettingsScreen",
    "history": "places.history.HistoryScreen",
    "restore": "places.restore.RestoreScreen",
    "together": "places.together.TogetherScreen",
}
"""The module and class of each place; its kv file has the module's name."""
KEPT_AS = {"item_key": "hand", "assembly": "assembly"}
"""The settings that remember what was on the screen, by the names that released records have for them."""


# One long class: it implements `Desk` with a short method for each request; anything larger has its own class.
class RunningDesk(App):
    """Goes to places, carries out taps, asks and shows messages. Each method is explained in `Desk`.

    `item_key` is the key of the item on the card, `assembly` that of the glue-up, `station` where the tablet is.
    """

    item_key = StringProperty("")
    assembly = StringProperty("")
    station = StringProperty("saw")
    notice: Notice | None = ObjectProperty(None, allownone=True)

    def __init__(self, shop: Shop, screen: ThisScreen, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.shop = shop
        self.screen = screen
        self.place_before = "station"
        self.theme = Theme()
        self._apply_settings()
        self.worker = Worker()
        self.board_search = BackgroundSearch()
        self.together = Together(shop, on_next_frame, self.others_changed, self.others_arriving)
        self._mark = ""
        self.guard = GhostGuard()
        self.sounds = Sounds(shop.home / "sounds", shop.settings)
        self.watch = AlarmWatch(self)
        self.current_item = CurrentItem(self)
        self._openings = Openings(self, self._switch_to, self._opened)
        self._scans = Scans(self, self._openings.lost)
        self._run = shop.run.name if shop.run else ""
        self._opening = False

    def floor(self) -> Floor:
        """The shop floor at this moment. Only while a build is open."""
        shop = self.shop
        assert shop.run is not None
        return Floor(with_racked(shop.run, shop.state), shop.state, shop.now(), datetime.astimezone, shop.tablet)

    def floors(self) -> tuple[Floor, ...]:
        """The shop floors of every build with a clock, the current one first."""
        now = self.shop.now()
        return tuple(Floor(run, self.shop.state, now, datetime.astimezone) for run in self.shop.runs())

    @property
    def places(self) -> frozenset[str]:
        """The names of all screens."""
        return frozenset(SCREENS)

    def together_words(self) -> str:
        return mark_words(self.together.status, datetime.now(UTC))

    def others_arriving(self, fold: Callable[[], None]) -> None:
        """Entries of other tablets change what is drawn: if that changes the meaning of a button, a tap in progress was
        meant for the meaning before."""
        before = self.root.says()
        fold()
        if self.root.says() != before:
            self.guard.moved_beneath()

    def others_changed(self, new: tuple[Entry, ...]) -> None:
        """The connection with the others has changed; `new` are the entries that came from them."""
        if said := (*self.together.status.news, *self._conflicts(new)):
            self.shop.keep_news(said)
            more = say(" And {count} more: look at Settings, Together.", count=len(said) - 1) if len(said) > 1 else ""
            self.notify(f"{said[0]}{more}", "record")
        if self.root.current == "together" or self.together_words() != self._mark:
            self._mark = self.together_words()
            self.root.draw()

    def _conflicts(self, new: tuple[Entry, ...]) -> tuple[str, ...]:
        """What was done here and elsewhere at the same time, in sentences."""
        said: list[str] = []
        for name in self.shop.runs_of(new):
            run = self.shop.known.run(name)
            found = conflicts(new, self.shop.state, run)
            said += conflict_words(found, run, self.together.status, self.shop.tablet)
        return tuple(said)

    def shows(self, screen: object) -> bool:
        return bool(self.root.current) and self.root.screen is screen

    def notify(self, sentence: str, reason: Reason, tone: Tone = "caution") -> None:
        at = datetime.now(UTC)
        self.notice = Notice(sentence=sentence, reason=reason, tone=tone, at=at) if sentence else None

    def quiet(self) -> None:
        """The message was seen."""
        self.notice = None

    def ask(
        self,
        title: str,
        options: Sequence[Option],
        chosen: Callable[[Any], None],
        note: str = "",
        cancel: str = say("Back"),
    ) -> Panel:
        for other in [child for child in self.root.children if isinstance(child, Panel)]:
            other.close()
        panel = Panel(title=title, options=options, note=note, cancel=cancel)
        panel.bind(on_choose=lambda _panel, key: chosen(key))
        panel.open_on(self.root)
        return panel

    def redraw(self) -> None:
        """The shop has changed. A sheet of a run that is no longer current closes, because its question is about that
        run."""
        if self.current_item.busy:
            return  # what a tick or an undo changes is drawn once the next piece is current
        run = self.shop.run.name if self.shop.run else ""
        if run != self._run:
            self._run = run
            self.root.close_sheets()
        if self._opening:
            return
        self.root.draw()
        self.watch.look()

    def go(self, place: str) -> None:
        """Show a screen; without a build only those that need none."""
        if self.notice is not None and self.notice.reason == "choose first":
            self.quiet()
        if self.shop.run is None and class_named(SCREENS[place]).needs_run:
            self.notify(say("Choose a build first."), "choose first")
            place = "builds"
        if self.root.current not in ("", "more"):
            self.place_before = self.root.current
        self.shop.settings["screen"] = place
        self.guard.screen_changed()
        self.root.close_sheets()
        self.root.show(place)

    def open_build(self, path: Path, then: Callable[[], None] = lambda: None) -> None:
        self._openings.open(path, then)

    def _switch_to(self, path: Path) -> Sequence[Problem]:
        """Open a build without drawing it: the screen that shows it comes next."""
        self._opening = True
        try:
            return self.shop.open(path)
        finally:
            self._opening = False

    def _opened(self) -> None:
        self._remember(item_key="", assembly="")
        self.go("station")

    def learn(self, paths: Iterable[Path] | None = None, then: Callable[[], None] = lambda: None) -> None:
        library = self.shop.library
        self.worker.submit(lambda: library.learn(paths), lambda _: then())

    def show_item(self, key: str, step: str = "") -> None:
        """Put an item on the card, here. `step`: which of a piece's two ends is trimmed first."""
        self.current_item.choose(key, step)
        self.root.draw()

    def remember_item(self, key: str) -> None:
        """Remember the item on the card, also across a restart; nothing is drawn."""
        self._remember(item_key=key)

    def open_item(self, key: str) -> None:
        """Show the card of an item, in the place where it belongs."""
        item = self.floor().item(key)
        if item.kind == "assembly":
            self._remember(assembly=key)
            self.current_item.choose(key)
            self.go("glueup")
        else:
            self.current_item.choose(key)
            self.go("station")

    def act(self, intent: Intent) -> None:
        """Carry out a tap; its mark changes only after it is on the disk."""
        self.do(intent)

    def do(self, intent: Intent) -> bool:
        """The same; returns whether it was done."""
        if isinstance(intent, Do):
            self._remember(item_key=intent.item)
        return self._notify_result(self.shop.do(intent))

    def _notify_result(self, refusal: Refusal | None) -> bool:
        if refusal is not None:
            self.notify(refusal.reason, "refused")
        else:
            self.notify(self.shop.warning, "record")
        return refusal is None

    def answer(self, run: str, intent: Answer | ConfirmClock | Do) -> None:
        self._notify_result(self.shop.do(intent, next((each for each in self.shop.runs() if each.name == run), None)))

    def open_item_of_run(self, run: str, key: str) -> None:
        self._openings.open_item_of_run(run, key)

    def restore(self, backup: Path) -> str:
        """Replace the record by a backup; returns a sentence about the result."""
        said = self.shop.restore(backup)
        self._apply_settings()
        self._remember(item_key="", assembly="")
        return said

    def offer_anyway(self, action: Action) -> None:
        """Explain what is in the way, and ask for a reason to go ahead."""
        if action.intent is None or action.refusal is None:
            return
        if not action.refusal.overridable:
            self.notify(action.refusal.reason, "refused")
            return
        intent = action.intent
        self.ask(
            say("{name}: {why}. Go ahead?", name=action.name, why=inside(action.why)),
            [
                Option(key=reason, text=say(reason), held=True, tone="caution" if reason == AT_RISK else "ready")
                for reason in GOING_AHEAD
            ],
            lambda reason: self.act(replace(intent, anyway=reason)),
            note=say("Hold a reason for one second. It is kept in the history."),
        )

    def _apply_settings(self) -> None:
        """Apply the tablet's settings of light and hand."""
        self.theme.name = self.shop.settings.get("theme", "day")
        self.theme.handedness = self.shop.settings.get("handed", "right")

    def turn_light(self) -> None:
        """Switch to the other theme."""
        self.set("theme", "shop" if self.theme.name == "day" else "day")

    def set(self, name: str, value: str) -> None:
        """Change a setting of this tablet, and apply it at once."""
        if name == "station":
            self.move_to_station(value)
            self.go("settings")
            return
        self.shop.settings[name] = value
        self._apply_settings()
        self.shop.settings_changed()
        self.root.draw()

    def choose_station(self) -> None:
        """Ask where this tablet is."""
        counts = dict(queue_card(self.floor(), "saw").counts) if self.shop.run else {}
        options = [
            Option(
                key=name,
                text=word,
                sub_text=ready_words(counts.get(name, 0), here=name == self.station),
            )
            for name, word in STATION_WORDS.items()
        ]
        self.ask(say("Where is the tablet now?"), options, self.move_to_station)

    def scanned(self, text: str) -> None:
        self._scans.carry_out(text)

    def move_to_station(self, station: str) -> None:
        """Move the tablet to a station, and show what can be done there."""
        self.station = station
        self.shop.settings["station"] = station
        self.current_item.choose("")
        self.go("station")

    def _remember(self, **keys: str) -> None:
        for name, key in keys.items():
            setattr(self, name, key)
            self.shop.settings[KEPT_AS[name]] = key

    def set_scale(self) -> None:
        """Use the millimetres of the screen that shows the window."""
        dpi = self.screen.scale.dpi
        Metrics.density, Metrics.dpi = dpi / 160, dpi

    def measure_screen(self, dpi: float) -> None:
        """A card was held to the screen, which gives its points per inch. Stored for this screen."""
        self.screen.keep_card(dpi)
        self.set_scale()
        self.root.draw()
