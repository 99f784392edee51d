"""Drives and inspects screens in tests."""

from __future__ import annotations

import gc
import time
import weakref
from collections.abc import Callable, Iterator
from typing import Any

from kivy.base import EventLoop
from kivy.clock import Clock
from kivy.core.window import Window
from kivy.uix.widget import Widget

from kit.boxes import at_rest, in_view, walk_all
from kit.walk import Violation
from tracker.tour.headless import FRAME, Stage

_KEYS = {
    "enter": 13, "tab": 9, "escape": 27, "backspace": 8, "delete": 127, "left": 276, "right": 275,
    "up": 273, "down": 274,
}  # fmt: skip
_UNSHIFTED = dict(zip('~!@#$%^&*()_+{}|:"<>?', "`1234567890-=[]\\;',./", strict=True))
_LEFT_SHIFT = 304


class Driver(Stage):
    """A Stage that also types, scans, finds widgets and checks screens."""

    def until(self, true: Callable[[], object], seconds: float = 5.0) -> None:
        """Run frames until `true()`; fails after `seconds` of the app's time."""
        for _ in range(round(seconds / FRAME)):
            if true():
                return
            self.frames(1)
        raise AssertionError(f"still not so after {seconds} s of the app's time: {true}")

    def until_thread(self, true: Callable[[], object], seconds: float = 10.0) -> None:
        """The same for a thread's work: it takes real time."""
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            self.frames(1)
            if true():
                return
            time.sleep(0.002)
        raise AssertionError(f"still not so after {seconds} real seconds: {true}")

    # Finding

    def walk(self) -> Iterator[Widget]:
        """Every widget in the window, including overlays."""
        for child in list(Window.children):
            yield from walk_all(child)

    def find(self, kind: type | None = None, **values: object) -> list[Any]:
        """Widgets of a class whose properties have these values."""
        return [
            widget
            for widget in self.walk()
            if (kind is None or isinstance(widget, kind))
            and all(getattr(widget, name, None) == value for name, value in values.items())
        ]

    def find_text(self, text: str, kind: type | None = None) -> Any:
        """The one visible widget with `text`: a button rather than the label on it. Fails if there is none or
        several."""
        found = [w for w in self.find(kind) if _says(w) == text and in_view(w)]
        buttons = [widget for widget in found if hasattr(widget, "on_tap")]
        best = buttons or found
        assert len(best) == 1, f"{len(best)} widgets say {text!r}; on the screen: {self.texts()}"
        return best[0]

    def texts(self) -> list[str]:
        """Every text in view, in the order of the tree."""
        seen: list[str] = []
        for widget in self.walk():
            text = _says(widget)
            if text and in_view(widget) and not hasattr(widget, "on_tap"):
                seen.append(text)
        return seen

    def by_id(self, name: str) -> Any:
        """The widget that a kv rule calls `name`. Fails if there is none or several."""
        found = {widget.ids[name].__self__ for widget in self.walk() if name in widget.ids}
        assert len(found) == 1, f"{len(found)} widgets have the id {name!r}"
        return found.pop()

    def tap_text(self, text: str) -> None:
        self.tap(self.find_text(text))

    def judge(self, *rules: Callable[[Widget], list[Violation]]) -> list[Violation]:
        """All problems that the given walkers find in the window."""
        self.frames(3)
        with at_rest():
            return [wrong for rule in rules for child in list(Window.children) for wrong in rule(child)]

    # Keys

    def key(self, name: str) -> None:
        """Dispatch what SDL's window does for a real key: the key without its shift, then the text, only while text
        input is on."""
        shifted = False
        if name in _KEYS:
            code, text = _KEYS[name], ""
        else:
            plain = _UNSHIFTED.get(name, name.lower())
            code, text, shifted = ord(plain), name, plain != name
        held = ["shift"] if shifted else []
        if shifted:
            Window.dispatch("on_key_down", _LEFT_SHIFT, 0, None, held)
        point = chr(code) if text else None
        if not Window.dispatch("on_key_down", code, 0, point, held):
            Window.dispatch("on_keyboard", code, 0, point, held)
        if text and Window._win.is_keyboard_shown():
            Window.dispatch("on_textinput", text)
        Window.dispatch("on_key_up", code, 0)
        if shifted:
            Window.dispatch("on_key_up", _LEFT_SHIFT, 0)

    def type(self, text: str, gap: float = 0.15) -> None:
        """Type at a person's pace."""
        for sign in text:
            self.key({"\n": "enter", "\t": "tab"}.get(sign, sign))
            self.run_for(gap)

    def chord(self, modifier: str, name: str) -> None:
        """A key pressed while Ctrl or Alt is held."""
        Window.dispatch("on_key_down", ord(name), 0, name, [modifier])
        Window.dispatch("on_key_up", ord(name), 0)

    def scan(self, code: str) -> None:
        """A handheld scanner reads a label: its code, then Enter."""
        self.run_for(0.2)
        self.scan_keys(f"{code}\n")
        self.frames(2)

    def scan_keys(self, text: str) -> None:
        """The keys of a handheld scanner, about 5 ms each."""
        for sign in text:
            self.key({"\n": "enter", "\t": "tab"}.get(sign, sign))
            self.frames(1, 0.005)


def _says(widget: Widget) -> str:
    """The text that a person reads on the widget."""
    if widget.opacity == 0:
        return ""
    text = getattr(widget, "text", "")
    return text if isinstance(text, str) else ""


# What a test must not leave behind

_WATCHED = (
    "on_key_down", "on_key_up", "on_keyboard", "on_textinput", "on_resize", "on_motion", "on_touch_down", "on_flip",
    "size", "focus",
)  # fmt: skip


def window_bindings() -> dict[str, int]:
    """The number of listeners of each of the window's events."""
    counts = {}
    for name in _WATCHED:
        try:
            counts[name] = len(list(Window.get_property_observers(name)))
        except KeyError:
            continue
    return counts


def clock_events() -> set[Any]:
    return set(Clock.get_events())


def reset_input() -> None:
    """No finger is down, and no tap is remembered that could turn the next one into a double tap."""
    EventLoop.touches.clear()
    EventLoop.input_events = []
    for module in EventLoop.postproc_modules:
        for name in ("touches", "last_touches"):
            remembered = getattr(module, name, None)
            if remembered is not None:
                remembered.clear()


def is_dead(reference: weakref.ref[Any]) -> bool:
    if reference() is None:
        return True
    gc.collect()
    return reference() is None
