"""Which piece goes into which assembly."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import zip_longest

from msgspec import Struct

from tracker.design.model import Build, Part

Numbered = tuple[str, int]
"""The id of a part or assembly, and its number, counted from 1."""


class Joining(Struct, frozen=True):
    """`into`: the assembly that each piece or assembly goes into. `members`: what goes into each assembly, in order."""

    into: Mapping[Numbered, Numbered]
    members: Mapping[Numbered, tuple[Numbered, ...]]


def joining(build: Build) -> Joining:
    """Assign pieces to assemblies in the order of the file, left and right hands in turn."""
    free = {part.id: list(_hands_in_turn(part)) for part in build.parts}
    free |= {each.id: [(each.id, number) for number in range(1, each.quantity + 1)] for each in build.assemblies}
    into: dict[Numbered, Numbered] = {}
    members: dict[Numbered, tuple[Numbered, ...]] = {}
    for assembly in build.assemblies:
        for number in range(1, assembly.quantity + 1):
            key = (assembly.id, number)
            taken: list[Numbered] = []
            for id_, wanted in assembly.joins:
                taken += free[id_][:wanted]
                free[id_] = free[id_][wanted:]
            members[key] = tuple(taken)
            into.update(dict.fromkeys(taken, key))
    return Joining(into, members)


def _hands_in_turn(part: Part) -> Iterator[Numbered]:
    pieces = range(1, part.quantity + 1)
    left = [(part.id, piece) for piece in pieces if part.hand(piece) != "right"]
    right = [(part.id, piece) for piece in pieces if part.hand(piece) == "right"]
    for pair in zip_longest(left, right):
        yield from (each for each in pair if each)
