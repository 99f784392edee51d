"""Sheets over the whole screen, each for one task of a glue-up, and the keys that are typed on them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.screens.desk import the_desk
from tracker.screens.toolkit.buttons import SmallButton
from tracker.screens.toolkit.keypad import Key
from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.theme import Themed


class Cover(Overlay):
    """Over the screen until `back` is tapped. Draws a card, and draws it again whenever the shop changes.

    title   what it is about
    key     the item it is for
    run     the name of the run it is of: what is tapped here is marked in no other
    """

    title = StringProperty("")
    key = StringProperty("")
    run = StringProperty("")
    card = ObjectProperty(None, rebind=True, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        self._deaf: Callable[[], None] | None = None
        super().__init__(**kwargs)

    def open_on(self, root: Any) -> None:
        """Over everything, drawn as the shop is now."""
        desk = the_desk()
        desk.guard.screen_changed()
        self.run = desk.floor().run.name
        self._deaf = desk.shop.listen(self.draw)
        self.draw()
        super().open_on(root)

    def show(self) -> None:
        """Over the shell."""
        self.open_on(the_desk().root)

    def close(self) -> None:
        if self._deaf is not None:
            self._deaf()
            self._deaf = None
        super().close()

    def draw(self) -> None:
        """Make the card again from the shop as it is now."""


class Pad(Themed, BoxLayout):
    """The ten digits in two rows, and below them keys of its user's own and `erase`.

    extra   the words on its user's keys
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
            key = SmallButton(text=word, least_mm=20)
            key.lock = 0.0
            key.bind(on_tap=lambda tapped: self.dispatch("on_key", tapped.text))
            row.add_widget(key, 1)  # before `erase`, which is the last

    def allow(self, takes: Callable[[str], bool], erasable: bool) -> None:
        """Only keys that may come now can be tapped."""
        for key in self.ids.digits.children:
            if isinstance(key, Key):
                key.disabled = not takes(key.key)
        for key in self.ids.row.children[1:]:
            key.disabled = not takes(key.text)
        self.erasable = erasable

    def on_key(self, key: str) -> None: ...

    def on_erase(self) -> None: ...
