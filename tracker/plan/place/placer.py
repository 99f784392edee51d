"""Where each piece of an assembly is: from its rows of places, or implied by a joint or a glued-up run."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.joining import Joining, Numbered, joining
from tracker.design.model import Assembly, Build
from tracker.design.place import BoxSide, Place, Splayed
from tracker.plan.place.bodies import Body, Vector, bounds, dot, times
from tracker.plan.place.implied import implied_places
from tracker.plan.place.placed import Placed, PlaceError
from tracker.plan.place.poses import DIRECTIONS, Pose, around, mirrored
from tracker.plan.place.shapes import Shape, Shapes
from tracker.plan.place.turning import turned
from tracker.plan.placeable import has_places
from tracker.words import say
from tracker.words.sides import side

_IMAGES: dict[str | None, tuple[tuple[int, ...], ...]] = {
    None: ((),),
    "left-right": ((), (0,)),
    "front-back": ((), (1,)),
    "both": ((), (0,), (1,), (0, 1)),
}
_AXES: tuple[tuple[BoxSide, BoxSide], ...] = (("left", "right"), ("front", "back"), ("bottom", "top"))


class _Spot(Struct, frozen=True, kw_only=True):
    """A piece placed before it has a number. `path`: each assembly around it, and its index there."""

    shape: Shape
    pose: Pose
    cells: tuple[Body, ...]
    path: tuple[Numbered, ...] = ()
    trimmed: bool = False

    @property
    def points(self) -> list[Vector]:
        return [point for cell in self.cells for point in cell.points]


class Placer:
    """Places the assemblies of one build; results are cached."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self.shapes = Shapes(build)
        self._joining: Joining = joining(build)
        self._spots: dict[str, tuple[_Spot, ...]] = {}
        self._parts = {part.id: part for part in build.parts}

    def has_places(self, assembly_id: str) -> bool:
        """Whether the build says where the pieces of an assembly are."""
        return has_places(self.build, assembly_id)

    def placed(self, assembly_id: str, copy: int = 1) -> tuple[Placed, ...]:
        """Every piece of one assembly, with its label number. Raises PlaceError where the place isn't known."""
        spots = self._assembly(assembly_id)
        top: Numbered = (assembly_id, copy)
        waiting: dict[Numbered, list[Numbered]] = {}
        out = []
        for spot in spots:
            within = self._numbered(spot.path, top)
            free = waiting.setdefault(within[-1], list(self._joining.members[within[-1]]))
            part = spot.shape.part
            mine = next((key for key in free if key[0] == part.id and part.hand(key[1]) == spot.shape.hand), None)
            if mine is None:
                raise self._wrong_hand(within[-1][0], spot)
            free.remove(mine)
            out.append(
                Placed(
                    part=part.id, number=mine[1], hand=spot.shape.hand, shape=spot.shape, pose=spot.pose,
                    cells=spot.cells, within=within,
                )
            )  # fmt: skip
        return tuple(out)

    def _numbered(self, path: tuple[Numbered, ...], top: Numbered) -> tuple[Numbered, ...]:
        """The assemblies around a piece with the numbers on their labels."""
        found = [top]
        for id_, which in path:
            same = [key for key in self._joining.members[found[-1]] if key[0] == id_]
            found.append(same[which])
        return tuple(found)

    def _wrong_hand(self, assembly_id: str, spot: _Spot) -> PlaceError:
        assembly = self.build.assembly(assembly_id)
        hand = say("{hand}-hand ", hand=side(spot.shape.hand)) if spot.shape.hand else ""
        return PlaceError(
            say(
                "{assembly}: more {hand}{part} pieces are placed than go into it",
                assembly=assembly.name,
                hand=hand,
                part=spot.shape.part.name,
            ),
            say("left-hand and right-hand pieces are joined in turn"),
            _line(assembly),
        )

    # -- one assembly --------------------------------------------------------------------------------------------

    def _assembly(self, assembly_id: str) -> tuple[_Spot, ...]:
        if assembly_id not in self._spots:
            self._spots[assembly_id] = tuple(self._place_all(self.build.assembly(assembly_id)))
        return self._spots[assembly_id]

    def _place_all(self, assembly: Assembly) -> Iterator[_Spot]:
        if not assembly.place:
            implied = list(implied_places(self.build, assembly, self.shapes))
            if not implied:
                what = say("{assembly}: where its pieces are isn't said", assembly=assembly.name)
                raise PlaceError(what, say("place = [ { part = ... } ]"), _line(assembly))
            yield from (_carried(_Spot(shape=shape, pose=Pose(), cells=shape.cells), pose) for shape, pose in implied)
            return
        ordinals: dict[str, int] = {}
        for row in assembly.place:
            for spots in self._row(assembly, row):
                which = ordinals.get(row.id, 0)
                ordinals[row.id] = which + 1
                if row.id not in self._parts:
                    spots = [replace(spot, path=((row.id, which), *spot.path)) for spot in spots]
                yield from (_sawn(spot, assembly) for spot in spots) if assembly.trimmed else spots

    def _row(self, assembly: Assembly, row: Place) -> Iterator[Sequence[_Spot]]:
        """The pieces (or the pieces of an assembly) that one row places, one by one."""
        loose = self._loose(row)
        turn = turned(row, loose[0].shape if row.id in self._parts else None)
        corners = [turn.of(point) for spot in loose for point in spot.points]
        low, high = bounds(corners)
        at = _shift(assembly, row, low, high, corners)
        middle = _middle(assembly)
        for which in range(len(row.around) or row.count):
            pose = turn.by(at).by(_step(row, which, low, high))
            if row.around:
                pose = around(middle, row.around[which]) @ pose
            for flipped in _IMAGES[row.mirror]:
                if flipped:
                    image = mirrored(_size(assembly), flipped) @ pose
                    yield [self._mirrored(assembly, row, spot, image) for spot in loose]
                else:
                    yield [_carried(spot, pose) for spot in loose]

    def _loose(self, row: Place) -> tuple[_Spot, ...]:
        """What a row places, in its own frame: one piece, or all pieces of an assembly."""
        part = self._parts.get(row.id)
        if part is None:
            return self._assembly(row.id)
        shape = self.shapes.of(part.id, part.first_hand)
        if not shape.cells:
            raise PlaceError(say("{part} has no shape: its ends cross", part=part.name), "", part.line)
        return (_Spot(shape=shape, pose=Pose(), cells=shape.cells),)

    def _mirrored(self, assembly: Assembly, row: Place, spot: _Spot, image: Pose) -> _Spot:
        """A mirrored piece as a real piece: the other hand of its pair, or the same piece turned over."""
        whole = image @ spot.pose
        if not whole.mirrored:  # mirrored both ways: a half turn
            return _carried(spot, image)
        name = spot.shape.part.name
        if spot.trimmed:
            raise PlaceError(
                say("{assembly}: an assembly that is trimmed can't be mirrored", assembly=assembly.name),
                say("turn it instead"),
                row.line,
            )
        found = self.shapes.mirror_image(spot.shape)
        if found is None:
            hint = say("write left and right instead of quantity, or turn it with 'around'")
            raise PlaceError(
                say("{assembly}: a mirrored {name} isn't the same piece", assembly=assembly.name, name=name),
                hint,
                row.line,
            )
        shape, flip = found
        pose = whole @ flip
        return replace(spot, shape=shape, pose=pose, cells=tuple(pose.carry(cell) for cell in shape.cells))


