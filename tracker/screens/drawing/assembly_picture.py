"""An assembly in its present state, drawn beside what is to be done with it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, StringProperty

from tracker.screens.desk import the_desk
from tracker.screens.drawing.furniture import FurnitureDrawing

if TYPE_CHECKING:  # importing it takes longer than a frame: the worker does
    from tracker.screens.drawing.furniture_made import Made

_LEAST = 16.0
"""Millimetres on the screen: a smaller picture shows nothing that could be read."""


class AssemblyPicture(FurnitureDrawing):
    """key: the assembly's; empty for none. apart: pulled apart. there: it has a picture and room for one."""

    key = StringProperty("")
    apart = BooleanProperty(False)
    there = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self._asked = 0
        self._ask = Clock.create_trigger(self._make, -1)
        super().__init__(**kwargs)
        for name in ("key", "apart", "size", "mm"):
            self.fbind(name, self._changed)

    def _changed(self, *_: object) -> None:
        """A drawing for another size is removed at once: it would cover its neighbours."""
        self.meshes = ()
        self._ask()

    def refresh(self) -> None:
        """Something was done."""
        self._ask()

    def _make(self, *_: object) -> None:
        self._asked += 1
        if not self.key or the_desk().shop.run is None or min(self.size) < _LEAST * self.mm:
            self.there = False
            return
        asked, floor, key, apart = self._asked, the_desk().floor(), self.key, self.apart
        space = (self.width, self.height, self.mm)

        def job() -> Made:
            from tracker.screens.drawing.furniture_made import made

            return made(floor, key, 0, space, apart=apart)

        the_desk().worker.submit(job, lambda made: self._show(asked, made))

    def _show(self, asked: int, made: Made) -> None:
        if asked == self._asked:
            self.there, self.meshes = bool(made.meshes), made.meshes
