"""What can be tapped: one BigButton on each screen does the next thing; everything else is a SmallButton or must be
held."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, SmoothLine, SmoothRoundedRectangle
from kivy.properties import (
    BooleanProperty,
    ColorProperty,
    NumericProperty,
    OptionProperty,
    StringProperty,
)
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget

from tracker.screens.toolkit.marks import circle
from tracker.screens.toolkit.palette import TONES, rgba
from tracker.screens.toolkit.text import count_lines, largest_type, lines_height
from tracker.screens.toolkit.theme import ROUND, SCALE, Themed, font_size
from tracker.screens.toolkit.touch import Holdable, Tappable
from tracker.words import say


class Plated(Themed):
    """Put before a widget class: a rounded plate behind it that sinks under the finger.

    look    "accent" (the main action), "plain" (raised, outlined), "quiet" (no plate until pressed)
    """

    look = OptionProperty("plain", options=["accent", "plain", "quiet"])
    chosen = BooleanProperty(False)
    plate = ColorProperty([0, 0, 0, 0])
    rim = ColorProperty([0, 0, 0, 0])
    ink = ColorProperty([0, 0, 0, 1])

    def __init__(self, **kwargs: Any) -> None:
        self._paint = Clock.create_trigger(self._colours, -1)
        self._place = Clock.create_trigger(self._lay, -1)
        super().__init__(**kwargs)
        with self.canvas.before:  # not in kv: a list is full of plates, and this takes a fraction of the time
            self._rim, self._outer = Color(*self.rim), SmoothRoundedRectangle()
            self._shade, self._inner = Color(*self.plate), SmoothRoundedRectangle()
        for name in ("pos", "size", "mm", "chosen"):
            self.fbind(name, self._place)
        self._place()
        self.bind(palette=self._repaint, look=self._paint, chosen=self._paint, disabled=self._paint)
        if self.property("pressed", quiet=True) is not None:
            self.bind(pressed=self._colours)
        self._colours()

    def on_rim(self, *_: object) -> None:
        self._rim.rgba = self.rim

    def on_plate(self, *_: object) -> None:
        self._shade.rgba = self.plate

    def _lay(self, *_: object) -> None:
        """Draw the rim of the plate: half a millimetre wide, or a whole one if the button is chosen."""
        (x, y), (width, height), mm = self.pos, self.size, self.mm
        rim = mm if self.chosen else mm / 2
        self._outer.pos, self._outer.size, self._outer.radius = (x, y), (width, height), [ROUND * mm]
        self._inner.pos = (x + rim, y + rim)
        self._inner.size = (max(0, width - 2 * rim), max(0, height - 2 * rim))
        self._inner.radius = [ROUND * mm - rim]

    def _repaint(self, *_: object) -> None:
        """The theme changed, which has just given every text its `ink`; the text on a plate gets the plate's colour
        again."""
        self._colours()
        self.property("ink").dispatch(self)

    def _colours(self, *_: object) -> None:
        """At once when a finger lands: the response to a touch must be in the next frame."""
        shades, pressed = self.palette, getattr(self, "pressed", False)
        self.ink = rgba(shades.ink)
        if self.disabled:
            self.plate, self.ink = rgba(shades.sunk), rgba(shades.faint)
            self.rim = self.plate  # an edge says, without any colour, that a tap does something
        elif self.look == "accent":
            self.plate = self.rim = rgba(shades.pressed if pressed else shades.accent)
            self.ink = rgba(shades.accent_ink)
        elif pressed:
            self.plate = self.rim = rgba(shades.pressed)
            self.ink = rgba(shades.accent_ink)
        elif self.chosen:
            self.plate, self.rim = rgba(shades.chosen), rgba(shades.accent)
        elif self.look == "quiet":
            self.plate, self.rim = rgba(shades.raised, 0.0), rgba(shades.raised, 0.0)
        else:
            self.plate, self.rim = rgba(shades.raised), rgba(shades.edge)


class Plate(Plated, BoxLayout):
    """The body of a button: a plate with widgets side by side."""


class Worded(Plate):
    """A plate with a line of task text and a smaller one. It grows when its words need more than one line each, and
    uses smaller type only for a second line that is long.

    The outputs: text_font, text_lines, sub_lines, sub_font, words_height. With `low` it prefers smaller type to a
    second large line.
    """

    text = StringProperty("")
    sub_text = StringProperty("")
    margin_mm = NumericProperty(12.0)
    """The part of the width not used by the words."""
    least_mm = NumericProperty(22.0)
    low = BooleanProperty(False)
    large_subs = NumericProperty(1)
    """The most lines of the second text in the larger type, beside one line of the first."""
    text_font = NumericProperty(1)
    text_lines = NumericProperty(1)
    sub_lines = NumericProperty(0)
    sub_font = NumericProperty(1)
    words_height = NumericProperty(0)

    def __init__(self, **kwargs: Any) -> None:
        self._arrange = Clock.create_trigger(self._word, -1)
        super().__init__(**kwargs)
        for name in ("text", "sub_text", "width", "mm", "margin_mm", "low", "large_subs"):
            self.fbind(name, self._arrange)
        self._word()

    def _word(self, *_: object) -> None:
        width = max(1.0, self.width - self.margin_mm * self.mm)
        task, note, fine = (font_size(SCALE[name], self.mm) for name in ("task", "note", "fine"))
        self.text_font = largest_type(self.text, width, [(task, 1 if self.low else 2)], note, True)
        self.text_lines = count_lines(self.text, self.text_font, width, True)
        most = self.large_subs if self.text_lines == 1 else 1
        self.sub_font = largest_type(self.sub_text, width, [(note, most)], fine)
        self.sub_lines = count_lines(self.sub_text, self.sub_font, width)
        self.words_height = lines_height(self.text_lines, self.text_font) + lines_height(self.sub_lines, self.sub_font)


class BigButton(Tappable, Worded):
    """The next operation: at least 22 mm high. `text` is what it does, `sub_text` what it means; `tone` adds a
    shape."""

    tone = OptionProperty("", options=["", *TONES])


class SmallButton(Tappable, Plate):
    """Everything that isn't tapped while working: at least 15 mm. `tone` or `icon` adds a shape beside the word."""

    text = StringProperty("")
    tone = OptionProperty("", options=["", *TONES])
    icon = StringProperty("")
    least_mm = NumericProperty(15.0)


