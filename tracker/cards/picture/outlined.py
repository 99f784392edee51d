"""Which edges of a piece's faces are drawn: not those shared by two bodies of one piece in one plane."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracker.plan.place.bodies import Vector, dot, minus, norm, plus, times

NEAR = 1e-4
"""Millimetres: bodies cut from one another agree to this."""
Edge = tuple[Vector, Vector]
Flat = tuple[tuple[Vector, float], tuple[Vector, ...]]
"""The plane of a face, as its normal and its distance, and its corners."""


def outlined(faces: Sequence[Flat]) -> list[list[Edge]]:
    """For each face of one piece, in order, the edges that are drawn, or their visible parts."""
    groups: dict[tuple[float, ...], list[int]] = {}
    for at, (plane, _) in enumerate(faces):
        groups.setdefault(_key(*plane), []).append(at)
    found: list[list[Edge]] = []
    for at, ((normal, distance), corners) in enumerate(faces):
        beside = [faces[other][1] for other in groups[_key(normal, distance)] if other != at]
        against = [faces[other][1] for other in groups.get(_key(times(normal, -1), -distance), ())]
        edges = [edge for each in beside for edge in _edges(each)]
        found.append([part for edge in _edges(corners) for part in _left(edge, edges, against)])
    return found


def _key(normal: Vector, distance: float) -> tuple[float, ...]:
    return (*(round(each, 4) for each in normal), round(distance, 2))


def _edges(corners: Sequence[Vector]) -> Iterator[Edge]:
    for at, corner in enumerate(corners):
        yield corners[at - 1], corner


def _left(edge: Edge, others: Sequence[Edge], against: Sequence[Sequence[Vector]]) -> Iterator[Edge]:
    """The parts of an edge that lie along none of the others, nor within a face where another body touches."""
    start, end = edge
    long = norm(minus(end, start))
    if long < NEAR:
        return
    way = times(minus(end, start), 1 / long)
    covered = [span for face in against if (span := _within(start, way, long, face))]
    for one, two in others:
        first, last = dot(minus(one, start), way), dot(minus(two, start), way)
        if all(norm(minus(p, plus(start, times(way, at)))) < NEAR for p, at in ((one, first), (two, last))):
            covered.append((min(first, last), max(first, last)))
    reached = 0.0
    for first, last in sorted(covered):
        if first > reached + NEAR and reached < long:
            yield plus(start, times(way, reached)), plus(start, times(way, min(first, long)))
        reached = max(reached, last)
    if reached < long - NEAR:
        yield plus(start, times(way, reached)), end


def _within(start: Vector, way: Vector, long: float, face: Sequence[Vector]) -> tuple[float, float] | None:
    """The part of a line in the plane of a convex face that runs inside it or along its edge."""
    low, high = 0.0, long
    middle = times((sum(p[0] for p in face), sum(p[1] for p in face), sum(p[2] for p in face)), 1 / len(face))
    for one, two in _edges(face):
        along = minus(two, one)
        if norm(along) < NEAR:
            continue
        along = times(along, 1 / norm(along))
        inward = minus(minus(middle, one), times(along, dot(minus(middle, one), along)))
        inward = times(inward, 1 / max(norm(inward), 1e-12))
        off, slope = dot(minus(start, one), inward) + NEAR, dot(way, inward)
        if abs(slope) < 1e-9:
            if off < 0:
                return None
        elif slope > 0:
            low = max(low, -off / slope)
        else:
            high = min(high, -off / slope)
    return (low, high) if high - low > NEAR else None
