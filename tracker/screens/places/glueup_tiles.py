"""The tiles and the picture on a glue-up's card, and the sheets that they open."""

from __future__ import annotations

from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty

from tracker.screens.lazy import class_named
from tracker.screens.toolkit.buttons import Plate
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


class CardTile(Tappable, Plate):
    """One aspect of the glue-up with its progress; a tap opens its sheet."""

    text = StringProperty("")
    said = StringProperty("")
    tone = StringProperty("")
    sheet = StringProperty("")
    least_mm = 22.0


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
