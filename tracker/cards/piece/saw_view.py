"""One pass over the saw as the card draws it: the values of `plan.cuts`, and where they put the stock."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import cuts_of
from tracker.plan.cuts import Pass
from tracker.plan.on_saw import OnSaw, lay_on_saw
from tracker.work.run import Item


class SawView(Struct, frozen=True, kw_only=True):
    """A crosscut seen from the person's place, or a rip."""

    cut: Pass
    laid: OnSaw | None
    """Where the stock lies; None for a rip."""
    grain: Literal["along", "across"]
    width: float
    """Of the board as it is before a rip (mm), else of the piece."""
    thickness: float
    kerf: float

    @property
    def face(self) -> str:
        return f"{self.cut.up} up"

    @property
    def edge(self) -> str:
        """What lies against the fence; a rip's straight edge may be either."""
        return f"{self.cut.fence} to the fence" if self.laid else "straight edge to the fence"

    @property
    def measured(self) -> str:
        """What the line below the drawing measures: to the stop block, or to a mark."""
        if self.cut.operation == "rip":
            return "rip fence"
        return "stop block" if self.cut.stop is not None else "mark"


def saw_view(floor: Floor, item: Item, each: Pass) -> SawView | None:
    """A pass as it is drawn; None where this saw can't make the cut."""
    if not each.possible:
        return None
    solid, kerf = floor.solid(item), float(floor.run.build.shop.kerf)
    done = () if each.first or each.end is None else cuts_of(floor, item).others(each)
    rip = each.operation == "rip"
    width = floor.run.build.wood(item_wood(floor, item)).width if rip else solid.width
    return SawView(
        cut=each,
        laid=None if rip else lay_on_saw(solid, each, done, kerf),
        grain=solid.grain,
        width=float(width),
        thickness=float(solid.thickness),
        kerf=kerf,
    )


def item_wood(floor: Floor, item: Item) -> str:
    """The wood that a piece is cut from."""
    return floor.part(item).wood
