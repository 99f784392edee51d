"""A piece in its place in an assembly, and the error for a place that isn't known."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.joining import Numbered
from tracker.design.model import Hand
from tracker.plan.place.bodies import Body, Vector
from tracker.plan.place.poses import Pose
from tracker.plan.place.shapes import Shape


class PlaceError(ValueError):
    """An assembly can't be placed: a sentence, a hint, and the line of the build file."""

    def __init__(self, what: str, hint: str = "", line: int = 0) -> None:
        super().__init__(what)
        self.what, self.hint, self.line = what, hint, line


class Placed(Struct, frozen=True, kw_only=True):
    """One piece in its place in an assembly.

    `number` is the one on its label. `pose` takes the piece's own frame to the assembly's; `cells` are its convex
    bodies there, cut to size where the assembly is trimmed. `within` are the assemblies it is part of, outermost first.
    """

    part: str
    number: int
    hand: Hand | None
    shape: Shape
    pose: Pose
    cells: tuple[Body, ...]
    within: tuple[Numbered, ...] = ()

    @property
    def key(self) -> Numbered:
        """Part and number."""
        return (self.part, self.number)

    @property
    def points(self) -> list[Vector]:
        return [point for cell in self.cells for point in cell.points]

    def moved(self, pose: Pose) -> Placed:
        """The same piece after a further move; not for a mirroring move."""
        return replace(self, pose=pose @ self.pose, cells=tuple(pose.carry(cell) for cell in self.cells))
