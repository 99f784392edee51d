"""How something wide is held, and what that needs: slots, grooves, gaps, or a warning not to glue it solid."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from tracker.design.in_use import Fastened, FastenedBy
from tracker.design.model import Assembly
from tracker.measure import Angle, Length
from tracker.plan.wood.movement import (
    PLAY,
    Verdict,
    button_groove,
    held,
    panel_in_groove,
    slot,
    swings_far_enough,
    widest_solid,
)
from tracker.plan.wood_properties import Species

Certain = Literal["read", "model", "from memory", "common practice"]
SHANK = Length.of(4.2, "mm")
"""A number 8 wood screw, 0.060 + 8 · 0.013 in; common practice."""
LEAST_IN_GROOVE = 3.0
"""Millimetres of a panel's edge that stay in its groove in the driest season; common practice, no source."""


class Across(Struct, frozen=True):
    """Something wide: its id and name, its width across the grain in mm, and the strain of a millimetre of it."""

    id: str
    name: str
    width: float
    dry_strain: float
    damp_strain: float
    wood: Species
    rings: Angle

    @property
    def certain(self) -> Certain:
        if self.rings not in (0.0, 90.0):
            return "model"
        return "read" if self.wood.coefficients_are == "read" else "from memory"


class SlotNeeded(Struct, frozen=True, kw_only=True):
    """A fastener that lets a top move. `length` is that of a slot, or the extra depth of a button's groove.

    `id` is that of what is held, `assembly` the id of what holds it.
    """

    id: str
    of: str
    assembly: str
    by: FastenedBy
    at: float
    length: float
    screw_from_inner_end: float
    enough: bool
    certain: Certain


class Gap(Struct, frozen=True, kw_only=True):
    """Room for something that floats, in mm: a panel in a groove (at each side), or a door or drawer in its opening (in
    total). `stays` is how much of a panel's edge stays in its groove in the driest season."""

    id: str
    of: str
    assembly: str
    by: FastenedBy
    gap: float
    stays: float | None = None
    certain: Certain

    @property
    def enough(self) -> bool:
        return self.stays is None or self.stays >= LEAST_IN_GROOVE


class Held(Struct, frozen=True, kw_only=True):
    """Something fastened solid across its grain: how much it tends to move, and the width that may be held, in mm.

    `to` names what holds it, where places tell.
    """

    id: str
    of: str
    assembly: str
    by: str
    moves: float
    verdict: Verdict
    widest: float
    to: str = ""
    line: int = 0
    certain: Certain


def fastened(what: Across, assembly: Assembly, each: Fastened) -> Iterator[SlotNeeded | Gap | Held]:
    """Everything that one row of `fastens` requires."""
    if each.by in ("screws", "glue"):
        yield held_solid(what, assembly.id, each.by, what.width, line=each.line or assembly.line)
    elif each.by in ("groove", "inset"):
        yield _gap(what, assembly, each)
    else:
        for at in each.at:
            yield _slot(what, assembly, each, float(at))


def held_solid(what: Across, assembly: str, by: str, width: float, to: str = "", line: int = 0) -> Held:
    """A piece held solid over `width` mm across the grain."""
    moves, verdict = held(width, what.dry_strain, what.damp_strain)
    return Held(
        id=what.id, of=what.name, assembly=assembly, by=by, moves=moves, verdict=verdict,
        widest=widest_solid(what.dry_strain, what.damp_strain), to=to, line=line, certain=what.certain,
    )  # fmt: skip


def _gap(what: Across, assembly: Assembly, each: Fastened) -> Gap:
    if each.by == "inset":
        gap, stays = max(0.0, what.width * what.damp_strain) + 2 * PLAY, None
    else:
        gap, stays = panel_in_groove(what.width, what.dry_strain, what.damp_strain, float(each.depth or SHANK))
    return Gap(
        id=what.id, of=what.name, assembly=assembly.id, by=each.by, gap=gap, stays=stays, certain=what.certain
    )  # fmt: skip


def _slot(what: Across, assembly: Assembly, each: Fastened, at: float) -> SlotNeeded:
    distance = abs(at)
    length, from_inner, enough = 0.0, 0.0, True
    if each.by == "slots":
        found = slot(distance, what.dry_strain, what.damp_strain, float(each.shank or SHANK))
        length, from_inner = found.length, found.screw_from_inner_end
    elif each.by == "buttons":
        length = button_groove(distance, what.dry_strain, what.damp_strain)
    else:
        length = float(each.arm or SHANK)
        enough = swings_far_enough(distance, what.dry_strain, what.damp_strain, length)
    return SlotNeeded(
        id=what.id, of=what.name, assembly=assembly.id, by=each.by, at=at, length=length,
        screw_from_inner_end=from_inner, enough=enough, certain=what.certain,
    )  # fmt: skip
