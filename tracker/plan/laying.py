"""The order in which the parts of a glue-up are laid down (layer by layer, row by row), and how each of them lies.

The order follows from where the pieces are. A flat assembly (a panel, a frame) is laid in rows; a ring in two halves;
anything else from left to right.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.design.model import Build
from tracker.design.place import Direction, Side
from tracker.plan.contact import faces_together
from tracker.plan.place.bodies import Vector, bounds, dot
from tracker.plan.place.cells import INNER
from tracker.plan.place.meetings import meetings
from tracker.plan.place.placed import Placed
from tracker.plan.place.poses import DIRECTIONS, SIDES, Pose
from tracker.plan.placeable import ring_of

FLAT = 0.35
"""An assembly is flat when its thickness is less than this fraction of its next smallest measure."""
SAME_ROW = 0.5
"""Parts are in one row when they share more than this fraction of the narrower one's width."""
LEAST_SHARED = 25.0
"""Square millimetres: faces that share less area don't count as touching."""
TOUCHES = 2


_Found = tuple[float, Numbered, str, Numbered, str, Numbered]
"""Two touching faces: their shared area, a piece and its face, the other piece, its face, and its part."""


class Touch(Struct, frozen=True, kw_only=True):
    """A face of a part against a face of one laid before it. `piece` and `other` are the touching pieces, `whole` is
    the part that the other piece belongs to; `across`: it is in another row."""

    piece: Numbered
    face: str
    other: Numbered
    other_face: str
    whole: Numbered
    across: bool


class Laid(Struct, frozen=True, kw_only=True):
    """One part of a glue-up, a piece or an assembly, in its place in the order.

    `layer` and `row` count from 0. `up` and `toward` are two sides of a piece: its upper side, and the one that points
    to `way` (None: outward, in a ring); None for an assembly. `leaning`: they point there only approximately.
    """

    key: Numbered
    layer: int
    row: int
    pieces: tuple[Numbered, ...]
    up: Side | None = None
    toward: Side | None = None
    way: Direction | None = None
    leaning: bool = False
    touches: tuple[Touch, ...] = ()


class Order(Struct, frozen=True, kw_only=True):
    """The parts in the order they are laid down. `axes`: along a row, from row to row, from layer to layer (0 = left to
    right, 1 = front to back, 2 = upward). `halves`: the halves of a ring."""

    parts: tuple[Laid, ...]
    axes: tuple[int, int, int]
    layers: int
    rows: tuple[int, ...]
    """The number of rows in each layer."""
    halves: bool = False
    flat: bool = False


def laying_order(build: Build, placed: Sequence[Placed]) -> Order:
    """The laying order of what one assembly joins. `placed` are all pieces of that assembly, and of nothing around
    it."""
    assembly = placed[0].within[0]
    groups: dict[Numbered, list[Placed]] = {}
    for piece in placed:
        groups.setdefault(piece.within[1] if len(piece.within) > 1 else piece.key, []).append(piece)
    boxes = {key: bounds([point for piece in group for point in piece.points]) for key, group in groups.items()}
    ring = ring_of(build, build.assembly(assembly[0])) is not None
    axes = None if ring else _axes(boxes)
    along = axes or (0, 1, 2)
    layer = dict.fromkeys(boxes, 0) if axes is None else _clusters(boxes, along[2])
    row = _halves(list(groups)) if ring else dict.fromkeys(boxes, 0) if axes is None else _rows(boxes, layer, along[1])
    touching = _touches(groups, placed)
    if ring:
        order = list(groups)
    elif axes is not None:
        order = sorted(groups, key=lambda key: (layer[key], row[key], *_middle(boxes[key], along)))
    else:
        order = _built_up(boxes, touching)
    parts = []
    before: set[Numbered] = set()
    for key in order:
        touches = _to_before(touching.get(key, []), before, layer, row, key)
        single = groups[key][0] if groups[key][0].key == key else None
        pieces = tuple(each.key for each in groups[key])
        lies = _Orientation() if single is None else _in_ring(single) if ring else _lying(single)
        parts.append(
            Laid(
                key=key, layer=layer[key], row=row[key], pieces=pieces, up=lies.up, toward=lies.toward, way=lies.way,
                leaning=lies.leaning, touches=touches,
            )
        )  # fmt: skip
        before.add(key)
    layers = max(layer.values()) + 1
    rows = tuple(1 + max(row[key] for key in order if layer[key] == each) for each in range(layers))
    return Order(
        parts=tuple(parts), axes=along, layers=layers, rows=rows, halves=ring and rows[0] > 1, flat=axes is not None
    )


def _to_before(
    found: Sequence[_Found], before: set[Numbered], layer: dict[Numbered, int], row: dict[Numbered, int], key: Numbered
) -> tuple[Touch, ...]:
    """Which of the parts already there the new part touches, those of its own layer first."""
    there = sorted((each for each in found if each[5] in before), key=lambda each: layer[each[5]] != layer[key])
    return tuple(
        Touch(
            piece=piece, face=face, other=other, other_face=other_face, whole=whole,
            across=layer[whole] == layer[key] and row[whole] != row[key],
        )
        for _, piece, face, other, other_face, whole in there[:TOUCHES]
    )  # fmt: skip


class _Orientation(Struct, frozen=True):
    """How a piece lies; empty for an assembly."""

    up: Side | None = None
    toward: Side | None = None
    way: Direction | None = None
    leaning: bool = False


