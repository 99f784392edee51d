"""What ripping would save for a wood whose narrow parts each take the whole width of a board."""

from __future__ import annotations

from msgspec.structs import replace

from tracker.design.model import Build
from tracker.plan.boards.blanks import as_read
from tracker.plan.boards.plan import WoodPlan
from tracker.plan.boards.rip import RippedOrder
from tracker.plan.boards.wood_problem import Order
from tracker.words import say


def plan_if_ripped(order: Order) -> WoodPlan | None:
    """A quick plan for the same wood, ripped; None where no two of its parts fit side by side."""
    build, wood, demand = order.build, order.wood, order.demand
    narrow = [run for run in demand.runs if len(run.laid) == 1 and 2 * run.blanks[0].across <= wood.width]
    if build.shop.nest_miters or not narrow:
        return None
    return RippedOrder.of(build, replace(wood, ripped=True), demand, order.have).plan(lambda: False)


def with_saving(build: Build, plan: WoodPlan, ripped: WoodPlan | None) -> WoodPlan:
    """The plan with a note of what ripping would save, if anything."""
    if ripped is None or len(ripped.unplaced) > len(plan.unplaced):
        return plan
    boards, fewer = len(plan.boards), len(plan.boards) - len(ripped.boards)
    if plan.cost is not None and ripped.cost is not None and ripped.cost < plan.cost:
        saved = f"{plan.cost - ripped.cost:.2f} {build.currency}".rstrip()
    elif ripped.bought < plan.bought:
        saved = say("{length} of board", length=as_read(build, plan.bought - ripped.bought))
    else:
        return plan
    few = (
        say("{fewer} instead of {boards} boards would do, ", fewer=boards - fewer, boards=boards)
        if fewer > 0
        else say("the same would cost ")
    )
    note = say("ripped into narrower strips (rip = true) {few}{saved} less", few=few, saved=saved)
    return replace(plan, notes=(*plan.notes, note))
