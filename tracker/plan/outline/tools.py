"""Which of the shop's blades, bits and drums can follow an outline's bends."""

from __future__ import annotations

from math import inf
from typing import Literal

from msgspec import Struct

from tracker.design.model import Shop
from tracker.measure import Length
from tracker.plan.outline.bends import Bend, blade_turns, least_turn, tightest
from tracker.plan.outline.outlined import Outlined

Kind = Literal["blade", "bit", "drum"]


class Tool(Struct, frozen=True):
    """A tool by its size (a blade's width, a bit's or a drum's diameter), and the tightest radius it can follow.

    `enough`: it can follow the outer edge, a blade round every bend, a bit and a drum into every inside bend.
    `cutouts`: a bit or a drum reaches into every bend of the cutouts, too.
    """

    kind: Kind
    size: Length
    radius: float
    enough: bool
    cutouts: bool = True


def tools(shop: Shop, each: Outlined) -> tuple[Tool, ...]:
    """Every tool that the shop lists, the largest of each kind first."""
    turn, edge = least_turn(each.outer), _radius(tightest(each.outer))
    within = min((_radius(tightest(loop)) for loop in each.cutouts), default=inf)
    found = []
    for size in _largest_first(shop.blades):
        radius = blade_turns(float(size))
        found.append(Tool("blade", size, radius, _goes(radius, turn)))
    round_tools: tuple[tuple[Kind, tuple[Length, ...]], ...] = (("bit", shop.bits), ("drum", shop.drums))
    for kind, sizes in round_tools:
        for size in _largest_first(sizes):
            radius = float(size) / 2
            found.append(Tool(kind, size, radius, _goes(radius, edge), _goes(radius, within)))
    return tuple(found)


def _radius(bend: Bend | None) -> float:
    return inf if bend is None else bend.radius


def _goes(radius: float, into: float) -> bool:
    return radius <= into + 1e-6


def _largest_first(sizes: tuple[Length, ...]) -> list[Length]:
    return sorted(set(sizes), reverse=True)
