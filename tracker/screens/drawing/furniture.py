"""Furniture on the screen: triangles made outside the screen's thread, in the colours of the theme."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Mesh, PopMatrix, PushMatrix, Translate
from kivy.graphics.texture import Texture
from kivy.properties import ObjectProperty
from kivy.uix.widget import Widget

from tracker.screens.drawing.furniture_colours import STRIP, colour_strip
from tracker.screens.toolkit.theme import Themed


class FurnitureDrawing(Themed, Widget):
    """meshes: what `furniture_mesh` made for a space of this size."""

    meshes = ObjectProperty(())

    def __init__(self, **kwargs: Any) -> None:
        self._strip: Texture | None = None
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "meshes"):
            self.fbind(name, self._redraw)
        self.fbind("palette", self._colour)

    def _colour(self, *_: object) -> None:
        if self._strip is not None:
            self._strip.blit_buffer(colour_strip(self.palette), colorfmt="rgba", bufferfmt="ubyte")
            self.canvas.ask_update()

    def _draw(self, *_: object) -> None:
        if self._strip is None:
            self._strip = Texture.create(size=(STRIP, 2), colorfmt="rgba")
            self._strip.add_reload_observer(self._colour)
            self._colour()
        self.canvas.clear()
        with self.canvas:
            Color(1, 1, 1, 1)
            PushMatrix()
            Translate(*self.pos)
            for each in self.meshes:
                Mesh(vertices=each.points, indices=each.corners, mode="triangles", texture=self._strip)
            PopMatrix()
