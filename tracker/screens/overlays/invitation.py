"""A code that another tablet scans to join: black on white in both themes, as large as fits."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Rectangle
from kivy.graphics.texture import Texture
from kivy.properties import StringProperty
from kivy.uix.widget import Widget

from tracker.paper.hub_code import modules
from tracker.screens.toolkit.overlay import Overlay


class CodePicture(Widget):
    """Draws the QR symbol of `text` with whole points for each module."""

    text = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        for name in ("pos", "size", "text"):
            self.fbind(name, self._draw)

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        if not self.text:
            return
        rows = modules(self.text)
        texture = Texture.create(size=(len(rows), len(rows)), colorfmt="luminance")
        texture.mag_filter = texture.min_filter = "nearest"
        texture.flip_vertical()
        texture.blit_buffer(bytes(0 if dark else 255 for row in rows for dark in row), colorfmt="luminance")
        side = max(1, int(min(self.size)) // len(rows)) * len(rows)
        with self.canvas:
            Color(1, 1, 1, 1)
            Rectangle(
                texture=texture, size=(side, side), pos=(int(self.center_x - side / 2), int(self.center_y - side / 2))
            )


class InvitationSheet(Overlay):
    """Covers everything until it is closed. `word` is the name of the joining tablet, `text` what it scans."""

    word = StringProperty("")
    text = StringProperty("")
