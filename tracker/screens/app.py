"""The touch app: Kivy's life cycle around the desk that all screens use."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from kivy.base import ExceptionManager
from kivy.clock import Clock
from kivy.core.window import Window

from tracker.cards.clocks.alarm import anything_runs
from tracker.screens.crash_report import Keeper
from tracker.screens.device.keyboard_scanner import KeyboardScanner
from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.display import load_kv_once
from tracker.screens.lazy import class_named
from tracker.screens.overlays.clock_question import ask_about_clocks
from tracker.screens.running_desk import KEPT_AS, SCREENS, RunningDesk
from tracker.screens.shell import Shell
from tracker.screens.toolkit.widgets import load_toolkit
from tracker.shop import Shop

BEAT_SECONDS = 10.0
AFTER_THE_FIRST_CARD = 0.5
"""Seconds until the hub is contacted, because the first card waits for nothing."""


class KerfcardApp(RunningDesk):
    """Kivy's life cycle: everything that begins and ends with the window."""

    title = "Kerfcard"
    use_kivy_settings = False

    def __init__(self, shop: Shop, screen: ThisScreen, file: Path | None = None, **kwargs: Any) -> None:
        """`file` is a build to open; `screen` shows the window. Created by `tracker.screens.start.app_on`."""
        super().__init__(shop, screen, **kwargs)
        self.file = file
        self.scanner = KeyboardScanner(self._scans.read_keys, self._scans.keys_scanned)
        self._keeper = Keeper(self)
        self._endings: list[Callable[[], None]] = []

    def beat(self) -> None:
        """The shop's work of every few seconds; its warning is shown."""
        if warning := self.shop.beat():
            self.notify(warning, "record")
        if unread := self.shop.unread():
            self.learn(unread, self.redraw)

    def load_config(self) -> None:
        """Keep Kivy from creating a settings file beside ours."""

    def load_kv(self, filename: str | None = None) -> bool:
        """Do nothing: our kv files are loaded by name, in `build`."""
        return False

    def open_settings(self, *_: object) -> bool:
        """F1 does nothing."""
        return False

    def build(self) -> Shell:
        load_toolkit()
        load_kv_once("shell.kv")
        settings = self.shop.settings
        self.station = settings.get("station", "saw")
        self.item_key, self.assembly = settings.get(KEPT_AS["item_key"], ""), settings.get("assembly", "")
        return Shell(lambda name: class_named(SCREENS[name])())

    def on_start(self) -> None:
        self.guard.attach()
        self.scanner.attach()
        ExceptionManager.add_handler(self._keeper)
        ticking = Clock.schedule_interval(lambda _: self.root.tick(), 1.0)
        beating = Clock.schedule_interval(lambda _: self.beat(), BEAT_SECONDS)
        watching = Clock.schedule_interval(self.watch.look, 1.0)
        self._endings = [self.shop.listen(self.redraw), ticking.cancel, beating.cancel, watching.cancel]
        if notice := self._openings.at_the_start():
            self.notify(notice, "build")
        if self.file is not None:
            self.shop.library.learn([self.file.absolute()])  # nothing is shown yet that this could delay
            self.open_build(self.file)
        else:
            self.go(self.shop.settings.get("screen", "station") if self.shop.run else "builds")
        if notice := self.shop.notice:
            self.notify(notice, "record")
        self.beat()
        self.watch.look()
        Clock.schedule_once(lambda _: self.together.start(), AFTER_THE_FIRST_CARD)
        ask_about_clocks()
        Window.bind(on_move=self._follow_window, on_request_close=self._asked_to_close)
        self._follow_window()
        if self.screen.asks:
            class_named("overlays.card_size.CardSize")(then=self._show_first_steps).begin()
        else:
            self._show_first_steps()

    def _show_first_steps(self) -> None:
        """Show a new user round, once."""
        if self.shop.run is None and "first steps" not in self.shop.settings:
            class_named("overlays.first_steps.FirstSteps").begin()

    def _follow_window(self, *_: object) -> None:
        """The window has opened, or was moved to another screen."""
        if self.screen.follow_window():
            self.set_scale()

    def _asked_to_close(self, *_: object, **__: object) -> bool:
        """Kivy's question whether the window may close; True keeps it open. While a clock is running the app first
        explains what closing means."""
        return anything_runs(self.floors()) and bool(class_named("overlays.closing.ClosingSheet").asks())

    def on_stop(self) -> None:
        Window.unbind(on_move=self._follow_window, on_request_close=self._asked_to_close)
        self.root.screen.leave()
        self.theme.stop_following()
        self.guard.detach()
        self.scanner.detach()
        ExceptionManager.remove_handler(self._keeper)
        for end in self._endings:
            end()
        self.watch.close()
        self.together.stop()
        self.board_search.close()
        self.worker.close()
        self.shop.close()
