"""One pass over the saw as the card draws it: the values of `plan.cuts`, and where they put the stock."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import cuts_of
from tracker.plan.cuts import Pass
from tracker.plan.piece_on_saw import OnSaw, lay_on_saw
from tracker.words import say
from tracker.words.sides import side
from tracker.work.run import Item


class SawView(Struct, frozen=True, kw_only=True):
    """A crosscut seen from where the person stands, or a rip."""

    cut: Pass
    laid: OnSaw | None
    """Where the stock lies; None for a rip."""
    grain: Literal["along", "across"]
    width: float
    """For a rip the size of the board before it (mm), otherwise that of the piece."""
    thickness: float
    kerf: float
    named: bool
    """Whether the cut ends are the piece's ends A and B. A piece across the board is cut off at its width."""

    @property
    def face(self) -> str:
        return say("{up} up", up=side(self.cut.up))

    @property
    def edge(self) -> str:
        """What lies against the fence; for a rip either straight edge."""
        return (
            say("{fence} to the fence", fence=side(self.cut.fence)) if self.laid else say("straight edge to the fence")
        )

    @property
    def measured(self) -> str:
        """What the line below the drawing measures: to the stop block, or to a mark."""
        if self.cut.operation == "rip":
            return say("rip fence")
        return say("stop block") if self.cut.stop is not None else say("mark")


def saw_view(floor: Floor, item: Item, each: Pass) -> SawView | None:
    """A pass as it is drawn; None where this saw can't make the cut."""
    if not each.possible:
        return None
    solid, kerf = floor.solid(item), float(floor.run.build.shop.kerf)
    done = () if each.first or each.end is None else cuts_of(floor, item).others(each)
    rip, from_board = each.operation == "rip", each.end is None and solid.grain == "across"
    if from_board:  # the piece's width lies along the board
        solid = replace(solid, width=solid.across_board, grain="along")
    width = floor.run.build.wood(floor.part(item).wood).width if rip else solid.width
    return SawView(
        cut=each,
        laid=None if rip else lay_on_saw(solid, each, done, kerf),
        grain=solid.grain,
        width=float(width),
        thickness=float(solid.thickness),
        kerf=kerf,
        named=not from_board,
    )