class RailButton(Tappable, Plate):
    """A place to go, in the rail: 22 mm, an `icon` above its word; `chosen` while the place is shown."""

    text = StringProperty("")
    icon = StringProperty("")
    least_mm = NumericProperty(22.0)


class Ring(Themed, Widget):
    """A ring that fills clockwise from the top: `share` from 0 to 1."""

    share = NumericProperty(0.0)
    tone = StringProperty("")
    thick_mm = NumericProperty(1.6)
    trough = ColorProperty([0, 0, 0, 0])

    def __init__(self, **kwargs: Any) -> None:
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "share", "tone", "palette", "mm", "trough"):
            self.fbind(name, self._redraw)
        self._redraw()

    def _draw(self, *_: object) -> None:
        self.canvas.before.clear()  # not `canvas`: the contents of the ring are drawn there
        thick = self.thick_mm * self.mm / 2
        radius = min(self.width, self.height) / 2 - thick - 1
        if radius <= 0:
            return
        with self.canvas.before:
            Color(*(self.trough if self.trough[3] else rgba(self.palette.hair)))
            SmoothLine(points=circle(self.center_x, self.center_y, radius), width=thick, close=True)
            share = max(0.0, min(1.0, self.share))
            Color(*self.palette.colour(self.tone or "accent"))
            if share >= 1:
                SmoothLine(points=circle(self.center_x, self.center_y, radius), width=thick, close=True)
            elif share > 0:
                turn = (self.center_x, self.center_y, radius, 0, 360 * share, max(3, int(90 * share)))
                SmoothLine(circle=turn, width=thick, cap="none")


class HoldButton(Holdable, Worded):
    """For what can't be undone, or isn't meant by a passing hand: held for a second while a ring fills; sliding off
    cancels. At least 30 mm.

    `text` says what it does; `on_held` does it. `tone` is the sign in the ring: `caution` where something is lost or
    risked.
    """

    tone = StringProperty("caution")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"least_mm": 30.0, "margin_mm": 35.0, "sub_text": say("hold for one second"), **kwargs})
