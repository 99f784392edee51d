"""Line icons of our own, on a grid of 24: strokes for the rail and the small buttons. Each is shown beside its word."""

from __future__ import annotations

from math import cos, pi, sin
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, SmoothLine
from kivy.properties import ColorProperty, NumericProperty, StringProperty
from kivy.uix.widget import Widget

from tracker.screens.toolkit.theme import Themed

Stroke = list[float]


def _arc(x: float, y: float, radius: float, start: float = 0, end: float = 360) -> Stroke:
    steps = max(8, int(abs(end - start) / 12))
    turns = [(start + (end - start) * step / steps) * pi / 180 for step in range(steps + 1)]
    return [round(value, 6) for turn in turns for value in (x + radius * cos(turn), y + radius * sin(turn))]


def _box(x: float, y: float, width: float, height: float) -> Stroke:
    return [x, y, x + width, y, x + width, y + height, x, y + height, x, y]


def _blade() -> Stroke:
    """A saw blade: eight teeth."""
    points: Stroke = []
    for tooth in range(8):
        turn = tooth * pi / 4
        points += [12 + 7.2 * cos(turn), 12 + 7.2 * sin(turn), 12 + 10 * cos(turn + 0.5), 12 + 10 * sin(turn + 0.5)]
    return [*points, *points[:2]]


ICONS: dict[str, tuple[Stroke, ...]] = {
    "saw": (_blade(), _arc(12, 12, 2)),
    "drill": ([12, 22, 12, 15], _box(8, 9, 8, 6), [10, 9, 12, 2, 14, 9], [8, 13, 16, 11]),
    "bench": ([2, 16, 22, 16], [4, 16, 4, 4], [20, 16, 20, 4], [4, 8, 20, 8], [6, 20, 12, 20, 12, 16]),
    "glue": (
        [9, 22, 15, 22], [10, 22, 10, 18, 7, 14, 7, 3, 17, 3, 17, 14, 14, 18, 14, 22], [7, 11, 17, 11], [7, 6, 17, 6],
    ),
    "sand": (_box(3, 10, 18, 6), [6, 16, 6, 20, 18, 20, 18, 16], [4, 6, 8, 6], [11, 6, 13, 6], [16, 6, 20, 6]),
    "finish": (
        [10.5, 14, 11, 22, 13, 22, 13.5, 14], _box(7, 11, 10, 3),
        [7, 11, 6.5, 3, 9.5, 4.5, 12, 2.5, 14.5, 4.5, 17.5, 3, 17, 11],
    ),
    "builds": ([3, 18, 21, 18, 21, 15, 3, 15, 3, 18], [5, 15, 5, 3], [19, 15, 19, 3], [5, 11, 19, 11]),
    "clock": (_arc(12, 12, 9.5), [12, 18, 12, 12, 16, 9.5]),
    "label": ([3, 12, 12, 21, 21, 21, 21, 12, 12, 3, 3, 12], _arc(17.5, 17.5, 1.2)),
    "scan": (
        [2, 17, 2, 22, 7, 22], [17, 22, 22, 22, 22, 17], [22, 7, 22, 2, 17, 2], [7, 2, 2, 2, 2, 7],
        _box(7, 13, 4, 4), _box(13, 13, 4, 4), _box(7, 7, 4, 4), [13, 7, 17, 7, 17, 11],
    ),
    "settings": (
        [3, 18, 21, 18], [3, 12, 21, 12], [3, 6, 21, 6],
        _arc(8, 18, 2.2), _arc(16, 12, 2.2), _arc(9, 6, 2.2),
    ),
    "queue": (
        _box(3, 16, 4, 4), [11, 18, 21, 18], _box(3, 10, 4, 4), [11, 12, 21, 12], _box(3, 4, 4, 4), [11, 6, 21, 6],
    ),
    "shopping": (
        [3, 13, 21, 13, 18.5, 4, 5.5, 4, 3, 13], [8, 13, 12, 20.5, 16, 13], [9.5, 10, 9.5, 7], [14.5, 10, 14.5, 7],
    ),
    "undo": ([9, 20, 3, 15, 9, 10], [3, 15, 15, 15], _arc(15, 9.5, 5.5, 90, -90), [15, 4, 8, 4]),
    "back": ([11, 20, 3, 12, 11, 4], [3, 12, 21, 12]),
    "next": ([13, 20, 21, 12, 13, 4], [3, 12, 21, 12]),
    "up": ([4, 8, 12, 16, 20, 8],),
    "down": ([4, 16, 12, 8, 20, 16],),
    "close": ([4, 4, 20, 20], [4, 20, 20, 4]),
    "erase": ([8, 19, 2, 12, 8, 5, 22, 5, 22, 19, 8, 19], [11, 15, 17, 9], [11, 9, 17, 15]),
    "help": (_arc(12, 16, 4.5, 180, -60), [14.3, 12.1, 12, 10, 12, 7.5], _arc(12, 3, 0.7)),
    "lock": (_box(4, 3, 16, 11), [7.5, 14, 7.5, 17, *_arc(12, 17, 4.5, 180, 0), 16.5, 14]),
    "sun": (_arc(12, 12, 4.5), *([12 + 7 * cos(a), 12 + 7 * sin(a), 12 + 10 * cos(a), 12 + 10 * sin(a)]
                                    for a in (step * pi / 4 for step in range(8)))),
    "moon": ([*_arc(11, 12, 9, 60, 300), *_arc(16, 12, 8, 249, 111)],),
    "camera": (_box(2, 4, 20, 13), [8, 17, 9.5, 20, 14.5, 20, 16, 17], _arc(12, 10.5, 4)),
    "chest": (_box(3, 4, 18, 11), [3, 15, 5.5, 20, 18.5, 20, 21, 15], [10, 11, 10, 8, 14, 8, 14, 11]),
    "wipe": (_box(3, 3, 18, 18), [7, 14, 10, 17], [7, 9, 15, 17], [12, 9, 17, 14]),
    "board": ([2, 6, 18, 6, 22, 10, 22, 15, 6, 15, 2, 11, 2, 6], [2, 11, 18, 11, 22, 15], [18, 11, 18, 6]),
    "proof": ([5, 3, 5, 17], [19, 3, 19, 17], [3, 17, 21, 17], [12, 23, 12, 19], [9, 21, 12, 18.5, 15, 21]),
}  # fmt: skip


class Icon(Themed, Widget):
    """A line icon by `name`, centred, as large as its box allows, in `ink`."""

    name = StringProperty("")
    ink = ColorProperty([0, 0, 0, 1])
    stroke = NumericProperty(1.9)
    """Width of a stroke, in units of the grid."""

    def __init__(self, **kwargs: Any) -> None:
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        self.bind(pos=self._redraw, size=self._redraw, name=self._redraw, ink=self._redraw)
        self._redraw()

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        unit = min(self.width, self.height) / 24
        if unit <= 0 or self.name not in ICONS:
            return
        left, low = self.center_x - 12 * unit, self.center_y - 12 * unit
        with self.canvas:
            Color(*self.ink)
            for stroke in ICONS[self.name]:
                points = [(low if at % 2 else left) + value * unit for at, value in enumerate(stroke)]
                closed = len(points) > 4 and stroke[:2] == [round(value, 6) for value in stroke[-2:]]
                width = self.stroke * unit / 2
                if closed:
                    SmoothLine(points=points[:-2], width=width, close=True, joint="round")
                else:
                    SmoothLine(points=points, width=width, cap="round", joint="round")
