"""Drawing convex bodies from back to front, so that the nearer ones cover the farther ones: the painter's algorithm.

For two bodies whose outlines in the picture overlap, a separating plane tells which is nearer: a face of one of them,
or the plane of two crossing edges. The whole order is a topological sort; a cycle of bodies that cover one another in
turn is broken at the farthest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush

from tracker.cards.picture.view import Flat, View
from tracker.plan.convex import hull
from tracker.plan.place.bodies import Body, dot
from tracker.plan.place.separation import separation

SLACK = 0.02
"""Millimetres of the picture: outlines that overlap by less don't cover each other."""
DEEPEST_OVERLAP = 2.0
"""Millimetres: bodies that overlap by up to this, as the joints of a real build do, can still be ordered."""


def back_to_front(bodies: Sequence[Body], view: View) -> tuple[int, ...]:
    """The indices of the bodies, farthest first."""
    after: list[set[int]] = [set() for _ in bodies]
    waiting = [0] * len(bodies)
    for far, near in _covered(bodies, view):
        if near not in after[far]:
            after[far].add(near)
            waiting[near] += 1
    depths = [view.depth(body.centre) for body in bodies]
    ready = [(depths[at], at) for at, count in enumerate(waiting) if count == 0]
    ready.sort()
    left = set(range(len(bodies)))
    order: list[int] = []
    while left:
        at = heappop(ready)[1] if ready else min(left, key=lambda each: (waiting[each], depths[each]))
        if at not in left:
            continue
        left.discard(at)
        order.append(at)
        for near in after[at]:
            waiting[near] -= 1
            if waiting[near] == 0 and near in left:
                heappush(ready, (depths[near], near))
    return tuple(order)


def _covered(bodies: Sequence[Body], view: View) -> Iterator[tuple[int, int]]:
    """Every pair of bodies of which one covers the other in the picture: the farther, then the nearer."""
    hulls = [hull(view.flat(point) for point in body.points) for body in bodies]
    boxes = [_box(each) for each in hulls]
    active: list[int] = []
    for at in sorted(range(len(bodies)), key=lambda each: boxes[each][0]):
        active = [each for each in active if boxes[each][2] > boxes[at][0] + SLACK]
        for other in active:
            if boxes[at][1] >= boxes[other][3] - SLACK or boxes[other][1] >= boxes[at][3] - SLACK:
                continue
            if not _overlap(hulls[at], hulls[other]):
                continue
            nearer = _nearer(bodies[at], bodies[other], view)
            if nearer:
                yield (other, at) if nearer > 0 else (at, other)
        active.append(at)


def _nearer(a: Body, b: Body, view: View) -> int:
    """1 where `a` is nearer to the eye than `b`, -1 where it is farther, 0 where it doesn't matter."""
    best, answer = -DEEPEST_OVERLAP, 0
    for body, other, sign in ((a, b, 1), (b, a, -1)):
        points = other.points
        for plane in body.planes:
            toward = dot(plane.normal, view.toward)
            if abs(toward) < 1e-9:
                continue
            gap = min(dot(plane.normal, point) for point in points) - plane.distance
            if gap > best:
                best, answer = gap, -sign if toward > 0 else sign
    if best > -1e-3:
        return answer
    apart = separation(a, b)
    if apart.by == "edges" and apart.gap > best:
        return -1 if dot(apart.toward, view.toward) > 0 else 1
    return answer or (1 if view.depth(a.centre) > view.depth(b.centre) else -1)


def _overlap(a: Sequence[Flat], b: Sequence[Flat]) -> bool:
    """Whether two convex outlines overlap by more than SLACK (separating axes)."""
    for one, two in ((a, b), (b, a)):
        for at, (qx, qy) in enumerate(one):
            px, py = one[at - 1]
            dx, dy = qx - px, qy - py
            length = (dx * dx + dy * dy) ** 0.5
            if length < 1e-6:
                continue
            nx, ny = dy / length, -dx / length  # outward
            if min(nx * (x - px) + ny * (y - py) for x, y in two) > -SLACK:
                return False
    return True


def _box(points: Sequence[Flat]) -> tuple[float, float, float, float]:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