def _in_ring(piece: Placed) -> _Orientation:
    """The lay of a ring's piece: its top face is the outer one on every side of the ring."""
    return _Orientation(_pointing(piece.pose, DIRECTIONS["up"])[0], "top")


def _lying(piece: Placed) -> _Orientation:
    up, true_up = _pointing(piece.pose, DIRECTIONS["up"])
    way: Direction = "left" if up in ("top", "bottom") else "front"
    toward, true_way = _pointing(piece.pose, DIRECTIONS[way])
    return _Orientation(up, toward, way, min(true_up, true_way) < _NEARLY)


_NEARLY = 0.999


def _pointing(pose: Pose, way: Vector) -> tuple[Side, float]:
    """The side of a piece that points most nearly in a direction, and the cosine of its deviation."""
    found = max(SIDES, key=lambda side: dot(pose.turned(SIDES[side]), way))
    return found, dot(pose.turned(SIDES[found]), way)


def _axes(boxes: dict[Numbered, tuple[Vector, Vector]]) -> tuple[int, int, int] | None:
    """The axes of a flat assembly: along a row, from row to row, from layer to layer. None where it isn't flat."""
    low, high = bounds([corner for box in boxes.values() for corner in box])
    size = [high[axis] - low[axis] for axis in range(3)]
    thin = min(range(3), key=size.__getitem__)
    if size[thin] > FLAT * sorted(size)[1]:
        return None
    return {0: (1, 2, 0), 1: (0, 2, 1), 2: (0, 1, 2)}[thin]


def _rows(
    boxes: dict[Numbered, tuple[Vector, Vector]], layer: dict[Numbered, int], axis: int
) -> dict[Numbered, int]:  # fmt: skip
    found: dict[Numbered, int] = {}
    for each in set(layer.values()):
        found |= _clusters({key: box for key, box in boxes.items() if layer[key] == each}, axis)
    return found


def _clusters(boxes: dict[Numbered, tuple[Vector, Vector]], axis: int) -> dict[Numbered, int]:
    """The row of each part along an axis. Two parts that share most of their width are in one row, together with every
    part in a row with either of them."""
    rows: list[list[Numbered]] = []
    for key in boxes:
        mine = [row for row in rows if any(_side_by_side(boxes[key], boxes[each], axis) for each in row)]
        rows = [row for row in rows if row not in mine]
        rows.append([key, *(each for row in mine for each in row)])
    rows.sort(key=lambda row: min(boxes[key][0][axis] + boxes[key][1][axis] for key in row))
    return {key: at for at, row in enumerate(rows) for key in row}


def _side_by_side(one: tuple[Vector, Vector], other: tuple[Vector, Vector], axis: int) -> bool:
    (low, high), (start, end) = (one[0][axis], one[1][axis]), (other[0][axis], other[1][axis])
    return min(high, end) - max(low, start) > SAME_ROW * min(high - low, end - start) + 1e-6


def _built_up(
    boxes: dict[Numbered, tuple[Vector, Vector]], touching: dict[Numbered, list[_Found]]
) -> list[Numbered]:  # fmt: skip
    """The order of an assembly that isn't flat: first the part that touches the most others; then each part that
    touches those laid, going upward, from left to right and front to back."""
    left = sorted(boxes, key=lambda key: (round(boxes[key][0][2]), *_middle(boxes[key], (0, 1, 2)), key))
    near = {key: {found[5] for found in touching.get(key, ())} for key in boxes}
    first = max(left, key=lambda key: (len(near[key]), -boxes[key][0][2], -left.index(key)))
    order = [first]
    left.remove(first)
    while left:
        following = next((key for key in left if not near[key].isdisjoint(order)), left[0])
        order.append(following)
        left.remove(following)
    return order


def _halves(keys: Sequence[Numbered]) -> dict[Numbered, int]:
    """A ring with an even number of sides is glued in two halves, and these to each other."""
    half = len(keys) // 2 if len(keys) % 2 == 0 and len(keys) >= 4 else len(keys)
    return {key: at // half for at, key in enumerate(keys)}


def _middle(box: tuple[Vector, Vector], axes: tuple[int, int, int]) -> tuple[float, ...]:
    return tuple(round((box[0][axis] + box[1][axis]) / 2, 3) for axis in axes)


def _touches(groups: dict[Numbered, list[Placed]], placed: Sequence[Placed]) -> dict[Numbered, list[_Found]]:
    """For each part: the areas where a face of it touches another part, largest first, and which faces."""
    owner = {piece.key: key for key, group in groups.items() for piece in group}
    found: dict[Numbered, list[_Found]] = {}
    for each in meetings(placed):
        one, other = placed[each.first], placed[each.second]
        mine, theirs = owner[one.key], owner[other.key]
        if mine == theirs:
            continue
        faces = [
            (area, f, g) for a in one.cells for b in other.cells for f, g, area in faces_together(a, b)
            if area > LEAST_SHARED and INNER not in (f, g)
        ]  # fmt: skip
        if faces:
            area, f, g = max(faces)
            found.setdefault(mine, []).append((area, one.key, f, other.key, g, theirs))
            found.setdefault(theirs, []).append((area, other.key, g, one.key, f, mine))
    return {key: sorted(each, key=lambda one: (-one[0], one[5])) for key, each in found.items()}
