"""The touch app: one shop, one shell, and what any screen may ask of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from kivy.app import App
from kivy.base import ExceptionManager
from kivy.clock import Clock
from kivy.core.window import Window
from kivy.metrics import Metrics
from kivy.properties import StringProperty
from msgspec.structs import replace

from tracker.cards.builds.builds import lost_words, said_first
from tracker.cards.piece.action import Action
from tracker.cards.scan import ScanCard, scanned
from tracker.cards.station.station import STATION_WORDS, queue_card
from tracker.floor.floor import Floor
from tracker.floor.rack import with_racked
from tracker.scan.typed import Typed, read_keys
from tracker.screens.base import shown_path
from tracker.screens.crash_report import Keeper
from tracker.screens.device.background_search import BackgroundSearch
from tracker.screens.device.keyboard_scanner import KeyboardScanner
from tracker.screens.device.sound import Sounds
from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.device.worker import Worker
from tracker.screens.display import load_kv_once
from tracker.screens.lazy import class_named
from tracker.screens.overlays.alarm import AlarmWatch
from tracker.screens.shell import Shell
from tracker.screens.toolkit.prompts import Option, Panel
from tracker.screens.toolkit.theme import Theme
from tracker.screens.toolkit.touch import GhostGuard
from tracker.screens.toolkit.widgets import load_toolkit
from tracker.shop import Shop
from tracker.work.codes import LENGTH
from tracker.work.decide.decide import GOING_AHEAD, Answer, ConfirmClock, Do, Intent
from tracker.work.revision import is_revised

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
}
"""Module and class of each place; its kv file bears the module's name."""
BEAT_SECONDS = 10.0
CHOOSE_FIRST = "Choose a build first."


