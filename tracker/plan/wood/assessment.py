"""What the wood of a build will do: what moves and by how much, what opens, what must not be glued solid, what sags.

Every answer says where it comes from and how certain that is: `read` in the handbook, a `model` of ours on its figures,
`common practice`, or `from memory`. Of a wood that isn't in the table nothing is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from tracker.design.air import Fastened, Load
from tracker.design.model import Assembly, Build, EndCuts, Part
from tracker.measure import Angle, Length
from tracker.plan.geometry import solid
from tracker.plan.wood.air import moisture_in
from tracker.plan.wood.bending import CREEP, sag
from tracker.plan.wood.movement import (
    SOLID,
    button_groove,
    coefficient,
    held,
    mitre_gap,
    slot,
    swings_far_enough,
    widest_solid,
)
from tracker.plan.wood.standing import GRAVITY
from tracker.plan.wood_properties import Species, find

Certain = Literal["read", "model", "from memory", "common practice"]
SHANK = Length.of(4.2, "mm")
"""A number 8 wood screw, 0.060 + 8 · 0.013 in; common practice."""
LOWEST, HIGHEST = 6.0, 14.0
"""Percent of moisture between which the handbook's coefficients hold (FPL-GTR-190, table 13-5)."""
MITRED: tuple[Angle, Angle] = (30.0, 60.0)
"""Angles from square that a frame's mitres have."""


class Seasons(Struct, frozen=True):
    """Moisture content of the wood, in percent: in the shop, and in the driest and dampest air it will live in."""

    shop: float
    dry: float
    damp: float


class Movement(Struct, frozen=True, kw_only=True):
    """How much a width changes from the shop's air to the driest (mostly negative) and to the dampest, in mm."""

    of: str
    width: float
    dry: float
    damp: float
    source: str
    certain: Certain


class SlotNeeded(Struct, frozen=True, kw_only=True):
    """A fastener that lets a top move. `length` is a slot's, or how much deeper the groove of a button is."""

    of: str
    by: str
    at: float
    length: float
    screw_from_inner_end: float
    enough: bool = True


class MitreGap(Struct, frozen=True, kw_only=True):
    """A mitred frame, glued up: how far its corners would open, in mm, and where."""

    of: str
    gap: float
    where: Literal["inside", "outside"]


class Held(Struct, frozen=True, kw_only=True):
    """Something fastened solid across its grain: what it wants to move, and the width that may be held, in mm."""

    of: str
    moves: float
    verdict: Literal["fine", "caution", "no"]
    widest: float


class Sag(Struct, frozen=True, kw_only=True):
    """A loaded part: what it sags at once, and in years, in mm; `span` is from support to support."""

    on: str
    span: float
    now: float
    years: float
    held_now: float
    """The same with both ends held fast: a real rail lies between the two."""


class Assessment(Struct, frozen=True, kw_only=True):
    seasons: Seasons
    movements: tuple[Movement, ...]
    slots: tuple[SlotNeeded, ...]
    mitres: tuple[MitreGap, ...]
    held: tuple[Held, ...]
    sags: tuple[Sag, ...]
    unknown: tuple[str, ...]
    """Species of which nothing is known."""
    outside_range: bool
    """Some air leads outside the moisture contents for which the coefficients hold."""


class _Across(Struct, frozen=True):
    """Something wide: its name, its width across the grain, and what a millimetre of it does."""

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


def assess(build: Build) -> Assessment:
    """Everything that can be said of the wood of a build without knowing where its pieces are."""
    seasons = seasons_of(build)
    across = {part.id: found for part in build.parts if (found := _of_part(build, part, seasons))}
    panels = {each.id: found for each in build.assemblies if (found := _panel(build, each, across))}
    wide = [*panels.values(), *across.values()]
    fastened = [
        (panels.get(each.id) or across.get(each.id), each) for assembly in build.assemblies for each in assembly.fastens
    ]
    known = [(what, each) for what, each in fastened if what is not None]
    return Assessment(
        seasons=seasons,
        movements=tuple(_movement(each) for each in wide),
        slots=tuple(found for what, each in known for found in _slots(what, each)),
        mitres=tuple(_mitres(build, across)),
        held=tuple(_held(what) for what, each in known if each.by in ("screws", "glue")),
        sags=tuple(bent for load in build.loads if (bent := _sag(build, load))),
        unknown=tuple(dict.fromkeys(wood.species for wood in build.woods if find(wood.species) is None)),
        outside_range=not all(LOWEST <= each <= HIGHEST for each in (seasons.shop, seasons.dry, seasons.damp)),
    )


def seasons_of(build: Build) -> Seasons:
    """The moisture contents that the air of a build leads to."""
    air = build.air
    return Seasons(*(moisture_in(air.celsius, each) for each in (air.shop, air.driest, air.dampest)))


