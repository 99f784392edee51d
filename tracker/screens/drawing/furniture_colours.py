"""The colours of furniture on the screen, as a strip with a fixed place for each colour in both themes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.screens.toolkit.palette import Colour, Palette

if TYPE_CHECKING:  # the drawing is on the screen before any of its picture's modules are imported
    from tracker.cards.picture import Role

STRIP = 256
"""Colours on the strip."""
_SHADES = 60
_DARKEST = 0.62
"""The shade of a face without light; 1 is the brightest."""
_ROLES: tuple[Role, ...] = ("wood", "pale", "missing", "here")
_LINES = _SHADES * len(_ROLES)
VEIL = _LINES + len(_ROLES)
"""The opacity of the veil over what hides the current piece."""
_VEIL_OPACITY = 0.4


def fill_colour(role: Role, shade: float) -> int:
    """The place of a face's colour on the strip."""
    level = round((shade - _DARKEST) / (1 - _DARKEST) * (_SHADES - 1))
    return _ROLES.index(role) * _SHADES + max(0, min(_SHADES - 1, level))


def line_colour(role: Role) -> int:
    """The place of an outline's colour on the strip."""
    return _LINES + _ROLES.index(role)


def colour_strip(palette: Palette) -> bytes:
    """The strip in one theme: a row of opaque colours, then the same colours transparent. Four bytes per colour."""
    card, wood, here = (palette.colour(name) for name in ("card", "wood", "ready"))
    colours: list[Colour] = []
    for red, green, blue, _ in (wood, _mixed(wood, card, 0.72), card, here):
        for level in range(_SHADES):
            shade = _DARKEST + (1 - _DARKEST) * level / (_SHADES - 1)
            colours.append((red * shade, green * shade, blue * shade, 1.0))
    colours += [palette.colour(name) for name in ("bark", "edge", "edge", "pressed")]
    colours.append((*here[:3], _VEIL_OPACITY))
    colours += [(0.0, 0.0, 0.0, 0.0)] * (STRIP - len(colours))
    clear = [(red, green, blue, 0.0) for red, green, blue, _ in colours]
    return bytes(round(255 * value) for colour in (*colours, *clear) for value in colour)


def _mixed(one: Colour, two: Colour, share: float) -> Colour:
    red, green, blue = (a + (b - a) * share for a, b in zip(one[:3], two[:3], strict=True))
    return red, green, blue, 1.0
