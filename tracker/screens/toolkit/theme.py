"""One Theme for the running app: colours, type and sizes as properties that kv binds to (`app.theme.ink`).

Every size on every screen is a number of millimetres on the screen times `app.theme.mm`; every font size is one of the
scale's few. Change `name` and the colours of the whole screen follow; change Kivy's `Metrics.dpi` and the sizes do.

    color: app.theme.ink
    font_size: app.theme.task
    height: 22 * app.theme.mm
    padding: app.theme.grid
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from kivy.app import App
from kivy.event import EventDispatcher
from kivy.metrics import Metrics
from kivy.properties import (
    BooleanProperty,
    ColorProperty,
    ListProperty,
    NumericProperty,
    ObjectProperty,
    OptionProperty,
)

from tracker.screens.toolkit.handed import HANDS
from tracker.screens.toolkit.palette import COLOURS, DAY, PALETTES, Palette

CAP = 0.709
"""The height of Roboto's capitals and figures relative to the font size, measured on the glyphs."""

SCALE = {
    "note": 4.7,
    "fine": 3.5,
    "task": 7.0,
    "lead": 9.5,
    "reading": 14.0,
    "reading_large": 18.0,
    "reading_huge": 24.0,
}
"""Cap heights in millimetres. Nothing is smaller than `fine`; the number to cut to is a `reading`.

`note` comes first, as `ink` comes before the other inks: these are what a Text has unless something else is set, and in
kv a default stays bound. Because they change first, what changes after them overrides them.
"""

TARGET, KEY, SMALL, HELD = 22.0, 20.0, 15.0, 30.0
"""The least side of what is tapped while working, of a key, of everything else, and of what is held (mm)."""
GAP, GAP_DANGER = 3.0, 6.0
GRID = 3.0
"""Paddings and gaps are multiples of it (mm)."""
ROUND = 3.2
"""The radius of a corner (mm)."""
SMALLEST_SCREEN = (217.0, 135.0)
"""The smallest screen that the app is laid out for: a 10.1-inch tablet (mm). On a smaller one everything, targets and
type, is scaled down in proportion, so that nothing is cut off."""


def font_size(cap_mm: float, mm: float) -> float:
    """The font size, in points of the screen, whose capitals are `cap_mm` high."""
    return cap_mm / CAP * mm


def millimetre(window: Sequence[float], dpi: float) -> float:
    """Points of the screen per layout millimetre, on a screen with this many points (width, height) and points per
    inch."""
    true = dpi / 25.4
    long, short = max(window), min(window)
    return true if short <= 0 else min(true, long / SMALLEST_SCREEN[0], short / SMALLEST_SCREEN[1])


class Theme(EventDispatcher):
    """`name` is "day" or "shop". `palette` holds the colours as one value, for widgets that draw their own canvas."""

    name = OptionProperty("day", options=list(PALETTES))
    palette = ObjectProperty(DAY, rebind=True)
    mm = NumericProperty(1.0)
    """Points of the screen in a millimetre; fewer where the screen is smaller than `SMALLEST_SCREEN`."""
    window = ListProperty([0, 0])
    """The width and height of the window in points; [0, 0] until there is one."""
    upright = BooleanProperty(False)
    """Whether the screen is higher than wide."""
    handedness = OptionProperty("right", options=list(HANDS))
    """The hand that taps."""
    grid = NumericProperty(1.0)
    round = NumericProperty(1.0)
    """The radius of a card's corners."""
    fine = NumericProperty(1.0)
    note = NumericProperty(1.0)
    task = NumericProperty(1.0)
    lead = NumericProperty(1.0)
    reading = NumericProperty(1.0)
    reading_large = NumericProperty(1.0)
    reading_huge = NumericProperty(1.0)

    ground = ColorProperty()
    sunk = ColorProperty()
    card = ColorProperty()
    raised = ColorProperty()
    chosen = ColorProperty()
    edge = ColorProperty()
    hair = ColorProperty()
    ink = ColorProperty()
    soft = ColorProperty()
    faint = ColorProperty()
    accent = ColorProperty()
    pressed = ColorProperty()
    accent_ink = ColorProperty()
    ready = ColorProperty()
    done = ColorProperty()
    waiting = ColorProperty()
    caution = ColorProperty()
    done_ink = ColorProperty()
    wood = ColorProperty()
    grain = ColorProperty()
    bark = ColorProperty()
    bevel = ColorProperty()
    waste = ColorProperty()
    hatch = ColorProperty()
    kerf = ColorProperty()
    wood_ink = ColorProperty()

    def __init__(self, **kwargs: Any) -> None:
        self.spare_rows: dict[type, list[Any]] = defaultdict(list)
        """Rows that no list shows now, by their class; they follow only this theme's colours and sizes."""
        super().__init__(**kwargs)
        self._put_colours()
        self._put_sizes()
        self.bind(name=self._put_colours)
        self.bind(window=self._put_sizes)
        Metrics.bind(dpi=self._put_sizes)

    def stop_following(self) -> None:
        """The app is closed: its remains no longer follow the screen. Its rows would be measured again and return in
        the next app's lists with the old sizes."""
        Metrics.unbind(dpi=self._put_sizes)

    def _put_colours(self, *_: object) -> None:
        palette: Palette = PALETTES[self.name]
        for name in sorted(COLOURS, key=lambda name: name != "ink"):
            setattr(self, name, palette.colour(name))
        self.palette = palette

    def _put_sizes(self, *_: object) -> None:
        mm = millimetre(self.window, Metrics.dpi)
        self.upright = self.window[1] > self.window[0]
        self.grid, self.round = GRID * mm, ROUND * mm
        for name, cap in SCALE.items():
            setattr(self, name, font_size(cap, mm))
        self.mm = mm


def current_theme() -> Theme:
    """The running app's theme. Raises AttributeError when there is none."""
    theme: Theme = App.get_running_app().theme
    return theme


class Themed(EventDispatcher):
    """For widgets that draw their own canvas: kv updates `palette` and `mm`, and `draw` is called for each change."""

    palette = ObjectProperty(DAY, rebind=True)
    mm = NumericProperty(1.0)
