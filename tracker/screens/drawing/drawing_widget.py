"""The widgets that draw: again for each change, with a list of their words for the tests."""

from __future__ import annotations

from typing import Any, ClassVar

from kivy.clock import Clock
from kivy.graphics import Color
from kivy.uix.widget import Widget

from tracker.screens.toolkit.theme import Themed
from tracker.screens.toolkit.typeset import DrawnText, Line


class DrawingWidget(Themed, Widget):
    """A drawing of one value, made again when the value, the place, the size or the light changes.

    drawn_text  every line of type, for the tests that check the drawing
    truncated   True when something had no room
    """

    follows: ClassVar[tuple[str, ...]] = ("view",)
    """The properties that are drawn. Where the first is None, nothing is."""
    least: ClassVar[tuple[float, float]] = (0.0, 0.0)
    """The width and height (mm) below which nothing is drawn."""

    def __init__(self, **kwargs: Any) -> None:
        self.drawn_text: list[DrawnText] = []
        self.truncated = False
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "palette", "mm", *self.follows):
            self.fbind(name, self._redraw)

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        self.drawn_text, self.truncated = [], False
        wide, high = (side * self.mm for side in self.least)
        if getattr(self, self.follows[0]) is None or self.width < wide or self.height < high:
            return
        with self.canvas:
            self.put()

    def put(self) -> None:
        """Draw on the open canvas."""
        raise NotImplementedError

    def say(self, line: Line, x: float, baseline: float, colour_name: str) -> None:
        """Draw a line of type on the open canvas."""
        colour = self.palette.colour(colour_name)
        Color(*colour)
        line.put(x, baseline)
        self.drawn_text.append(line.drawn(x, baseline, colour))
