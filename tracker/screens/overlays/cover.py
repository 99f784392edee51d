"""A cover fills the whole screen for one task, and draws a card: the tape, a checklist, a rack board."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kivy.properties import ObjectProperty, StringProperty

from tracker.screens.desk import the_desk
from tracker.screens.toolkit.overlay import Overlay


class Cover(Overlay):
    """Covers the screen until `back` is tapped. Draws a card, and draws it again whenever the shop changes.

    title   what it is about
    key     the item it is for
    run     the name of the item's run: a tap here changes no other run
    """

    title = StringProperty("")
    key = StringProperty("")
    run = StringProperty("")
    card = ObjectProperty(None, rebind=True, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        self._deaf: Callable[[], None] | None = None
        super().__init__(**kwargs)

    def open_on(self, root: Any) -> None:
        """Cover everything, drawn for the present state of the shop."""
        desk = the_desk()
        desk.guard.screen_changed()
        self.run = desk.floor().run.name
        self._deaf = desk.shop.listen(self.draw)
        self.draw()
        super().open_on(root)

    def show(self) -> None:
        """Cover the shell."""
        self.open_on(the_desk().root)

    def close(self) -> None:
        if self._deaf is not None:
            self._deaf()
            self._deaf = None
        super().close()

    def draw(self) -> None:
        """Make the card again from the present state of the shop."""