def _of_part(build: Build, part: Part, seasons: Seasons) -> _Across | None:
    wood = find(build.wood(part.wood).species)
    if wood is None:
        return None
    width = float(part.width) if part.grain == "along" else float(solid(part, part.hand(1)).edges.overall)
    each = coefficient(wood.radial, wood.tangential, part.rings)
    dry, damp = each * (seasons.dry - seasons.shop), each * (seasons.damp - seasons.shop)
    return _Across(part.name, width, dry, damp, wood, part.rings)


def _panel(build: Build, assembly: Assembly, across: dict[str, _Across]) -> _Across | None:
    """Boards glued edge to edge, as one width; of mixed boards the one that moves most."""
    ids = [id_ for id_, _ in assembly.joins]
    parts = [part for part in build.parts if part.id in ids]
    sequences = {part.sequence for part in parts}
    straight = all(part.grain == "along" and part.id in across for part in parts)
    if len(parts) != len(ids) or not parts or "" in sequences or len(sequences) != 1 or not straight:
        return None
    if any(_is_slanted(part) for part in parts):
        return None
    width = sum(float(part.width) * count for part in parts for id_, count in assembly.joins if id_ == part.id)
    most = max((across[part.id] for part in parts), key=lambda each: abs(each.damp_strain) + abs(each.dry_strain))
    return _Across(assembly.name, width, most.dry_strain, most.damp_strain, most.wood, most.rings)


def _is_slanted(part: Part) -> bool:
    """A board of a chevron, or a side of a ring: not one of a panel glued edge to edge."""
    return not (isinstance(part.ends, EndCuts) and part.ends.a.miter == 0 == part.ends.b.miter)


def _movement(each: _Across) -> Movement:
    return Movement(
        of=each.name, width=each.width, dry=each.width * each.dry_strain, damp=each.width * each.damp_strain,
        source=each.wood.source, certain=each.certain,
    )  # fmt: skip


def _slots(what: _Across, fastened: Fastened) -> Iterator[SlotNeeded]:
    shank = float(fastened.shank or SHANK)
    for at in fastened.at:
        distance = abs(float(at))
        if fastened.by == "slots":
            found = slot(distance, what.dry_strain, what.damp_strain, shank)
            length, from_inner, enough = found.length, found.screw_from_inner_end, True
        elif fastened.by == "buttons":
            length, from_inner = button_groove(distance, what.dry_strain, what.damp_strain), 0.0
            enough = True
        elif fastened.by == "figure eights":
            arm = float(fastened.arm or SHANK)
            length, from_inner = arm, 0.0
            enough = swings_far_enough(distance, what.dry_strain, what.damp_strain, arm)
        else:
            continue
        yield SlotNeeded(
            of=what.name, by=fastened.by, at=float(at), length=length, screw_from_inner_end=from_inner, enough=enough
        )


def _mitres(build: Build, across: dict[str, _Across]) -> Iterator[MitreGap]:
    """Frames: pieces with the same flat mitre at both ends, longer on the same edge, glued to one another."""
    for assembly in build.assemblies:
        if "glue" not in assembly.by:
            continue
        joined = dict(assembly.joins)
        framed = [(part, part.ends) for part in build.parts if part.id in joined and part.id in across]
        sides = [(part, ends.a.miter) for part, ends in framed if isinstance(ends, EndCuts) and _is_framed(ends)]
        if sum(joined[part.id] for part, _ in sides) < 3:
            continue
        gaps = [
            (mitre_gap(strain, float(part.width), miter), strain < 0)
            for part, miter in sides
            for strain in (across[part.id].dry_strain, across[part.id].damp_strain)
        ]
        gap, shrinks = max(gaps)
        yield MitreGap(of=assembly.name, gap=gap, where="inside" if shrinks else "outside")


def _is_framed(ends: EndCuts) -> bool:
    low, high = MITRED
    same = ends.a.miter == ends.b.miter and ends.a.long == ends.b.long
    return same and ends.a.bevel == 0 == ends.b.bevel and low <= ends.a.miter <= high


def _held(what: _Across) -> Held:
    moves, verdict = held(what.width, what.dry_strain, what.damp_strain)
    return Held(of=what.name, moves=moves, verdict=verdict, widest=widest_solid(what.dry_strain, what.damp_strain))


def _sag(build: Build, load: Load) -> Sag | None:
    part = build.part(load.on)
    wood = find(build.wood(part.wood).species)
    if wood is None or wood.stiffness is None:
        return None
    span = float(load.span) if load.span else float(solid(part, part.hand(1)).edges.overall)
    width, thick = float(part.width), float(part.thickness)
    if load.on_edge:
        width, thick = thick, width
    newtons = load.kilograms * GRAVITY
    now = sag(newtons, span, width, thick, wood.stiffness, load.spread)
    fixed = sag(
        newtons, span, width, thick, wood.stiffness,
        "middle, both ends fixed" if load.spread == "middle" else "even, both ends fixed",
    )  # fmt: skip
    return Sag(on=part.name, span=span, now=now, years=now * CREEP, held_now=fixed)


__all__ = ["SOLID", "Assessment", "assess", "seasons_of"]
