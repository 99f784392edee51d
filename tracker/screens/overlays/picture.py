"""Where it goes: an assembly drawn from its pieces, closed or exploded, turned by two buttons."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, NumericProperty, StringProperty

from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover

if TYPE_CHECKING:  # importing it takes longer than a frame: the worker does
    from tracker.screens.drawing.furniture_made import Made


class PictureCover(Cover):
    """A piece in its assembly, or an assembly with its members, depending on `key`; the whole build if `key` is empty.
    The worker makes the picture; until it arrives, the one before stays."""

    takes_scans = True
    turns = NumericProperty(0)
    """How often it was turned by 30°, its near side to the left."""
    apart = BooleanProperty(False)
    laid = NumericProperty(0)
    """Which part of an assembly is laid down, from 1; 0: the whole is shown."""
    parts = NumericProperty(0)
    """How many parts an assembly has; 0 for a piece."""
    said = StringProperty("")
    why = StringProperty("")
    """Why there is no picture."""

    def __init__(self, **kwargs: Any) -> None:
        self._asked = 0
        self._ask = Clock.create_trigger(self._make, -1)
        super().__init__(**kwargs)
        for name in ("turns", "apart", "laid"):
            self.fbind(name, self._ask)
        for name in ("size", "mm"):
            self.ids.drawing.fbind(name, self._ask)

    def draw(self) -> None:
        if self.key:
            item = the_desk().floor().item(self.key)
            self.title, self.parts = self.title or item.title, len(item.members)
        self._ask()

    def _make(self, *_: object) -> None:
        drawing = self.ids.drawing
        if self.parent is None or min(drawing.size) < 10 * drawing.mm:
            return
        self._asked += 1
        asked, floor, key, turns, apart = self._asked, the_desk().floor(), self.key, int(self.turns), self.apart
        laid, current = int(self.laid), the_desk().item_key
        space = (drawing.width, drawing.height, drawing.mm)

        def job() -> Made | None:
            from tracker.screens.drawing.furniture_made import made, made_build

            if not key:
                return made_build(floor, current, turns, space, apart=apart)
            return made(floor, key, turns, space, apart=apart, laid=laid)

        the_desk().worker.submit(job, lambda made: self._show(asked, made))

    def _show(self, asked: int, made: Made | None) -> None:
        if asked == self._asked and made is not None:
            self.card, self.title, self.said, self.why = made.card, made.card.title, made.said, made.why
            self.ids.drawing.meshes = made.meshes
