"""Milling a whole stack: everything alike is jointed, resawn, planed and ripped at one setting, in the order of work.

Everything is crosscut rough first: a short board has less bow to joint away than a long one. Then all faces and edges
are jointed, all boards resawn, all pieces planed from the thickest to the thinnest, and ripped from the widest to the
narrowest. So each machine is set once for each of its numbers, which is the fewest possible. Going from thick to thin
and from wide to narrow, a spoiled piece may still do for a smaller one. Common practice, no source.
"""

from __future__ import annotations

from typing import Literal, cast

from msgspec import Struct

from tracker.design.model import Build, Part
from tracker.design.one_blank import leaf_thickness
from tracker.measure import Length, read_length
from tracker.plan.setups import is_ripped
from tracker.words import say

Operation = Literal["joint", "resaw", "plane", "rip"]
OPERATIONS: tuple[Operation, ...] = ("joint", "resaw", "plane", "rip")
_WORDS: dict[Operation, str] = {
    "joint": say("face, then edge"),
    "resaw": say("fence {length}"),
    "plane": say("to {length}"),
    "rip": say("fence {length}"),
}


class Milling(Struct, frozen=True, kw_only=True):
    """One setting of one machine, and the pieces milled at it: part and number. A jointer has no setting."""

    operation: Operation
    setting: Length | None
    pieces: tuple[tuple[str, int], ...]


def mills(build: Build, part: Part, operation: Operation) -> bool:
    """Whether a piece's route has the operation; a route that isn't written out follows from its wood."""
    if operation == "rip":
        return is_ripped(build, part)
    if part.route is not None:
        return operation in part.route
    rough = build.wood(part.wood).mill is not None
    return {"joint": rough, "resaw": part.resaw is not None, "plane": rough or part.resaw is not None}[operation]


def setting_of(part: Part, operation: Operation) -> Length | None:
    """The setting of the machine: a fence, or a thickness."""
    return {"joint": None, "resaw": leaf_thickness(part), "plane": part.thickness, "rip": part.width}[operation]


def setting_words(build: Build, part: Part, operation: str) -> str:
    """`to 3⁄4″`: pieces with the same words are milled one after the other."""
    setting = setting_of(part, cast(Operation, operation))
    read = read_length(setting, build.shop.mark).text if setting is not None else ""
    return _WORDS[cast(Operation, operation)].format(length=read)


def turn_of(part: Part, operation: str) -> tuple[int, float]:
    """The position of this operation in the order of all milling."""
    setting = setting_of(part, cast(Operation, operation))
    return OPERATIONS.index(cast(Operation, operation)), -float(setting) if setting is not None else 0.0


def milling(build: Build) -> tuple[Milling, ...]:
    """Every setting in the order of work, with the pieces of rough or resawn wood, in the order of the file."""
    found: dict[tuple[int, float], Milling] = {}
    for part in build.parts:
        if not any(mills(build, part, operation) for operation in ("joint", "resaw", "plane")):
            continue
        mine = tuple((part.id, number) for number in range(1, part.quantity + 1))
        for operation in OPERATIONS:
            if mills(build, part, operation):
                turn, setting = turn_of(part, operation), setting_of(part, operation)
                pieces = (*found[turn].pieces, *mine) if turn in found else mine
                found[turn] = Milling(operation=operation, setting=setting, pieces=pieces)
    return tuple(found[turn] for turn in sorted(found))


def piece_by_piece(build: Build) -> int:
    """How often machines would be set if each part were milled completely before the next, for comparison."""
    at: dict[Operation, Length | None] = {}
    count = 0
    for part in build.parts:
        for operation in OPERATIONS[1:]:
            if mills(build, part, operation) and (operation not in at or at[operation] != setting_of(part, operation)):
                at[operation] = setting_of(part, operation)
                count += 1
    return count
