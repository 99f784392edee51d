"""A handheld scanner that types: a burst of keys, closed by Enter or Tab.

Read from key presses, never from text events: SDL sends text only while text input is on, and Kivy turns that off when
the first text field loses focus, so a scanner read from text goes deaf after it. Key presses carry the key without its
shift, so letters are folded to capitals; our codes need no others.
"""

from __future__ import annotations

from collections.abc import Callable

from kivy.clock import Clock
from kivy.core.window import Window

LONGEST_GAP = 0.08
"""Seconds between two keys of one burst; nobody types that fast for long."""
SHORTEST = 6
LONGEST = 400
_CLOSERS = {13, 271, 9}  # Enter, Enter of the number pad, Tab
_NUMBER_PAD = {256 + digit: str(digit) for digit in range(10)} | {266: ".", 267: "/", 269: "-"}
_KEYS = frozenset("abcdefghijklmnopqrstuvwxyz0123456789-./ :&é\"'(è_çà,?;")
"""What our codes' keys give on the layouts that `scan.typed` knows: a French row of digits types signs."""


class WedgeScanner:
    """Calls `on_scan(text)` with capitals. Only a burst of at least `SHORTEST` keys counts; its Enter is swallowed."""

    def __init__(self, on_scan: Callable[[str], None]) -> None:
        self.on_scan = on_scan
        self._keys: list[str] = []
        self._last = float("-inf")

    def attach(self) -> None:
        Window.bind(on_key_down=self._key_down)

    def detach(self) -> None:
        Window.unbind(on_key_down=self._key_down)
        self._keys.clear()

    def _key_down(self, _window: object, key: int, *_rest: object) -> bool:
        now = Clock.time()
        if now - self._last > LONGEST_GAP or len(self._keys) > LONGEST:
            self._keys.clear()
        if key in _CLOSERS:
            text = "".join(self._keys)
            self._keys.clear()
            if len(text) < SHORTEST:
                return False
            self.on_scan(text)
            return True
        sign = _NUMBER_PAD.get(key) or (chr(key) if 0 < key < 256 else "")
        if sign in _KEYS:
            self._keys.append(sign.upper())
            self._last = now
        return False
