"""The first minute with the app: a sample build, and three things to look at, each framed, with a bubble beside it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from kivy.clock import Clock
from kivy.properties import ListProperty, NumericProperty, StringProperty
from kivy.uix.widget import Widget
from msgspec import Struct

from tracker.assets import asset_dir
from tracker.screens.desk import the_desk
from tracker.screens.toolkit.buttons import BigButton, RailButton
from tracker.screens.toolkit.fraction import BigReading
from tracker.screens.toolkit.overlay import Overlay
from tracker.words import say

SAMPLE = "planter.toml"
Box = Sequence[float]
"""x, y, width, height (points)."""


class _Sight(Struct, frozen=True):
    """Something to look at: how to find it on the screen, and its words."""

    find: Callable[[Widget], Widget]
    said: str


def _of(kind: type[Widget], **values: str) -> Callable[[Widget], Widget]:
    def find(root: Widget) -> Widget:
        return next(
            widget
            for widget in root.walk()
            if isinstance(widget, kind) and all(getattr(widget, name) == value for name, value in values.items())
        )

    return find


SIGHTS = (
    _Sight(_of(BigReading), say("The big number is the size to set, as your tape reads.")),
    _Sight(_of(BigButton), say("Tap the blue button once that is done. Undo is beside it.")),
    _Sight(_of(RailButton, place="more"), say("Everything else is here: your own builds, labels, settings, help.")),
)
GAP_MM, TIP_MM = 6.0, 4.0
"""The distance between the bubble and its frame, and half the width of the arrow's foot."""


def beside(frame: Box, size: tuple[float, float], gap: float, window: tuple[float, float]) -> tuple[float, float]:
    """Where a bubble of `size` goes so that it covers nothing of `frame`: on the side with the most spare room, as near
    to the frame's middle as the window allows. All in points from the lower left corner."""
    x, y, width, height = frame
    across = max(gap, min(window[0] - size[0] - gap, x + width / 2 - size[0] / 2))
    up = max(gap, min(window[1] - size[1] - gap, y + height / 2 - size[1] / 2))
    places = (
        (window[1] - (y + height) - size[1], (across, y + height + gap)),
        (y - size[1], (across, y - gap - size[1])),
        (window[0] - (x + width) - size[0], (x + width + gap, up)),
        (x - size[0], (x - gap - size[0], up)),
    )
    return max(places, key=lambda place: place[0])[1]


def arrow(frame: Box, bubble: Box, half: float) -> list[float]:
    """A triangle from the side of the bubble that faces the frame to the frame: x and y of its foot's two ends, then of
    its tip (points)."""
    x, y, width, height = frame
    left, low, wide, high = bubble
    middle = _between(x + width / 2, left + 2 * half, left + wide - 2 * half)
    level = _between(y + height / 2, low + 2 * half, low + high - 2 * half)
    if low >= y + height or low + high <= y:  # above, below
        foot, tip = (low, y + height) if low >= y + height else (low + high, y)
        return [middle - half, foot, middle + half, foot, _between(middle, x, x + width), tip]
    foot, tip = (left, x + width) if left >= x + width else (left + wide, x)
    return [foot, level - half, foot, level + half, tip, _between(level, y, y + height)]


def _between(value: float, low: float, high: float) -> float:
    return max(low, min(high, value))


class FirstSteps(Overlay):
    """Points at one thing after the other.

    frame   x, y, width and height of what is pointed at (points, of the window)
    bubble  x and y of the bubble
    tip     the arrow from the bubble to the frame, as `arrow` returns it
    """

    at = NumericProperty(0)
    said = StringProperty("")
    word = StringProperty(say("Next"))
    frame = ListProperty([0, 0, 0, 0])
    bubble = ListProperty([0, 0])
    tip = ListProperty([0, 0, 0, 0, 0, 0])

    @classmethod
    def begin(cls) -> None:
        """Open the sample when no build is open, show a piece, and point."""
        desk = the_desk()
        if desk.shop.run is None:
            desk.open_build(asset_dir("sample_projects") / SAMPLE, cls._begin)
        else:
            cls._begin()

    @classmethod
    def _begin(cls) -> None:
        desk = the_desk()
        piece = next(desk.shop.run.pieces, None) if desk.shop.run else None
        if piece is None:
            desk.notify(say("Open a build with a piece in it first."), "build")
            return
        desk.move_to_station("saw")
        desk.open_item(piece.key)
        steps = cls()
        steps.open_on(desk.root)
        desk.shop.settings["first steps"] = "seen"

    def open_on(self, root: Any) -> None:
        super().open_on(root)
        # Checked in every frame: what is below may be laid out, turned or resized at any time, and a widget's position
        # in the window isn't a property that could be bound.
        self._following = Clock.schedule_interval(self._point, 0)
        self.opacity = 0  # until what is below is laid out
        self._point()

    def close(self) -> None:
        self._following.cancel()
        super().close()

    def _point(self, *_: object) -> None:
        sight = SIGHTS[int(self.at)]
        seen = sight.find(the_desk().root.ids.shown)
        frame = [*seen.to_window(*seen.pos), *seen.size]
        if frame == list(self.frame):
            self.opacity = 1
        self.frame = frame
        self.said = sight.said
        self.word = say("Next") if self.at + 1 < len(SIGHTS) else say("Begin")
        mm, sheet = the_desk().theme.mm, self.ids.sheet
        self.bubble = beside(self.frame, sheet.size, GAP_MM * mm, self.size)
        self.tip = arrow(self.frame, (*self.bubble, *sheet.size), TIP_MM * mm)

    def go_on(self) -> None:
        """The next sight; after the last one the work begins."""
        if self.at + 1 < len(SIGHTS):
            self.at += 1
        else:
            self.close()
