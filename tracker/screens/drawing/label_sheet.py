"""A label sheet from above, to see where the next label begins."""

from __future__ import annotations

from math import hypot
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Rectangle
from kivy.input.motionevent import MotionEvent
from kivy.properties import NumericProperty, ObjectProperty
from kivy.uix.widget import Widget

from tracker.screens.toolkit.palette import rgba
from tracker.screens.toolkit.theme import Themed
from tracker.screens.toolkit.touch import Tappable


class SheetMap(Tappable, Themed, Widget):
    """The sheet from above: used places, free ones, and the place of the first label.

    `touched`: the place nearest to the last tap, when on_tap comes.
    """

    sheet = ObjectProperty(None, allownone=True)
    start = NumericProperty(0)
    touched = NumericProperty(0)

    def __init__(self, **kwargs: Any) -> None:
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "sheet", "start", "palette", "mm"):
            self.fbind(name, self._redraw)

    def on_touch_up(self, touch: MotionEvent) -> bool:
        if touch.grab_current is self and self.sheet is not None:
            self.touched = self.place_at(*touch.pos)
        return super().on_touch_up(touch)

    def place_at(self, x: float, y: float) -> int:
        """The label nearest to a point of the screen."""
        scale, left, top = self._place()
        sheet = self.sheet

        def off(place: int) -> float:
            corner, label = sheet.corner(place), sheet.label
            middle = left + (corner[0] + label[0] / 2) * scale, top - (corner[1] + label[1] / 2) * scale
            return hypot(middle[0] - x, middle[1] - y)

        return min(range(sheet.places), key=off)

    def _place(self) -> tuple[float, float, float]:
        """Points of the screen per millimetre of paper, and the sheet's upper left corner."""
        scale = min(self.width / self.sheet.page[0], self.height / self.sheet.page[1])
        across, down = (side * scale for side in self.sheet.page)
        return scale, self.center_x - across / 2, self.center_y + down / 2

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        if self.sheet is None or self.width <= 0 or self.height <= 0:
            return
        sheet, shades = self.sheet, self.palette
        scale, left, top = self._place()
        across, down = (side * scale for side in sheet.page)
        gap = 0.3 * self.mm
        with self.canvas:
            Color(*rgba(shades.card))
            Rectangle(pos=(left, top - down), size=(across, down))
            for place in range(sheet.places):
                x, y = (side * scale for side in sheet.corner(place))
                wide, high = (side * scale for side in sheet.label)
                Color(*rgba(shades.accent if place == self.start else shades.edge))
                Rectangle(pos=(left + x + gap, top - y - high + gap), size=(wide - 2 * gap, high - 2 * gap))
                if place > self.start:  # free: an outline; used: filled
                    Color(*rgba(shades.card))
                    rim = gap + 0.4 * self.mm
                    Rectangle(pos=(left + x + rim, top - y - high + rim), size=(wide - 2 * rim, high - 2 * rim))
