"""Several copies of a build or of an assembly: multiplied quantities, and which copy each piece belongs to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from tracker.design.model import Assembly, Hardware, Part
from tracker.design.toml.table import Page
from tracker.words import say

MOST_PIECES = 5_000


class Multiplied:
    """How many times each part and assembly of the file is made, given the copies of the assemblies it goes into.
    Reports a part that goes into more than one assembly that has copies."""

    def __init__(self, page: Page, assemblies: Sequence[Assembly]) -> None:
        self._page = page
        self._parents: dict[str, list[Assembly]] = {}
        for assembly in assemblies:
            for what, _ in assembly.joins:
                self._parents.setdefault(what, []).append(assembly)
        self._known: dict[str, int] = {}

    def times(self, id_: str) -> int:
        """How many times one build makes it."""
        if id_ not in self._known:
            self._known[id_] = 1  # a circle, which is reported elsewhere
            into = self._parents.get(id_, [])
            found = {each.id: min(self.times(each.id) * each.copies, MOST_PIECES + 1) for each in into}
            if len(set(found.values())) > 1:
                most = max(into, key=lambda each: found[each.id])
                other = next(each for each in into if found[each.id] != found[most.id])
                self._page.say(
                    most.line,
                    f"'{id_}' goes into '{most.id}', made {found[most.id]} times over by copies, and into '{other.id}'",
                    "a part of its own for each",
                )
            self._known[id_] = max(found.values(), default=1)
        return self._known[id_]


def of_all_copies(
    page: Page, parts: Sequence[Part], copies: int, multiplied: Multiplied, jigs: frozenset[str]
) -> tuple[Part, ...]:
    """The parts with the quantities of all copies. A jig is made only once."""
    found = []
    for part in parts:
        times = 1 if part.id in jigs else copies * multiplied.times(part.id)
        found.append(
            replace(
                part, quantity=part.quantity * times, left=part.left * times, right=part.right * times, copies=times
            )
        )
    if sum(part.quantity for part in found) > MOST_PIECES and any(part.copies > 1 for part in found):
        page.say(0, f"all copies together have more than {MOST_PIECES} pieces")
    return tuple(found)


def check_joined(
    page: Page, assemblies: Sequence[Assembly], made: Mapping[str, int], copies: int, multiplied: Multiplied
) -> None:
    """Either all copies of an assembly are joined, or none is."""
    for assembly in assemblies:
        wanted = assembly.copies * multiplied.times(assembly.id) * copies
        if assembly.copies > 1 and made.get(assembly.id, wanted) != wanted:
            line = assembly.lines.get("copies", assembly.line)
            what = say(
                "there are {wanted} copies of '{name}', but {made} of it are joined",
                wanted=wanted,
                name=assembly.id,
                made=made[assembly.id],
            )
            page.say(line, what, f"joins = {{ {assembly.id} = {assembly.copies} }}")


def hardware_of_all(hardware: Sequence[Hardware], copies: int) -> tuple[Hardware, ...]:
    """The hardware bought by the piece, for all copies."""
    return tuple(replace(each, quantity=each.quantity * copies) for each in hardware)


def copy_of(copies: int, number: int, of: int) -> int:
    """Which copy piece `number` of `of` belongs to, counted from 1; 0 where there is only one copy, and for a jig.

    Each hand of a mirror pair is counted separately.
    """
    if copies == 1 or of < copies or of % copies:
        return 0
    return (number - 1) * copies // of + 1


def copy_of_piece(copies: int, part: Part, piece: int) -> int:
    """Which copy a piece belongs to."""
    if part.hand(piece) == "right":
        return copy_of(copies, piece - part.left, part.right)
    return copy_of(copies, piece, part.left or part.quantity)


def sequence_of(part: Part, piece: int) -> str:
    """The sequence that a piece is cut in. Each copy has its own."""
    copy = copy_of_piece(part.copies, part, piece) if part.sequence else 0
    return f"{part.sequence}, copy {copy}" if copy else part.sequence
