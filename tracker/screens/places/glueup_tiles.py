"""The tiles and the picture on a glue-up's card, and the sheets that they open."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import NamedTuple

from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty

from tracker.cards.glueup.tiles import TileView
from tracker.screens.desk import the_desk
from tracker.screens.lazy import class_named
from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.text import count_lines, lines_height, measure_width
from tracker.screens.toolkit.touch import Tappable

SHEETS = {
    "checks": "overlays.checklist.ChecklistCover",
    "parts": "overlays.checklist.PartsCover",
    "plugs": "overlays.hole_list.PlugsCover",
    "screws": "overlays.hole_list.ScrewsCover",
    "prove": "overlays.prove.ProveCover",
    "times": "overlays.times.TimesCover",
    "air": "overlays.times.AirCover",
    "picture": "overlays.picture.PictureCover",
    "outline": "overlays.outline.OutlineCover",
    "own step": "overlays.own_step.OwnStepCover",
    "wood": "overlays.wood.WoodCover",
}
"""The sheet that each tile opens, and that of the button beside the title."""


ACROSS, UP, TONE_WIDE, TONE_HIGH = 2.8, 1.8, 8.6, 7.0
"""The part of a tile's width and of its height not used by its words; the width of its shape with the gap, and the
height of a line with a shape (mm)."""
TILE_WIDE, MOST_HIGH = 22.0, 38.0
"""The least width of a tile, and its greatest height: more would be empty (mm)."""


class TileType(NamedTuple):
    """The sizes of a tile's two texts, and the most lines of the first."""

    text: float
    said: float
    lines: int


def tile_types() -> tuple[TileType, ...]:
    """The sizes to choose from, the largest first; all tiles of a card have the same."""
    theme = the_desk().theme
    return TileType(theme.task, theme.note, 1), TileType(theme.note, theme.note, 2), TileType(theme.fine, theme.fine, 2)


def tile_widths(tiles: Sequence[TileView], row: int, width: float, type_: TileType) -> list[float]:
    """The widths of tiles, `row` of them side by side (points): equal, unless only that costs a line, or breaks a word.
    Those of a row that isn't full are as wide as the row."""
    theme, found = the_desk().theme, []
    for at in range(0, len(tiles), row):
        here = tiles[at : at + row]
        room = width - (len(here) - 1) * theme.grid - 0.01 * len(here)  # a sum of floats may exceed the row
        equal = [room / len(here)] * len(here)
        for lines in (1, 2):
            needs = [_needs(tile, type_, lines) for tile in here]
            spare = (room - sum(needs)) / len(here)
            if max(needs) <= equal[0]:
                break
            if spare >= 0:
                equal = [need + spare for need in needs]
                break
        found += equal
    return found


def _needs(tile: TileView, type_: TileType, lines: int) -> float:
    """The width at which a tile's first text takes one line, and its second this many, one or two (points)."""
    mm, words = the_desk().theme.mm, tile.said.split(" ")
    bold = measure_width(tile.text, type_.text, True) + (TONE_WIDE * mm if tile.tone else 0)
    breaks = range(1, len(words)) if lines == 2 else ()
    halves = [(" ".join(words[:at]), " ".join(words[at:])) for at in breaks] or [(tile.said, "")]
    said = min(max(measure_width(half, type_.said) for half in two) for two in halves)
    return max(TILE_WIDE * mm, max(bold, said) + ACROSS * mm + 1)


def tile_lines(tile: TileView, type_: TileType, width: float) -> tuple[int, int]:
    """How many lines its texts take."""
    mm = the_desk().theme.mm
    beside = width - (ACROSS + (TONE_WIDE if tile.tone else 0)) * mm
    return (
        max(1, count_lines(tile.text, type_.text, beside, True)),
        max(1, count_lines(tile.said, type_.said, width - ACROSS * mm)),
    )


def tiles_high(tiles: Sequence[TileView], widths: Sequence[float], type_: TileType) -> float:
    """The height at which the words of every tile fit in this type (points); none is enough for too many lines."""
    mm, most = the_desk().theme.mm, 0.0
    for tile, width in zip(tiles, widths, strict=True):
        first, second = tile_lines(tile, type_, width)
        if first > type_.lines or second > 2:
            return inf
        most = max(most, max(lines_height(first, type_.text), TONE_HIGH * mm) + lines_height(second, type_.said))
    return most + UP * mm


class CardTile(Tappable, Plate):
    """One aspect of the glue-up with its progress; a tap opens its sheet."""

    text = StringProperty("")
    said = StringProperty("")
    tone = StringProperty("")
    sheet = StringProperty("")
    text_font, said_font = NumericProperty(1), NumericProperty(1)
    text_lines, said_lines = NumericProperty(1), NumericProperty(1)
    least_mm = 22.0

    def show(self, view: TileView, type_: TileType, width: float) -> None:
        """Show a tile of the card in this type and width."""
        self.text, self.said, self.tone, self.sheet = view.text, view.said, view.tone, view.sheet
        self.text_font, self.said_font, _ = type_
        self.text_lines, self.said_lines = tile_lines(view, type_, width)


class PictureTile(Tappable, Plate):
    """The assembly as it is now, or the outline sawn from it, on a plate that opens the large picture.

    key         the assembly's; empty where it isn't drawn
    apart       whether its parts are pulled apart
    outline     the outline; None where there is none, or while the worker makes it
    """

    key = StringProperty("")
    apart = BooleanProperty(False)
    outline = ObjectProperty(None, allownone=True)
    corner = NumericProperty(0)
    """Where the sign begins that it opens larger."""
    least_mm = 22.0


def open_sheet(name: str, key: str) -> None:
    """Open the sheet of that name for an assembly, over the screen."""
    class_named(SHEETS[name])(key=key).show()
