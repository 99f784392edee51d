"""The keypad for a label's code, the sheet that shows it on the full screen, and the button that opens it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kivy.app import App
from kivy.properties import ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.theme import Themed

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""The characters of Crockford's base 32, which omits I, L, O and U: these are read as others."""
LENGTH = 10


class CodeKeypad(Themed, BoxLayout):
    """Ten characters of a code, typed on full-size keys. `code` is what is typed so far; on_entered(code) at the tenth,
    on_back for going back without.

    Our labels have none of I, L, O and U, so there are no keys for these.
    """

    __events__ = ("on_entered", "on_back")
    code = StringProperty("")
    shown = StringProperty("")
    alphabet: Sequence[str] = tuple(ALPHABET)

    def on_kv_post(self, base_widget: object) -> None:
        self.on_code()

    def type(self, key: str) -> None:
        if len(self.code) < LENGTH:
            self.code += key
            if len(self.code) == LENGTH:
                self.dispatch("on_entered", self.code)

    def erase(self) -> None:
        self.code = self.code[:-1]

    def clear(self) -> None:
        self.code = ""

    def on_code(self, *_: object) -> None:
        padded = self.code.ljust(LENGTH, "–")
        self.shown = f"{padded[:5]} {padded[5:]}"

    def on_entered(self, code: str) -> None: ...

    def on_back(self) -> None: ...


class CodeSheet(Overlay):
    """The keypad of a code over the whole screen, where every key has 20 mm. on_entered(code), and it closes."""

    __events__ = ("on_entered",)

    def entered(self, code: str) -> None:
        """The tenth character was typed."""
        self.close()
        self.dispatch("on_entered", code)

    def on_entered(self, code: str) -> None: ...


class CodeEntry(BoxLayout):
    """Where a code can be typed: opens the keypad. on_entered(code). `texture` is a picture that shows where a code
    is."""

    __events__ = ("on_entered",)
    texture = ObjectProperty(None, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        self._sheet: CodeSheet | None = None
        super().__init__(**kwargs)

    def open(self) -> None:
        """Lay the keypad over the screen."""
        self._sheet = CodeSheet()
        self._sheet.bind(on_entered=lambda _sheet, code: self.dispatch("on_entered", code))
        self._sheet.open_on(App.get_running_app().root)

    def clear(self) -> None:
        """The screen is left: the keypad closes with it."""
        if self._sheet is not None:
            self._sheet.close()
            self._sheet = None

    def on_entered(self, code: str) -> None: ...
