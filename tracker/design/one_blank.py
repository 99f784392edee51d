"""Pieces that are one blank for a while: the leaves of a board that is resawn, and short pieces of rough wood, which
stay joined end to end until they are milled.

A jointer's or a planer's feed rollers and its mouth ask for a least length: about 12 in (300 mm) is common practice, no
source; the machine's manual says its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from tracker.design.model import Assembly, EndCuts, Part, Wood
from tracker.measure import Length
from tracker.measure.length import ZERO

APART = "cut to length"
"""The operation that cuts pieces apart which were milled as one blank."""


def needs_thickness(part: Part) -> Length:
    """What the piece, or all leaves of one board, take of the thickness, flat and before the leaves are planed."""
    return part.resaw.whole(part.thickness) if part.resaw else part.thickness


def leaf_thickness(part: Part) -> Length:
    """How thick a leaf comes off the band saw: what is planed is still on it."""
    return part.thickness + (part.resaw.plane if part.resaw else ZERO)


def is_matched(part: Part, assembly: Assembly) -> bool:
    """Whether an assembly is the leaves of one board glued edge to edge: a book match."""
    leaves = part.resaw.leaves if part.resaw else 0
    return "glue" in assembly.by and assembly.joins == ((part.id, leaves),)


def is_short(part: Part, wood: Wood) -> bool:
    """Whether the piece is too short to be jointed and planed by itself; a route that is written out decides itself."""
    if part.route is not None:
        return APART in part.route
    if wood.mill is None or part.sequence or part.grain == "across" or part.length is None:
        return False
    square = isinstance(part.ends, EndCuts) and part.ends.a.square and part.ends.b.square
    return square and part.length + part.allowance < wood.mill.shortest


def one_blank(part: Part, wood: Wood, piece: int) -> tuple[int, ...]:
    """The numbers of all pieces that are cut from the board as one blank with this one, itself among them."""
    if part.resaw is not None:
        return _leaves(part, part.resaw.leaves, piece)
    if not is_short(part, wood):
        return (piece,)
    return _joined(part.quantity, _at_least(part, wood), piece)


def _leaves(part: Part, leaves: int, piece: int) -> tuple[int, ...]:
    """A mirror pair is book matched: the left-hand piece and its right-hand twin. Else those that follow each other."""
    if leaves == 2 and part.left == part.right and part.left:
        first = (piece - 1) % part.left + 1
        return (first, first + part.left)
    first = (piece - 1) // leaves * leaves + 1
    return tuple(range(first, min(first + leaves, part.quantity + 1)))


def _at_least(part: Part, wood: Wood) -> int:
    """How many make a blank that is long enough."""
    if part.length is None or wood.mill is None or not part.length:
        return 1
    return ceil(wood.mill.shortest.mm / (part.length + part.allowance).mm)


def _joined(quantity: int, least: int, piece: int) -> tuple[int, ...]:
    """As many blanks as are long enough, the pieces shared out evenly."""
    blanks = max(1, quantity // max(1, least))
    each, more = divmod(quantity, blanks)
    longer = more * (each + 1)
    if piece <= longer:
        first, many = (piece - 1) // (each + 1) * (each + 1) + 1, each + 1
    else:
        first, many = longer + (piece - longer - 1) // each * each + 1, each
    return tuple(range(first, first + many))


def joined_length(part: Part, wood: Wood, kerf: Length, each: Length, many: int) -> Length:
    """How long a blank is from which `many` pieces come, `each` so long: end to end with a kerf between, and never too
    short to be milled. Leaves lie on one another."""
    if not is_short(part, wood) and not (part.resaw and wood.mill):
        return each
    whole = each if part.resaw else (each + kerf) * many - kerf
    shortest = wood.mill.shortest if wood.mill and (part.resaw is None or is_short(part, wood)) else ZERO
    return max(whole, shortest)


def shared_steps(part: Part, wood: Wood, route: Sequence[str]) -> tuple[str, ...]:
    """The operations of a route that are done to the whole blank, before it becomes pieces."""
    if part.resaw is not None:
        return tuple(route[: route.index("resaw") + 1]) if "resaw" in route else ()
    if is_short(part, wood):
        return tuple(route[: route.index(APART)]) if APART in route else ()
    return ()
