"""A handheld scanner that types: a burst of keys, usually closed by Enter or Tab.

It is read from key presses, never from text events: SDL sends text only while text input is on, and Kivy turns that off
when the first text field loses focus, so a scanner read from text would stop working then. Key presses carry the key
without its shift, so letters are converted to capitals; our codes need no others.

Key events carry no usable time. SDL stamps an event when it takes it from the system, which is after a late frame, and
Kivy passes on no stamp at all. So pauses aren't measured between keys; the time counts only while the app looked and
found no key. A frame that takes a second hides what was typed during it, and counts as one frame.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kivy.clock import Clock
from kivy.core.window import Window

from tracker.scan.typed import Typed

PAUSE = 0.1
"""Seconds without a key that end a burst; nobody types so fast for long."""
LONGEST_FRAME = 1 / 30
"""The most that a frame counts towards a pause: keys typed during a longer one are still on their way."""
SCANNERS_PACE = 0.06
"""Seconds per key, on average. A slower burst without a code is a person at a keyboard, and is ignored."""
SHORTEST = 4
"""Fewer keys than this aren't a scan."""
LONGEST = 400
_CLOSERS = {13: "\n", 271: "\n", 9: "\t"}  # Enter, Enter of the number pad, Tab
_NUMBER_PAD = {256 + digit: str(digit) for digit in range(10)} | {266: ".", 267: "/", 269: "-"}
_CONTROL = "\x00"
"""Replaces a key pressed with Ctrl or Alt: scanners send STX and ETX like this."""


class KeyboardScanner:
    """Reads bursts with `read`, and passes each result to `answer`, once. A scan's closing key is consumed."""

    def __init__(self, read: Callable[[str], Typed], answer: Callable[[Typed], None]) -> None:
        self._read, self._answer = read, answer
        self._looks: Any = Clock.create_trigger(self._look, 0, interval=True)
        self._forget()

    def attach(self) -> None:
        Window.bind(on_key_down=self._key_down)

    def detach(self) -> None:
        Window.unbind(on_key_down=self._key_down)
        self._forget()

    def _forget(self) -> None:
        self._looks.cancel()
        self._text = ""
        self._keys = 0
        self._took = self._pause = 0.0
        self._answered = False

    def _key_down(self, _window: object, key: int, _scancode: int, _text: object, modifiers: list[str]) -> bool:
        if key in _CLOSERS:
            return self._close(_CLOSERS[key])
        sign = _NUMBER_PAD.get(key) or (chr(key).upper() if 32 <= key < 256 and chr(key).isprintable() else "")
        if sign:
            self._keys += 1
            self._add(_CONTROL if {"ctrl", "alt", "meta"} & set(modifiers) else sign)
        return False

    def _add(self, sign: str) -> None:
        self._took += self._pause
        self._pause = 0.0
        self._came = True
        if len(self._text) < LONGEST:
            self._text += sign
        self._looks()

    def _close(self, sign: str) -> bool:
        """A closing key: a code before it is answered at once. Returns whether the key belongs to a scan."""
        if self._keys < SHORTEST and not self._answered:
            if self._keys:
                self._add(sign)
            return False
        typed = self._read(self._text)
        if typed.code is not None:
            self._text, self._keys, self._answered = "", 0, True
            self._answer(typed)
        self._add(sign)
        return True

    def _look(self, seconds: float) -> None:
        """A frame has passed, with one look at the keyboard."""
        if self._came:
            self._came = False
            return
        self._pause += min(seconds, LONGEST_FRAME)
        if self._pause > PAUSE:
            self._end()

    def _end(self) -> None:
        """The keys have stopped: answer what no closing key has answered."""
        text, keys, took, answered = self._text, self._keys, self._took, self._answered
        self._forget()
        typed = self._read(text) if keys >= SHORTEST else Typed(None)
        unread = typed.trouble and not answered and took <= SCANNERS_PACE * keys
        if typed.code is not None or unread:
            self._answer(typed)
