"""An app that shows one widget of the toolkit, and contacts shorter than `Driver` makes them."""

from __future__ import annotations

from typing import Any


def app_of(make: Any) -> Any:
    """An app that shows what `make()` returns, behind the ghost guard."""
    from kivy.app import App

    from tracker.screens.toolkit.theme import Theme
    from tracker.screens.toolkit.touch import GhostGuard
    from tracker.screens.toolkit.widgets import load_toolkit

    class One(App):
        def __init__(self) -> None:
            super().__init__()
            self.theme = Theme()
            self.guard = GhostGuard()

        def load_config(self) -> None:
            return None

        def load_kv(self, filename: str | None = None) -> bool:
            return False

        def build(self) -> Any:
            load_toolkit()
            return make()

        def on_start(self) -> None:
            self.guard.attach()

        def on_stop(self) -> None:
            self.guard.detach()

    return One()


def touch_within_a_frame(driver: Any, target: Any, lasts: float) -> None:
    """A contact that lasts this many seconds by its own time stamps, but begins and ends in one frame."""
    driver.frames(2)
    finger = touch(driver, target.to_window(*target.center))
    finger.time_end = finger.time_start + lasts
    driver._hand.queue.append(("end", finger))
    driver.frames(1, max(0.05, lasts))


def touch(driver: Any, place: tuple[float, float]) -> Any:
    """A contact that begins in the next frame, together with others."""
    from tracker.tour.headless import Finger

    driver._count += 1
    finger = Finger(driver._count, driver._place(place), driver.time.wall)
    driver._hand.queue.append(("begin", finger))
    return finger


def lift(driver: Any, finger: Any) -> None:
    finger.time_end = driver.time.wall
    driver._hand.queue.append(("end", finger))
