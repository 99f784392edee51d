"""The saw's setups and each piece's passes, worked out once for a build: they follow from its parts and the saw."""

from __future__ import annotations

from msgspec import Struct

from tracker.design.model import Build, EndName, Hand, Part, Shop
from tracker.floor.floor import Floor
from tracker.plan.cuts import PieceCuts, piece_cuts
from tracker.plan.setups import Setup, Setups, plan_setups
from tracker.plan.shape import ENDS
from tracker.work.run import Item
from tracker.work.steps import Step


class _Planned(Struct):
    """What is known of one build's saw work. All pieces of one part and hand are cut alike."""

    parts: tuple[Part, ...]
    shop: Shop
    setups: Setups
    cuts: dict[tuple[str, Hand | None], PieceCuts]


_KEPT: list[_Planned] = []
"""The last few builds. Found by identity: to hash a build of 500 pieces takes longer than to draw its queue."""
_MOST = 4


def setups_of_build(build: Build) -> Setups:
    """`plan.setups.plan_setups`, remembered."""
    return _planned(build).setups


def cuts_of(floor: Floor, item: Item) -> PieceCuts:
    """Every pass of a piece over the saw."""
    build = floor.run.build
    planned, kind = _planned(build), (item.id, item.hand)
    if kind not in planned.cuts:
        planned.cuts[kind] = piece_cuts(build, planned.setups, build.part(item.id), item.number)
    return planned.cuts[kind]


def setups_of(floor: Floor, item: Item, step: Step) -> tuple[Setup, ...]:
    """The setups of the saw that a step of a piece needs, in the order of work; none for what isn't sawn so."""
    ends: tuple[EndName | None, ...] = {"cut": (None,), "trim": ENDS}.get(step.operation, ())
    if step.operation == "cut" and not item.step("trim"):
        ends = (None, *ENDS)
    plan = setups_of_build(floor.run.build)
    found = {setup.order: setup for end in ends if (setup := plan.of(item.id, item.number, end))}
    return tuple(found[order] for order in sorted(found))


def _planned(build: Build) -> _Planned:
    for known in _KEPT:
        if known.parts is build.parts and known.shop is build.shop:
            return known
    planned = _Planned(build.parts, build.shop, plan_setups(build), {})
    _KEPT[:] = [planned, *_KEPT[: _MOST - 1]]
    return planned
