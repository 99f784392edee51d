"""A label sheet from above, to see at which place the next label begins."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Rectangle
from kivy.properties import NumericProperty, ObjectProperty
from kivy.uix.widget import Widget

from tracker.screens.toolkit.palette import rgba
from tracker.screens.toolkit.theme import Themed


class SheetMap(Themed, Widget):
    """The sheet from above: places that are used up, those that are free, and the one the first label goes to."""

    sheet = ObjectProperty(None, allownone=True)
    start = NumericProperty(0)

    def __init__(self, **kwargs: Any) -> None:
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "sheet", "start", "palette", "mm"):
            self.fbind(name, self._redraw)

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        if self.sheet is None or self.width <= 0 or self.height <= 0:
            return
        sheet, shades = self.sheet, self.palette
        scale = min(self.width / sheet.page[0], self.height / sheet.page[1])
        across, down = (side * scale for side in sheet.page)
        left, top = self.center_x - across / 2, self.center_y + down / 2
        gap = 0.3 * self.mm
        with self.canvas:
            Color(*rgba(shades.card))
            Rectangle(pos=(left, top - down), size=(across, down))
            for place in range(sheet.places):
                x, y = (side * scale for side in sheet.corner(place))
                wide, high = (side * scale for side in sheet.label)
                Color(*rgba(shades.accent if place == self.start else shades.edge))
                Rectangle(pos=(left + x + gap, top - y - high + gap), size=(wide - 2 * gap, high - 2 * gap))
                if place > self.start:  # free: an outline; used up: full
                    Color(*rgba(shades.card))
                    rim = gap + 0.4 * self.mm
                    Rectangle(pos=(left + x + rim, top - y - high + rim), size=(wide - 2 * rim, high - 2 * rim))
