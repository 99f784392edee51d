"""The start of the app, from nothing to the first card. What is decided before Kivy is imported: `runtime.prepare`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tracker.store import gc_pause


def app_on(home: Path, file: Path | None = None) -> Any:
    """The app on the shop kept in `home`, ready to run. Raises OSError when no record can be read or kept there.

    Python's cyclic collector rests until the first frame is drawn: a start makes a quarter of a million things and
    drops next to none of them, and to look through them again and again is a seventh of it. Afterwards they stay out of
    the collector's sight, or the first tap would wait for it.
    """
    was_on = gc_pause.pause()
    try:
        from kivy.core.window import Window

        from tracker.screens.app import KerfcardApp
        from tracker.shop import RESERVE_BYTES, Shop

        app = KerfcardApp(Shop(home, reserve=RESERVE_BYTES), file, welcome=True)
        if was_on:
            Window.fbind("on_flip", _drawn)
    except BaseException:
        gc_pause.resume(was_on)
        raise
    return app


def run_app(home: Path, file: Path | None = None) -> None:
    """Open the window on the shop kept in `home`, and run until it is closed. Raises OSError as `app_on`."""
    app_on(home, file).run()


def _drawn(window: Any) -> None:
    window.funbind("on_flip", _drawn)
    gc_pause.resume(True, freeze=True)
