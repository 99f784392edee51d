"""Several alike of a build: as many of everything, and which copy each piece belongs to."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from tracker.design.model import Build, Hardware, Part
from tracker.design.toml.table import Page

MOST_PIECES = 5_000


def of_all_copies(page: Page, parts: Sequence[Part], copies: int, jigs: frozenset[str]) -> tuple[Part, ...]:
    """The parts with the quantities of all copies. A jig is made once."""
    if copies == 1:
        return tuple(parts)
    found = []
    for part in parts:
        if part.sequence:
            line = part.lines.get("sequence", part.line)
            page.say(line, f"{part.name}: pieces of one sequence come from one board, and there are {copies} copies",
                     "leave out the sequence, or make the copies one after the other")  # fmt: skip
        times = 1 if part.id in jigs else copies
        found.append(replace(part, quantity=part.quantity * times, left=part.left * times, right=part.right * times))
    if sum(part.quantity for part in found) > MOST_PIECES:
        page.say(0, f"{copies} copies have more than {MOST_PIECES} pieces")
    return tuple(found)


def hardware_of_all(hardware: Sequence[Hardware], copies: int) -> tuple[Hardware, ...]:
    """What is bought by the piece, for all copies."""
    return tuple(replace(each, quantity=each.quantity * copies) for each in hardware)


def copy_of(build: Build, number: int, of: int) -> int:
    """Which copy the `number`-th of `of` alike belongs to, from 1; 0 where there is but one copy, or of a jig.

    Of a mirror pair each hand is counted by itself.
    """
    if build.copies == 1 or of < build.copies or of % build.copies:
        return 0
    return (number - 1) * build.copies // of + 1


def copy_of_piece(build: Build, part: Part, piece: int) -> int:
    """Which copy a piece belongs to."""
    if part.hand(piece) == "right":
        return copy_of(build, piece - part.left, part.right)
    return copy_of(build, piece, part.left or part.quantity)
