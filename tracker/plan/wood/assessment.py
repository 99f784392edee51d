"""What the wood of a build will do: what moves and by how much, what opens, what must not be glued solid, what sags.

Every answer gives its source and how certain it is: `read` in the handbook, a `model` of ours based on its figures,
`common practice`, or `from memory`. A wood that isn't in the table gets no answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Literal

from msgspec import Struct

from tracker.design.in_use import Load
from tracker.design.model import Assembly, Build, EndCuts, Part
from tracker.design.one_blank import is_matched
from tracker.measure import Angle
from tracker.plan.geometry import solid
from tracker.plan.wood.bending import CREEP, sag
from tracker.plan.wood.fastened import Across, Certain, Gap, Held, SlotNeeded, fastened
from tracker.plan.wood.movement import coefficient, mitre_gap
from tracker.plan.wood.seasons import NOTHING_FOUND, Found, Seasons, seasons_of
from tracker.plan.wood.stability import GRAVITY
from tracker.plan.wood_properties import find

LOWEST, HIGHEST = 6.0, 14.0
"""The range of moisture, in percent, for which the handbook's coefficients hold (FPL-GTR-190, table 13-5)."""
MITRED: tuple[Angle, Angle] = (30.0, 60.0)
"""The angles from square of a frame's mitres."""


class Movement(Struct, frozen=True, kw_only=True):
    """The change of a width from the shop's air to the driest (mostly negative) and to the dampest, in mm."""

    id: str
    of: str
    width: float
    dry: float
    damp: float
    source: str
    certain: Certain


class MitreGap(Struct, frozen=True, kw_only=True):
    """A glued-up mitred frame: how far its corners would open, in mm, and where."""

    id: str
    of: str
    gap: float
    where: Literal["inside", "outside"]


class Sag(Struct, frozen=True, kw_only=True):
    """A loaded part: its sag at once and after years, in mm; `span` is from support to support."""

    id: str
    on: str
    kilograms: float
    span: float
    now: float
    years: float
    held_now: float
    """The same with both ends clamped: a real rail lies between the two."""


class Assessment(Struct, frozen=True, kw_only=True):
    seasons: Seasons
    movements: tuple[Movement, ...]
    slots: tuple[SlotNeeded, ...]
    gaps: tuple[Gap, ...]
    mitres: tuple[MitreGap, ...]
    held: tuple[Held, ...]
    sags: tuple[Sag, ...]
    unknown: tuple[str, ...]
    """The species that aren't in the table."""
    sheets: tuple[str, ...]
    """Woods that come in sheets, whose movement isn't known here."""
    outside_range: bool
    """Some of the air leads to moisture contents outside the range of the coefficients."""


@lru_cache(maxsize=8)
def assess(build: Build, found: Found = NOTHING_FOUND) -> Assessment:
    """Everything that can be said about the wood of a build without knowing where its pieces are."""
    seasons = seasons_of(build, found)
    across = across_of_parts(build, found)
    wide = across_of_panels(build, across) | across
    asked = [
        one
        for assembly in build.assemblies
        for each in assembly.fastens
        if each.id in wide
        for one in fastened(wide[each.id], assembly, each)
    ]
    return Assessment(
        seasons=seasons,
        movements=tuple(_movement(each) for each in wide.values()),
        slots=tuple(each for each in asked if isinstance(each, SlotNeeded)),
        gaps=tuple(each for each in asked if isinstance(each, Gap)),
        mitres=tuple(_mitres(build, across)),
        held=tuple(each for each in asked if isinstance(each, Held)),
        sags=tuple(bent for load in build.loads if (bent := _sag(build, load))),
        unknown=tuple(dict.fromkeys(wood.species for wood in build.woods if find(wood.species) is None)),
        sheets=tuple(wood.id for wood in build.woods if wood.sheet),
        outside_range=not all(LOWEST <= each <= HIGHEST for each in (seasons.shop, seasons.dry, seasons.damp)),
    )


