"""Runs an app without hands or real time: one frame at a time, with time advanced explicitly, touches injected where a
finger's come from, and pictures read back. `kerfcard tour` and the tests drive the screens with it.

There is one window for the process. Sizes change by `resize`; offscreen, the window is opened once at `display.CANVAS`,
in which all of them fit.
"""

from __future__ import annotations

import io
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from kivy.base import EventLoop, runTouchApp
from kivy.clock import Clock
from kivy.core.window import Window
from kivy.graphics.opengl import GL_RGBA, GL_UNSIGNED_BYTE, glReadPixels
from kivy.input.motionevent import MotionEvent
from kivy.input.provider import MotionEventProvider
from kivy.lang import Builder
from kivy.metrics import Metrics
from kivy.uix.widget import Widget
from PIL import Image

from tracker.whole_file import write_whole

FRAME = 1 / 60
Place = tuple[float, float]


class HandTime:
    """Kivy's clock, advanced explicitly and never back: after a step back an event scheduled in the future would never
    come. One for the process; `forget` gives Kivy its own clock again."""

    def __init__(self) -> None:
        self._clock: Any = object.__getattribute__(Clock, "_obj")
        self._own_time, self._own_fps = self._clock.time, self._clock._max_fps
        self.boot: float = self._clock.time()
        """Seconds since some start, as on the boot clock."""
        self.wall: float = time.time()
        """Seconds since the epoch, as on the wall clock."""
        self.follow: Callable[[float], None] | None = None
        """Called with the seconds that time advanced, e.g. to advance the wall clock of the whole process."""
        self._clock.time = lambda: self.boot
        self._clock._max_fps = 0  # a frame never sleeps
        self._clock._last_tick = self.boot

    def advance(self, seconds: float) -> None:
        if seconds < 0:
            raise ValueError("time does not run back")
        self.boot += seconds
        self.wall += seconds
        if self.follow is not None:
            self.follow(seconds)

    def forget(self) -> None:
        self._clock.time, self._clock._max_fps = self._own_time, self._own_fps


class Finger(MotionEvent):
    """One contact; its times are the stage's, so its duration is known exactly."""

    def __init__(self, ident: int, place: Place, now: float) -> None:
        super().__init__("stage", ident, place, is_touch=True, type_id="touch")
        self.profile = ("pos",)
        self.time_start = self.time_update = now

    def depack(self, args: Place) -> None:
        self.sx, self.sy = args
        super().depack(args)


class _Hand(MotionEventProvider):
    """An input provider, so that touches pass through Kivy's whole input pipeline."""

    def __init__(self) -> None:
        super().__init__("stage", "")
        self.queue: list[tuple[str, Finger]] = []

    def update(self, dispatch_fn: Callable[[str, Finger], None]) -> None:
        queue, self.queue = self.queue, []
        for kind, finger in queue:
            dispatch_fn(kind, finger)


class Stage:
    """`app` is a Kivy App that hasn't been run."""

    def __init__(self, app: Any, hand_time: HandTime) -> None:
        self.app = app
        self.time = hand_time
        self._hand = _Hand()
        self._count = 0

    def start(self) -> None:
        EventLoop.quit = False
        EventLoop.add_input_provider(self._hand)
        self.app._run_prepare()
        runTouchApp(embedded=True)
        self.frames(3)

    def stop(self) -> None:
        app, self.app = self.app, None
        if app is None:
            return
        app.stop()
        Window.unbind(on_keyboard=app._on_keyboard_settings)  # Kivy's App binds it and never unbinds
        for child in Window.children[:]:  # ... and removes only every second child
            Window.remove_widget(child)
        EventLoop.remove_input_provider(self._hand)
        app.root = None

    # Time

    def frames(self, count: int = 1, seconds: float = FRAME) -> None:
        """Run `count` frames, each `seconds` long: layout, input and timers; nothing is painted before `picture`."""
        for _ in range(count):
            self.time.advance(seconds)
            _frame()

    def run_for(self, seconds: float, frame: float = FRAME) -> None:
        self.frames(max(1, round(seconds / frame)), frame)

    def jump(self, seconds: float) -> None:
        """One long frame, as after the tablet slept."""
        self.frames(1, seconds)
        self.frames(1)

    # Touch

    def press(self, target: Widget | Place) -> Finger:
        if isinstance(target, Widget):
            self.frames(2)  # a screen just shown has no layout yet
        self._count += 1
        finger = Finger(self._count, self._place(target), self.time.wall)
        self._hand.queue.append(("begin", finger))
        self.frames(1)
        return finger

    def move(self, finger: Finger, target: Widget | Place) -> None:
        finger.move(self._place(target))
        self._hand.queue.append(("update", finger))
        self.frames(1)

    def release(self, finger: Finger) -> None:
        finger.time_end = self.time.wall
        self._hand.queue.append(("end", finger))
        self.frames(1)

    def tap(self, target: Widget | Place, contact: float = 0.08) -> None:
        """A tap, and enough time for the button to respond again."""
        finger = self.press(target)
        self.run_for(contact)
        self.release(finger)
        self.run_for(0.5, 0.05)

    def hold(self, target: Widget | Place, seconds: float = 1.2) -> None:
        finger = self.press(target)
        self.run_for(seconds)
        self.release(finger)
        self.run_for(0.4, 0.05)

    def swipe(self, start: Place, end: Place, seconds: float = 0.2) -> None:
        finger = self.press(start)
        steps = max(2, round(seconds / FRAME))
        for step in range(1, steps + 1):
            share = step / steps
            self.move(finger, (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share))
        self.release(finger)
        self.run_for(1.0)

    def _place(self, target: Widget | Place) -> Place:
        """The position on the screen, each from 0 to 1. Raises LookupError for what can't be touched."""
        if isinstance(target, Widget):
            if target.get_root_window() is None:
                raise LookupError(f"{target} is not on the screen")
            x, y = target.to_window(*target.center)
        else:
            x, y = target
        width, height = Window.size
        if not (0 <= x < width and 0 <= y < height):
            raise LookupError(f"({x:.0f}, {y:.0f}) is outside the window of {width} by {height}")
        return x / (width - 1), y / (height - 1)

    # The screen

    def resize(self, width: int, height: int, dpi: float) -> None:
        """Change to another tablet: points of the screen, and points per inch. The window must be at least as large."""
        resize(width, height, dpi)
        self.frames(4)

    def picture(self) -> Image.Image:
        """A picture of the present screen."""
        self.frames(2)
        Window.dispatch("on_draw")  # draw without showing, then read back
        width, height = (int(side) for side in Window.size)
        data = glReadPixels(0, 0, width, height, GL_RGBA, GL_UNSIGNED_BYTE)
        picture = Image.frombytes("RGBA", (width, height), data)
        return picture.transpose(Image.Transpose.FLIP_TOP_BOTTOM).convert("RGB")

    def save(self, path: Path) -> Path:
        picture = io.BytesIO()
        self.picture().save(picture, "PNG")
        write_whole(path, picture.getvalue())
        return path


def _frame() -> None:
    """What Kivy's EventLoop.idle does, except painting, which takes longest without a graphics chip."""
    Clock.tick()
    for step in (EventLoop.dispatch_input, Builder.sync, Clock.tick_draw, Builder.sync):
        if not EventLoop.quit:
            step()


def resize(width: int, height: int, dpi: float) -> None:
    """Give the one window another size and density without asking SDL, which can't do that offscreen."""
    Metrics.density, Metrics.dpi = dpi / 160, dpi
    Window._size = [width, height]
    Window.dispatch("on_resize", width, height)