class KerfcardApp(App):
    """`hand` is the key of the item on the card, `assembly` that of the glue-up, `station` where the tablet stands."""

    title = "Kerfcard"
    use_kivy_settings = False
    hand = StringProperty("")
    assembly = StringProperty("")
    station = StringProperty("saw")

    def __init__(self, shop: Shop, screen: ThisScreen, file: Path | None = None, **kwargs: Any) -> None:
        """`file` is a build to open; `screen` shows the window. `tracker.screens.start.app_on` makes the app."""
        super().__init__(**kwargs)
        self.shop = shop
        self.screen = screen
        self.file = file
        self.place_before = "station"
        self.theme = Theme()
        self._dress()
        self.worker = Worker()
        self.board_search = BackgroundSearch()
        self.guard = GhostGuard()
        self.scanner = KeyboardScanner(self._read_keys, self._keys_scanned)
        self.watch = AlarmWatch(self, Sounds(shop.home / "sounds", shop.settings))
        self._keeper = Keeper(self)
        self._run = shop.run.name if shop.run else ""
        self._endings: list[Callable[[], None]] = []

    # -- Kivy's life cycle ----------------------------------------------------------------------------------------

    def load_config(self) -> None:
        """No file of settings beside ours."""

    def load_kv(self, filename: str | None = None) -> bool:
        """Our kv files are loaded by name, in `build`."""
        return False

    def open_settings(self, *_: object) -> bool:
        """F1 does nothing."""
        return False

    def build(self) -> Shell:
        load_toolkit()
        load_kv_once("shell.kv")
        settings = self.shop.settings
        self.station = settings.get("station", "saw")
        self.hand, self.assembly = settings.get("hand", ""), settings.get("assembly", "")
        return Shell(lambda name: class_named(SCREENS[name])())

    def on_start(self) -> None:
        self.guard.attach()
        self.scanner.attach()
        ExceptionManager.add_handler(self._keeper)
        ticking = Clock.schedule_interval(lambda _: self.root.tick(), 1.0)
        beating = Clock.schedule_interval(lambda _: self.beat(), BEAT_SECONDS)
        watching = Clock.schedule_interval(self.watch.look, 1.0)
        self._endings = [self.shop.listen(self.redraw), ticking.cancel, beating.cancel, watching.cancel]
        if self.file is not None:
            self.shop.library.learn([self.file.absolute()])  # nothing is shown yet that could be held up
            self.open_build(self.file)
        else:
            self.go(self.shop.settings.get("screen", "station") if self.shop.run else "builds")
        self.root.said = self.shop.notice or self._at_the_start()
        self.beat()
        self.watch.look()
        self.watch.ask()
        Window.bind(on_move=self._follow_window)
        self._follow_window()
        if self.screen.asks:
            class_named("overlays.card_size.CardSize")(then=self._show_first_steps).begin()
        else:
            self._show_first_steps()

    def _show_first_steps(self) -> None:
        """Whoever is new here is shown round, once."""
        if self.shop.run is None and "first steps" not in self.shop.settings:
            class_named("overlays.first_steps.FirstSteps").begin()

    def _follow_window(self, *_: object) -> None:
        """The window has opened, or was moved to another screen."""
        if self.screen.follow_window():
            self._scale()

    def _scale(self) -> None:
        dpi = self.screen.scale.dpi
        Metrics.density, Metrics.dpi = dpi / 160, dpi

    def measure_screen(self, dpi: float) -> None:
        """A card was held to the screen: it has so many points to an inch. Kept for this screen."""
        self.screen.keep_card(dpi)
        self._scale()
        self.root.draw()

    def on_stop(self) -> None:
        Window.unbind(on_move=self._follow_window)
        self.root.screen.leave()
        self.theme.rest()
        self.guard.detach()
        self.scanner.detach()
        ExceptionManager.remove_handler(self._keeper)
        for end in self._endings:
            end()
        self.watch.close()
        self.board_search.close()
        self.worker.close()
        self.shop.close()

    # -- what screens ask -----------------------------------------------------------------------------------------

    def floor(self) -> Floor:
        """The shop floor at this moment. Only where a build is open."""
        assert self.shop.run is not None
        return Floor(with_racked(self.shop.run, self.shop.state), self.shop.state, self.shop.now())

    def floors(self) -> tuple[Floor, ...]:
        """The same of every build with a clock, the one in hand first."""
        now = self.shop.now()
        return tuple(Floor(run, self.shop.state, now) for run in self.shop.runs())

    @property
    def places(self) -> frozenset[str]:
        """The names of all screens."""
        return frozenset(SCREENS)

    def beat(self) -> None:
        """What the shop does every few seconds; what it says of it is shown."""
        if warning := self.shop.beat():
            self.root.said = warning
        if unread := self.shop.unread():
            self.learn(unread, self.redraw)

    def redraw(self) -> None:
        """The shop has changed. A sheet of a run that isn't in hand any more closes: what it asks is answered for no
        other."""
        run = self.shop.run.name if self.shop.run else ""
        if run != self._run:
            self._run = run
            self.root.close_sheets()
        self.root.draw()
        self.watch.look()

    def go(self, place: str) -> None:
        """Show a screen; without a build only those that need none."""
        if self.root.said == CHOOSE_FIRST:
            self.root.said = ""
        if self.shop.run is None and class_named(SCREENS[place]).needs_run:
            self.root.said = CHOOSE_FIRST
            place = "builds"
        if self.root.current not in ("", "more"):
            self.place_before = self.root.current
        self.shop.settings["screen"] = place
        self.guard.screen_changed()
        self.root.close_sheets()
        self.root.show(place)

    def open_build(self, path: Path, then: Callable[[], None] = lambda: None) -> None:
        """Take up a build and go on with `then`, or say what is wrong with it.

        A file that isn't read yet is read in the background first.
        """
        if self.shop.library.known(path.absolute()) is None:
            self.root.said = f"Reading {path.name} ..."
            self.root.said_tone = "waiting"
            self.learn((path.absolute(),), lambda: self._open_read(path, then))
        else:
            self._open_read(path, then)

    def _open_read(self, path: Path, then: Callable[[], None]) -> None:
        problems = [problem for problem in self.shop.open(path) if problem.kind == "problem"]
        if problems:
            more = f" And {len(problems) - 1} more." if len(problems) > 1 else ""
            self.go("builds")
            self.root.said = f"{path.name} can't be opened. Mend {said_first(problems)}.{more}"
            return
        self.root.said = self.shop.warning
        self._remember(hand="", assembly="")
        self.go("station")
        then()

    def learn(self, paths: Iterable[Path] | None = None, then: Callable[[], None] = lambda: None) -> None:
        """Read build files (all of them unless said) in the background, then go on with `then`."""
        library = self.shop.library
        self.worker.submit(lambda: library.learn(paths), lambda _: then())

    def _at_the_start(self) -> str:
        """What should be known of the build that was in hand last: its file is gone, or it was revised."""
        run = self.shop.run
        if run is None:
            last = self.shop.last_run
            return self._lost_words(last.build.name, last.name) if last else ""
        if not is_revised(run, self.shop.state):
            return ""
        return "The build file was revised since it was opened: tap More, Builds, and the build to see what changed."

    def _lost_words(self, build: str, run: str) -> str:
        """That a build can't be opened, for its file is gone."""
        was_at = self.shop.library.opened_at(run)
        return lost_words(build, shown_path(was_at) if was_at else "", shown_path(self.shop.library.folder))

    def hold(self, key: str) -> None:
        """Put an item on the card, here."""
        self._remember(hand=key)
        self.root.draw()

    def take(self, key: str) -> None:
        """Show the card of an item, wherever it belongs."""
        item = self.floor().item(key)
        if item.kind == "assembly":
            self._remember(assembly=key, hand=key)
            self.go("glueup")
        else:
            self._remember(hand=key)
            self.go("station")

    def act(self, intent: Intent) -> None:
        """Carry out a tap; its mark changes only once it is on the disk."""
        if isinstance(intent, Do):
            self._remember(hand=intent.item)
        refusal = self.shop.do(intent)
        self.root.said = refusal.reason if refusal else self.shop.warning

    def answer(self, run: str, intent: Answer | ConfirmClock | Do) -> None:
        """A person has seen that a clock is over, or that the tablet's clock is right, of whatever build."""
        refusal = self.shop.do(intent, next((each for each in self.shop.runs() if each.name == run), None))
        self.root.said = refusal.reason if refusal else ""

    def take_from(self, run: str, key: str) -> None:
        """Show the card of an item of whatever build, or say why it has none any more."""
        if self.shop.run is not None and self.shop.run.name == run:
            self._take_if_there(key)
        elif unread := self.shop.known.unread([run]):
            self.learn(unread, lambda: self._take_from_read(run, key))
        else:
            self._take_from_read(run, key)

    def _take_from_read(self, run: str, key: str) -> None:
        path = self.shop.known.path(run)
        if path is None:
            self.root.said = self._lost_words(self.shop.known.run(run).build.name, run)
        else:
            self.open_build(path, lambda: self._take_if_there(key))

    def _take_if_there(self, key: str) -> None:
        if key in self.floor().run.items:
            self.take(key)
        else:
            self.root.said = "The build file was revised, and this is no longer in it."

    def restore(self, backup: Path) -> str:
        """Put a backup in the place of the record; what came of it."""
        said = self.shop.restore(backup)
        self._dress()
        self._remember(hand="", assembly="")
        return said

    def offer_anyway(self, action: Action) -> None:
        """Something is in the way: say what, and ask for the reason to go ahead."""
        if action.intent is None or action.refusal is None:
            return
        if not action.refusal.overridable:
            self.root.said = action.refusal.reason
            return
        intent = action.intent
        panel = Panel(
            title=f"{action.why}. {action.text} anyway?",
            note="Your reason stays in the record. A running clock is there to keep the joint safe.",
            options=[Option(key=reason, text=reason) for reason in GOING_AHEAD],
        )
        panel.bind(on_choose=lambda _panel, reason: self.act(replace(intent, anyway=reason)))
        panel.open_on(self.root)

    def _dress(self) -> None:
        """The light and the hand that the tablet is set to."""
        self.theme.name = self.shop.settings.get("theme", "day")
        self.theme.hand = self.shop.settings.get("handed", "right")

    def turn_light(self) -> None:
        """The other of the two themes."""
        self.set("theme", "shop" if self.theme.name == "day" else "day")

    def set(self, name: str, value: str) -> None:
        """Change a setting of this tablet, and work by it from now on."""
        if name == "station":
            self.stand_at(value)
            self.go("settings")
            return
        self.shop.settings[name] = value
        self._dress()
        self.shop.settings_changed()
        self.root.draw()

    def choose_station(self) -> None:
        """Where does this tablet stand?"""
        counts = dict(queue_card(self.floor(), "saw").counts) if self.shop.run else {}
        options = [
            Option(key=name, text=word, sub_text=f"{counts[name]} ready" if counts.get(name) else "")
            for name, word in STATION_WORDS.items()
        ]
        panel = Panel(title="Which station is this?", options=options)
        panel.bind(on_choose=lambda _panel, name: self.stand_at(name))
        panel.open_on(self.root)

    def _read_keys(self, text: str) -> Typed:
        """The code in what a handheld scanner typed."""
        return read_keys(text, self.floor().run.codes.values() if self.shop.run else ())

    def _keys_scanned(self, typed: Typed) -> None:
        """A handheld scanner typed, on whatever screen."""
        if typed.code is None:
            self._say(typed.trouble)
            return
        self.scanned(typed.code)
        if typed.trouble:
            self._say(f"{self.root.said} {typed.trouble}".strip())

    def scanned(self, text: str) -> None:
        """A code was scanned or typed, on whatever screen."""
        card = scanned(self.floor().run if self.shop.run else None, text)
        if card.key:
            self.root.said = ""
            if not self.root.screen.takes_scan(card.key):
                self.take(card.key)
            return
        if card.board:
            if not self._takes_board(card.board):
                self._say(card.said)
            return
        if self.shop.library.unread():
            self.learn(then=lambda: self._elsewhere(card))
        else:
            self._elsewhere(card)

    def _elsewhere(self, card: ScanCard) -> None:
        """A code of no item of this build: of another one that this tablet knows, or of none."""
        owner = self.shop.known.owner_of(card.code) if len(card.code) == LENGTH else None
        if owner is None:
            self._say(card.said)
        elif self.shop.run is not None and owner.run == self.shop.run.name:
            self._say("That label is of a piece that this build no longer has.")
        elif owner.path is None:
            self._say(f"That label is of another build. {self._lost_words(owner.build, owner.run)}")
        else:
            path = owner.path
            panel = Panel(
                title="That label is of another build.",
                options=[Option(key=owner.key, text="Open it", sub_text=owner.build)],
            )
            panel.bind(on_choose=lambda _panel, key: self._open_and_take(path, card.code))
            panel.open_on(self.root)

    def _takes_board(self, key: str) -> bool:
        """Whether something is to be cut from a board of the rack: then it is brought up."""
        floor = self.floor()
        if not any(board.key == key for board in floor.state.boards(floor.run)):
            return False
        self.go("boards")
        self.root.screen.choose(key)
        return True

    def _open_and_take(self, path: Path, code: str) -> None:
        """Open a build, and do there what the label asks for; a file that can't be opened is not tried twice."""

        def there() -> None:
            if code in self.floor().run.codes.values():
                self.scanned(code)

        self.open_build(path, there)

    def _say(self, sentence: str) -> None:
        """On the screen itself where it has a place for it, else in the banner."""
        if not self.root.screen.says(sentence):
            self.root.said = sentence

    def stand_at(self, station: str) -> None:
        """Move the tablet to a station, and show what can be done there."""
        self.station = station
        self.shop.settings["station"] = station
        self._remember(hand="")
        self.go("station")

    def _remember(self, **keys: str) -> None:
        for name, key in keys.items():
            setattr(self, name, key)
            self.shop.settings[name] = key
