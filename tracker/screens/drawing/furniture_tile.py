"""The furniture in its present state, small, on a plate that opens the large picture."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, StringProperty

from tracker.plan.placeable import is_drawn
from tracker.screens.desk import the_desk
from tracker.screens.lazy import WithLooks, class_named
from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.touch import Tappable

if TYPE_CHECKING:  # importing it takes longer than a frame: the worker does
    from tracker.screens.drawing.furniture_made import Made


_LEAST = 8.0
"""Millimetres on the screen: in less room, as before the layout is done, nothing is drawn."""


class FurnitureTile(WithLooks, Tappable, Plate):
    """The current build. `there`: its picture is made; False until the worker has made it."""

    title = StringProperty("")
    wanted = BooleanProperty(False)
    """Whether the build can be drawn: known at once, so that nothing moves when the picture is ready."""
    there = BooleanProperty(False)
    wide = BooleanProperty(False)
    """Whether its words are beside the picture."""
    least_mm = 22.0

    def __init__(self, **kwargs: Any) -> None:
        self._asked = 0
        self._ask = Clock.create_trigger(self._make, -1)
        super().__init__(**kwargs)

    def on_kv_post(self, base_widget: object) -> None:
        for name in ("size", "mm"):
            self.ids.drawing.fbind(name, self._resized)

    def _resized(self, *_: object) -> None:
        """A drawing for another size is removed at once: it would cover its neighbours."""
        self.ids.drawing.meshes = ()
        self._ask()

    def refresh(self) -> None:
        """Something was done, or another build was opened."""
        run = the_desk().shop.run
        self.wanted = run is not None and is_drawn(run.build)
        self._ask()

    def on_tap(self, *_: object) -> None:
        """Open the large picture of the whole build."""
        if self.there:
            class_named("overlays.picture.PictureCover")(key="").show()

    def _make(self, *_: object) -> None:
        desk, drawing = the_desk(), self.ids.drawing
        if not desk.shop.run:
            self.there, drawing.meshes = False, ()
            return
        self._asked += 1
        asked, floor, current = self._asked, desk.floor(), desk.item_key
        space = (max(drawing.width, 1.0), max(drawing.height, 1.0), drawing.mm)

        def job() -> Made | None:
            from tracker.screens.drawing.furniture_made import made_build

            return made_build(floor, current, 0, space, apart=False)

        desk.worker.submit(job, lambda made: self._show(asked, made))

    def _show(self, asked: int, made: Made | None) -> None:
        if asked == self._asked:
            self.there = made is not None and bool(made.meshes)
            self.title = made.card.title if made is not None else ""
            roomy = min(self.ids.drawing.size) > _LEAST * self.mm
            self.ids.drawing.meshes = made.meshes if made is not None and roomy else ()
