"""Starting the app, from nothing to the first card: the only entry point, for `kerfcard`, the tour and the tests."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tracker.screens.device import sdl
from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.display import choose_driver, find_display, prepare
from tracker.store import gc_pause

if TYPE_CHECKING:
    from tracker.work.clocks.elapsed import Now

DESK_WINDOW = (1280, 800)
"""The size in points of a window that doesn't fill the screen, where the screen is that large."""


def app_on(
    home: Path,
    file: Path | None = None,
    *,
    screen: ThisScreen | None = None,
    clock: Callable[[], Now] | None = None,
    settings: Mapping[str, str] | None = None,
) -> Any:
    """The app with the shop stored in `home`, ready to run. Kivy must have been prepared.

    `file` is a build to open; `screen` is what shows the window; `clock` is the shop's clock, by default the tablet's;
    `settings` are set before the app reads them. Raises OSError when no record can be read or kept there.
    """
    from tracker.screens.app import KerfcardApp
    from tracker.screens.device import pointer
    from tracker.shop import RESERVE_BYTES, Shop, read_clock

    pointer.register()
    shop = Shop(home, clock or read_clock, RESERVE_BYTES)
    shop.settings.update(settings or {})
    return KerfcardApp(shop, screen or ThisScreen(home), file)


def run_app(home: Path, file: Path | None = None, *, full_screen: bool = True) -> None:
    """Open the window with the shop stored in `home`, and run until it is closed.

    Raises NoDisplayError where there is nothing to draw on, and OSError like `app_on`.
    """
    display = find_display()
    choose_driver(display)
    sdl.start_video()
    screen = ThisScreen(home)
    # Android, Windows and macOS report the size of their screens, which is better than a guess.
    dpi = None if display == "native" and screen.scale.source == "guess" else screen.scale.dpi
    prepare(display=display, size=_window_size(screen, full_screen), dpi=dpi, full_screen=full_screen)
    with collector_paused():
        from kivy.core.window import Window

        app = app_on(home, file, screen=screen)
        if full_screen:
            from tracker.screens.device.full_screen import FullScreen

            filled = FullScreen(Window, screen)  # keep a reference: Kivy's clock holds callbacks weakly
            filled.watch()
        app.run()


def _window_size(screen: ThisScreen, full_screen: bool) -> tuple[int, int] | None:
    """The size of the new window: the screen's, so that it is right even if the request to fill the screen is
    ignored."""
    if screen.screen is None:
        return None if full_screen else DESK_WINDOW
    width, height = screen.screen.width, screen.screen.height
    if full_screen:
        return width, height
    return min(DESK_WINDOW[0], width * 9 // 10), min(DESK_WINDOW[1], height * 9 // 10)


@contextmanager
def collector_paused() -> Iterator[None]:
    """Pause Python's cyclic collector until the first frame is drawn: a start makes a quarter of a million objects and
    drops almost none of them, and scanning them repeatedly takes a seventh of it. Afterwards they are frozen; otherwise
    the first tap would wait for the collector."""
    was_on = gc_pause.pause()
    try:
        from kivy.core.window import Window

        if was_on:
            Window.fbind("on_flip", _drawn)
        yield
    finally:
        gc_pause.resume(was_on)


def _drawn(window: Any) -> None:
    window.funbind("on_flip", _drawn)
    gc_pause.resume(True, freeze=True)
