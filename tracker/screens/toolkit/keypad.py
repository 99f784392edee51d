"""Keys for typing without a keyboard: a grid of full-size keys, letters, and a number pad."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout

from tracker.screens.toolkit.buttons import Plate, SmallButton
from tracker.screens.toolkit.theme import GAP, KEY, SMALL, Themed
from tracker.screens.toolkit.touch import Tappable
from tracker.words import say


class Key(Tappable, Plate):
    """One key: `key` is what it types, `text` is its face (by default the same).

    A `dead` key is drawn as one that isn't allowed now, and still types: a slip must be seen, not swallowed.
    """

    key = StringProperty("")
    text = StringProperty("")
    dead = BooleanProperty(False)
    least_mm = NumericProperty(KEY)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.text = self.text or say(self.key)
        self.lock = 0.0  # two quick taps on one key are two letters
        self.bind(dead=self._colours)

    def _colours(self, *_: object) -> None:
        super()._colours()
        if self.dead and not self.pressed:
            self.plate, self.rim, self.ink = map(self.palette.colour, ("sunk", "hair", "soft"))


class KeyGrid(Themed, GridLayout):
    """`keys` in rows of equal keys: characters, or pairs of what a key types and its face. on_key(key).

    `dead` are the keys that aren't allowed now. `side_mm` is the side that fits: 20 mm, or else 15 mm.
    """

    __events__ = ("on_key",)
    keys = ListProperty([])
    dead = ListProperty([])
    columns = NumericProperty(0)
    """0: as many as fit in the width."""
    side_mm = NumericProperty(KEY)

    def __init__(self, **kwargs: Any) -> None:
        self._lay = Clock.create_trigger(self._arrange, -1)
        super().__init__(**kwargs)
        self.cols = 1
        self.bind(size=self._lay, mm=self._lay, columns=self._lay)

    def on_keys(self, *_: object) -> None:
        self.clear_widgets()
        for face in self.keys:
            types, text = (face, say(face)) if isinstance(face, str) else face
            key = Key(key=types, text=text, dead=types in self.dead)
            key.bind(on_tap=lambda pressed: self.dispatch("on_key", pressed.key))
            self.add_widget(key)
        self._lay()

    def on_dead(self, *_: object) -> None:
        for key in self.children:
            key.dead = key.key in self.dead

    def _arrange(self, *_: object) -> None:
        if not self.keys or self.width <= 1:
            return
        self.side_mm, self.cols = key_grid(
            len(self.keys), self.width / self.mm, self.height / self.mm, int(self.columns)
        )
        self.spacing = GAP * self.mm

    def on_key(self, key: str) -> None: ...


def key_grid(count: int, width: float, height: float, columns: int = 0) -> tuple[float, int]:
    """The side of a key (mm) and how many in a row: the larger of the two sides that fits, all in millimetres."""
    for side in (KEY, SMALL):
        across = columns or max(1, int((width + GAP) / (side + GAP)))
        across = -(-count // -(-count // across))  # rows as even as possible
        rows = -(-count // across)
        if across * (side + GAP) - GAP <= width + 0.1 and rows * (side + GAP) - GAP <= height + 0.1:
            return side, across
    return SMALL, across


LETTER = 19.0
"""The side of a letter's key, so that ten fit side by side on the smallest screen (mm)."""
ROWS = ("QWERTYUIOP", "ASDFGHJKL", "ZXCVBNM")


class Letters(Themed, BoxLayout):
    """The alphabet, in keyboard order if ten keys fit side by side, otherwise from A to Z. on_key(letter)."""

    __events__ = ("on_key",)
    wide = BooleanProperty(False)
    """Output: whether ten keys fit."""

    def __init__(self, **kwargs: Any) -> None:
        self._lay = Clock.create_trigger(self._arrange, -1)
        super().__init__(orientation="vertical", **kwargs)
        self.bind(size=self._lay, mm=self._lay)

    def _arrange(self, *_: object) -> None:
        if self.width <= 1:
            return
        across = len(ROWS[0])
        self.spacing = GAP * self.mm
        self.wide = across * (LETTER + GAP) - GAP <= self.width / self.mm + 0.1
        if not self.children or self.wide == isinstance(self.children[0], KeyGrid):
            self.clear_widgets()
            for widget in self._rows() if self.wide else [self._grid()]:
                self.add_widget(widget)
        if self.wide:
            side = (self.width - (across - 1) * self.spacing) / across
            for row in self.children:
                row.spacing = self.spacing
                row.padding = (self.width - len(row.children) * (side + self.spacing) + self.spacing) / 2, 0

    def _grid(self) -> KeyGrid:
        grid = KeyGrid()
        grid.keys = list("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        grid.bind(on_key=lambda _grid, key: self.dispatch("on_key", key))
        return grid

    def _rows(self) -> Iterator[BoxLayout]:
        for letters in ROWS:
            row = BoxLayout()
            for letter in letters:
                key = Key(key=letter, least_mm=LETTER)
                key.bind(on_tap=lambda pressed: self.dispatch("on_key", pressed.key))
                row.add_widget(key)
            yield row

    def on_key(self, key: str) -> None: ...


class NumberPad(Themed, BoxLayout):
    """The ten digits in two rows, and below them the user's own keys and `erase`.

    extra   the words on the user's own keys
    on_key(key), on_erase
    """

    __events__ = ("on_key", "on_erase")
    extra = ListProperty([])
    erasable = BooleanProperty(False)

    def on_kv_post(self, base_widget: object) -> None:
        self.on_extra()

    def on_extra(self, *_: object) -> None:
        """One key for each word, before `erase`."""
        row = self.ids.get("row")
        if row is None:
            return
        for key in row.children[1:]:
            row.remove_widget(key)
        for word in self.extra:
            key = SmallButton(text=say(word), least_mm=20)
            key.lock, key.types = 0.0, word
            key.bind(on_tap=lambda tapped: self.dispatch("on_key", tapped.types))
            row.add_widget(key, 1)  # before `erase`, which is the last

    def allow(self, takes: Callable[[str], bool], erasable: bool) -> None:
        """Enable only the keys that are allowed now."""
        for key in self.ids.digits.children:
            if isinstance(key, Key):
                key.disabled = not takes(key.key)
        for key in self.ids.row.children[1:]:
            key.disabled = not takes(key.types)
        self.erasable = erasable

    def on_key(self, key: str) -> None: ...

    def on_erase(self) -> None: ...
