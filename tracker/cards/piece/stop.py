"""At which distance from the blade the stop stands for a piece's next cut."""

from __future__ import annotations

from tracker.design.model import Build, EndName, Part, Shop
from tracker.floor.floor import Floor
from tracker.plan.setups import Setup, Setups, plan_setups
from tracker.plan.shape import ENDS
from tracker.work.run import Item
from tracker.work.steps import Step

_KEPT: list[tuple[tuple[Part, ...], Shop, Setups]] = []
"""The last few plans. Found by identity: to hash a build of 500 pieces takes longer than to draw its queue."""
_MOST = 4


def cached_setups(build: Build) -> Setups:
    """`plan.setups.plan_setups`, remembered: it follows from the parts and the saw, which never change."""
    for parts, shop, plan in _KEPT:
        if parts is build.parts and shop is build.shop:
            return plan
    plan = plan_setups(build)
    _KEPT[:] = [(build.parts, build.shop, plan), *_KEPT[: _MOST - 1]]
    return plan


def setups_of(floor: Floor, item: Item, step: Step) -> tuple[Setup, ...]:
    """The setups of the saw that a step of a piece needs, in the order of work; none for what isn't sawn so."""
    ends: tuple[EndName | None, ...] = {"cut": (None,), "trim": ENDS}.get(step.operation, ())
    if step.operation == "cut" and not item.step("trim"):
        ends = (None, *ENDS)
    plan = cached_setups(floor.run.build)
    found = {setup.order: setup for end in ends if (setup := plan.of(item.id, item.number, end))}
    return tuple(found[order] for order in sorted(found))


def stop_words(floor: Floor, item: Item, step: Step | None) -> str:
    """`stop 9 1⁄4″`; nothing for a step without a stop."""
    stops = [setup.stop for setup in setups_of(floor, item, step) if setup.stop] if step else []
    return f"stop {floor.read(stops[-1]).text}" if stops else ""
