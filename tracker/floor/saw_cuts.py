"""The saw's setups and each piece's passes, computed once for a build: they depend only on its parts and the saw."""

from __future__ import annotations

from msgspec import Struct

from tracker.design.model import Build, EndName, Hand, Part, Shop
from tracker.design.one_blank import APART
from tracker.floor.floor import Floor
from tracker.plan.cuts import Pass, PieceCuts, piece_cuts
from tracker.plan.setups import Setup, Setups, plan_setups
from tracker.plan.shape import ENDS
from tracker.work.operations import Step
from tracker.work.run import Item, Run


class _Planned(Struct):
    """The saw work of one build. All pieces of one part and hand are cut alike."""

    parts: tuple[Part, ...]
    shop: Shop
    setups: Setups
    turns: dict[tuple[str, int, EndName | None], tuple[float, int]]
    """When each cut is made: the number of its setup, and its place in the setup."""
    cuts: dict[tuple[str, Hand | None], PieceCuts]


_KEPT: list[_Planned] = []
"""The last few builds, found by identity: hashing a build of 500 pieces takes longer than drawing its queue."""
_MOST = 4


def setups_of_build(build: Build) -> Setups:
    """`plan.setups.plan_setups`, cached."""
    return _planned(build).setups


def is_planned(build: Build) -> bool:
    """Whether the setups are already computed: for 500 pieces that takes longer than one frame."""
    return any(known.parts is build.parts and known.shop is build.shop for known in _KEPT)


def plan_saw_work(run: Run) -> None:
    """Compute everything that a screen needs about the saw: the setups, and the passes of every piece. Call it on a
    worker before a large build is opened."""
    for item in run.pieces:
        _cuts(run.build, item)


def cuts_of(floor: Floor, item: Item) -> PieceCuts:
    """Every pass of a piece over the saw."""
    return _cuts(floor.run.build, item)


def _cuts(build: Build, item: Item) -> PieceCuts:
    planned, kind = _planned(build), (item.id, item.hand)
    if kind not in planned.cuts:
        planned.cuts[kind] = piece_cuts(build, planned.setups, build.part(item.id), item.number)
    return planned.cuts[kind]


def setups_of(floor: Floor, item: Item, step: Step) -> tuple[Setup, ...]:
    """The setups of the saw that a step of a piece needs, in the order of work; empty for a step without saw work."""
    blank = step.id == blank_step(item)
    ends: tuple[EndName | None, ...] = (None,) if blank else (step.end,) if step.end else ()
    if blank and not item.does("trim"):
        ends = (None, *ENDS)
    plan = setups_of_build(floor.run.build)
    found = {setup.order: setup for end in ends if (setup := plan.of(item.id, item.number, end))}
    return tuple(found[order] for order in sorted(found))


def blank_step(item: Item) -> str:
    """The step that cuts a piece's own blank. A piece milled as one with others is cut to length after that."""
    return APART if item.step(APART) else "cut"


def next_step(floor: Floor, item: Item) -> Step | None:
    """The next step of an item's route; for the two ends of a piece, the one that the setups cut first."""
    step = floor.next_step(item)
    return min(passes_left(floor, item, step), key=lambda each: _turn(floor, item, each)) if step else None


def passes_left(floor: Floor, item: Item, step: Step) -> tuple[Step, ...]:
    """The step, together with the piece's other end if that isn't trimmed yet: either may be done first."""
    if not step.end:
        return (step,)
    done = floor.state.steps(floor.run, item)
    return tuple(each for each in item.route if each.operation == step.operation and each.id not in done)


def pass_of(floor: Floor, item: Item, step: Step) -> Pass | None:
    """The pass over the saw of a step, as it is made now; None for a step that isn't a crosscut.

    The first end is cut without a stop, and the second one against the stop.
    """
    cuts = cuts_of(floor, item)
    if not step.end:
        sawn = "cut" if step.id == blank_step(item) else "" if step.id == "cut" else step.operation
        return next((each for each in cuts.of(sawn) if each.end is None), None)
    if all(each.end != step.end for each in cuts.ends):
        return None
    first = any(each.id != step.id for each in passes_left(floor, item, step))
    return cuts.end(step.end, () if first else [end for end in ENDS if end != step.end])


def _turn(floor: Floor, item: Item, step: Step) -> tuple[float, int]:
    """The position of a cut in the setups; cuts that are in none come last."""
    turns = _planned(floor.run.build).turns
    return turns.get((item.id, item.number, step.end), _LAST) if step.end else _LAST


_LAST = (float("inf"), 0)


def _planned(build: Build) -> _Planned:
    for known in _KEPT:
        if known.parts is build.parts and known.shop is build.shop:
            return known
    planned = _Planned(build.parts, build.shop, setups := plan_setups(build), _turns(setups), {})
    _KEPT[:] = [planned, *_KEPT[: _MOST - 1]]
    return planned


def _turns(setups: Setups) -> dict[tuple[str, int, EndName | None], tuple[float, int]]:
    turns: dict[tuple[str, int, EndName | None], tuple[float, int]] = {}
    for place, setup in enumerate(setups.setups):
        for at, cut in enumerate(setup.cuts):
            key = (cut.part, cut.piece, cut.end)
            if setups.places[key] == place:
                turns.setdefault(key, (setup.order, at))
    return turns