def _carried(spot: _Spot, pose: Pose) -> _Spot:
    return replace(spot, pose=pose @ spot.pose, cells=tuple(pose.carry(cell) for cell in spot.cells))


def _sawn(spot: _Spot, assembly: Assembly) -> _Spot:
    """What is left of a piece after its assembly has been sawn to size, seen from above."""
    width, depth, _ = _size(assembly)
    cells = spot.cells
    for normal, distance in (
        ((1.0, 0.0, 0.0), width), ((-1.0, 0.0, 0.0), 0.0), ((0.0, 1.0, 0.0), depth), ((0.0, -1.0, 0.0), 0.0)
    ):  # fmt: skip
        cells = tuple(left for cell in cells if (left := cell.clipped(normal, distance, "trimmed")))
    if not cells:
        what = say(
            "{assembly}: trimming to its size leaves nothing of a {part}",
            assembly=assembly.name,
            part=spot.shape.part.name,
        )
        raise PlaceError(what, say("its size or that place is wrong"), assembly.lines.get("size", assembly.line))
    return replace(spot, cells=cells, trimmed=True)


def _shift(assembly: Assembly, row: Place, low: Vector, high: Vector, corners: Sequence[Vector]) -> Vector:
    """The move that brings a turned piece to its place. A splayed leg is measured over its seat end."""
    if isinstance(row.lies, Splayed):
        seat_low, seat_high = bounds([point for point in corners if point[2] > high[2] - 1e-4])
        low, high = (seat_low[0], seat_low[1], low[2]), (seat_high[0], seat_high[1], high[2])
    at = dict(row.at)
    shift = []
    for axis, (lower, upper) in enumerate(_AXES):
        if lower in at:
            shift.append(float(at[lower]) - low[axis])
        elif upper in at:
            shift.append(float(at[upper]) - high[axis])
        elif axis < 2 and assembly.size is not None:
            shift.append(float(assembly.size[axis]) / 2 - (low[axis] + high[axis]) / 2)
        else:
            shift.append(-low[axis])
    return (shift[0], shift[1], shift[2])


def _step(row: Place, which: int, low: Vector, high: Vector) -> Vector:
    """How far piece number `which` of a row, counted from 0, is from the first."""
    if row.row is not None:
        way = DIRECTIONS[row.row]
        return times(way, which * abs(dot(way, high) - dot(way, low)))
    x = y = z = 0.0
    for direction, length in row.step:
        way = times(DIRECTIONS[direction], which * float(length))
        x, y, z = x + way[0], y + way[1], z + way[2]
    return (x, y, z)


def _size(assembly: Assembly) -> Vector:
    if assembly.size is None:
        raise PlaceError(
            say("{assembly}: this needs the assembly's size", assembly=assembly.name),
            say("size = [...]"),
            _line(assembly),
        )
    return (float(assembly.size[0]), float(assembly.size[1]), float(assembly.size[2]))


def _middle(assembly: Assembly) -> Vector:
    return (0.0, 0.0, 0.0) if assembly.size is None else times(_size(assembly), 0.5)


def _line(assembly: Assembly) -> int:
    return assembly.lines.get("place", assembly.line)
