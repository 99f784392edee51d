"""How placed pieces meet: which overlap, which touch nothing, and the size of the whole."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.plan.place.bodies import Vector, bounds
from tracker.plan.place.placed import Placed
from tracker.plan.place.separation import boxes_apart, separation
from tracker.words import say

NEAR = 0.5
"""Millimetres: pieces this close touch, and an overlap up to this is the rounding of a joint."""


class Meeting(Struct, frozen=True):
    """Two pieces that touch or overlap, by their indices in the list. `gap` in mm, negative where they overlap."""

    first: int
    second: int
    gap: float


class TooManyError(ValueError):
    """More pieces are close to each other than may be compared."""


def meetings(placed: Sequence[Placed], near: float = NEAR, most: int | None = None) -> tuple[Meeting, ...]:
    """Every pair of pieces that overlap, touch, or are at most `near` mm apart.

    Raises TooManyError when more than `most` pairs would have to be compared; each takes about a millisecond.
    """
    compared = 0
    boxes = [bounds(piece.points) for piece in placed]
    order = sorted(range(len(placed)), key=lambda at: boxes[at][0][0])
    found = []
    active: list[int] = []
    for at in order:
        active = [each for each in active if boxes[each][1][0] >= boxes[at][0][0] - near]
        for other in active:
            (al, ah), (bl, bh) = boxes[at], boxes[other]
            if any(al[k] > bh[k] + near or bl[k] > ah[k] + near for k in (1, 2)):
                continue
            compared += 1
            if most is not None and compared > most:
                raise TooManyError(say("more than {most} pairs of pieces are near to each other", most=most))
            gap = _gap(placed[other], placed[at], near)
            if gap is not None and gap <= near:
                found.append(Meeting(min(at, other), max(at, other), gap))
        active.append(at)
    return tuple(sorted(found, key=lambda each: (each.first, each.second)))


def overlaps(found: Sequence[Meeting]) -> tuple[Meeting, ...]:
    """The pairs that overlap by more than a joint's rounding."""
    return tuple(each for each in found if each.gap < -NEAR)


def loose(placed: Sequence[Placed], found: Sequence[Meeting]) -> tuple[int, ...]:
    """The pieces that touch no other, by their indices in the list; empty for a lone piece."""
    if len(placed) < 2:
        return ()
    touching = {at for each in found for at in (each.first, each.second)}
    return tuple(at for at in range(len(placed)) if at not in touching)


def extent(placed: Sequence[Placed]) -> tuple[Vector, Vector]:
    """The least and the greatest x, y and z of all pieces."""
    return bounds([point for piece in placed for point in piece.points])


def _gap(first: Placed, second: Placed, near: float) -> float | None:
    gaps = [
        separation(a, b).gap for a in first.cells for b in second.cells if not boxes_apart(a, b, near)
    ]  # fmt: skip
    return min(gaps, default=None)
