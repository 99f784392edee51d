"""Wide boards and sheets ripped into narrower parts: in stages, guillotine cuts only. Entry point: `ripped_order`.

First the board is crosscut into *sections*; each section is ripped into *lanes*; a lane is crosscut into pieces, end to
end. (Two- and three-stage guillotine cutting, Gilmore & Gomory 1965; sections are the levels of Lodi, Martello & Vigo
2004.) Choosing a board for each section is then the one-dimensional problem, solved exactly. A section as long as the
whole stretch is a board that is ripped first.
"""

from __future__ import annotations

from collections.abc import Sequence

from tracker.design.model import Build, Wood
from tracker.plan.boards.blanks import Demand
from tracker.plan.boards.remaining import BoardLeft
from tracker.plan.boards.rip.mixed import MixedOrder
from tracker.plan.boards.rip.ripped import RippedOrder

__all__ = ["MixedOrder", "RippedOrder", "ripped_order"]


def ripped_order(
    build: Build, wood: Wood, demand: Demand, have: Sequence[BoardLeft], first_number: int = 1
) -> RippedOrder | MixedOrder:
    """The order of a ripped wood, whose boards have one width or differ in width."""
    if wood.by_volume is not None:
        return MixedOrder.of(build, wood, demand, have)
    return RippedOrder.of(build, wood, demand, have, first_number)