def across_of_parts(build: Build, found: Found = NOTHING_FOUND) -> dict[str, Across]:
    """Every part whose wood is known, as a width that moves, by its id. The movement of sheets isn't known."""
    seasons = seasons_of(build, found)
    return {part.id: one for part in build.parts if (one := _of_part(build, part, seasons, found.reading(part.id)))}


def across_of_panels(build: Build, across: dict[str, Across]) -> dict[str, Across]:
    """Every assembly of boards glued edge to edge, as one width that moves, by its id."""
    return {each.id: one for each in build.assemblies if (one := _panel(build, each, across))}


def _of_part(build: Build, part: Part, seasons: Seasons, reading: float | None) -> Across | None:
    stock = build.wood(part.wood)
    wood = find(stock.species)
    if wood is None or stock.sheet:
        return None
    width = float(part.width) if part.grain == "along" else float(solid(part, part.first_hand).edges.overall)
    each = coefficient(wood.radial, wood.tangential, part.rings)
    made = seasons.shop if reading is None else reading
    return Across(
        part.id, part.name, width, each * (seasons.dry - made), each * (seasons.damp - made), wood, part.rings
    )


def _panel(build: Build, assembly: Assembly, across: dict[str, Across]) -> Across | None:
    """Boards glued edge to edge, as one width; for mixed boards the one that moves most."""
    ids = [id_ for id_, _ in assembly.joins]
    parts = [part for part in build.parts if part.id in ids]
    sequences = {part.sequence for part in parts}
    straight = all(part.grain == "along" and part.id in across for part in parts)
    matched = any(is_matched(part, assembly) for part in parts)
    one_run = matched or (len(sequences) == 1 and "" not in sequences)
    if len(parts) != len(ids) or not parts or not one_run or not straight:
        return None
    if any(_is_slanted(part) for part in parts):
        return None
    width = sum(float(part.width) * count for part in parts for id_, count in assembly.joins if id_ == part.id)
    most = max((across[part.id] for part in parts), key=lambda each: abs(each.damp_strain) + abs(each.dry_strain))
    return Across(assembly.id, assembly.name, width, most.dry_strain, most.damp_strain, most.wood, most.rings)


def _is_slanted(part: Part) -> bool:
    """A board of a chevron, or a side of a ring, which isn't one of a panel glued edge to edge."""
    return not (isinstance(part.ends, EndCuts) and part.ends.a.miter == 0 == part.ends.b.miter)


def _movement(each: Across) -> Movement:
    return Movement(
        id=each.id, of=each.name, width=each.width, dry=each.width * each.dry_strain,
        damp=each.width * each.damp_strain, source=each.wood.source, certain=each.certain,
    )  # fmt: skip


def _mitres(build: Build, across: dict[str, Across]) -> Iterator[MitreGap]:
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
        yield MitreGap(id=assembly.id, of=assembly.name, gap=gap, where="inside" if shrinks else "outside")


def _is_framed(ends: EndCuts) -> bool:
    low, high = MITRED
    same = ends.a.miter == ends.b.miter and ends.a.long == ends.b.long
    return same and ends.a.bevel == 0 == ends.b.bevel and low <= ends.a.miter <= high


def _sag(build: Build, load: Load) -> Sag | None:
    part = build.part(load.on)
    wood = find(build.wood(part.wood).species)
    if wood is None or wood.stiffness is None:
        return None
    span = float(load.span) if load.span else float(solid(part, part.first_hand).edges.overall)
    width, thick = float(part.width), float(part.thickness)
    if load.on_edge:
        width, thick = thick, width
    newtons = load.kilograms * GRAVITY
    now = sag(newtons, span, width, thick, wood.stiffness, load.spread)
    fixed = sag(
        newtons, span, width, thick, wood.stiffness,
        "middle, both ends fixed" if load.spread == "middle" else "even, both ends fixed",
    )  # fmt: skip
    return Sag(
        id=part.id, on=part.name, kilograms=load.kilograms, span=span, now=now, years=now * CREEP, held_now=fixed
    )
