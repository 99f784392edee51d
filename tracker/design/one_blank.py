"""Pieces that are one blank for a while: the leaves of a resawn board, and short pieces of rough wood, which stay
joined end to end until they are milled.

The feed rollers of a planer and the tables of a jointer need a least length of stock: about 12 in (300 mm) is common
practice, no source; go by the machine's manual.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from tracker.design.model import Assembly, EndCuts, Part, Wood
from tracker.measure import Length
from tracker.measure.length import ZERO

APART = "cut to length"
"""The operation that cuts apart pieces that were milled as one blank."""


def needs_thickness(part: Part) -> Length:
    """The thickness that the piece, or all leaves of one board, need: flattened, and before the leaves are planed."""
    return part.resaw.whole(part.thickness) if part.resaw else part.thickness


def leaf_thickness(part: Part) -> Length:
    """The thickness of a leaf off the bandsaw, before it is planed."""
    return part.thickness + (part.resaw.plane if part.resaw else ZERO)


def is_matched(part: Part, assembly: Assembly) -> bool:
    """Whether an assembly is the leaves of one board glued edge to edge: a book match."""
    leaves = part.resaw.leaves if part.resaw else 0
    return "glue" in assembly.by and assembly.joins == ((part.id, leaves),)


def is_short(part: Part, wood: Wood) -> bool:
    """Whether the piece is too short to be jointed and planed by itself. A route written in the file overrides this."""
    if part.route is not None:
        return APART in part.route
    if wood.mill is None or part.sequence or part.grain == "across" or part.length is None:
        return False
    square = isinstance(part.ends, EndCuts) and part.ends.a.square and part.ends.b.square
    return square and part.length + part.allowance < wood.mill.shortest


def one_blank(part: Part, wood: Wood, piece: int) -> tuple[int, ...]:
    """The numbers of all pieces cut from the board as one blank with this one, including it."""
    if part.resaw is not None:
        return _leaves(part, part.resaw.leaves, piece)
    if not is_short(part, wood):
        return (piece,)
    return _joined(part.quantity, _at_least(part, wood), piece)


def _leaves(part: Part, leaves: int, piece: int) -> tuple[int, ...]:
    """The pieces of one resawn board. A mirror pair is book matched: a left-hand piece and its right-hand twin. Other
    leaves follow each other."""
    if leaves == 2 and part.left == part.right and part.left:
        first = (piece - 1) % part.left + 1
        return (first, first + part.left)
    first = (piece - 1) // leaves * leaves + 1
    return tuple(range(first, min(first + leaves, part.quantity + 1)))


def _at_least(part: Part, wood: Wood) -> int:
    """The least number of pieces that makes a blank long enough to mill."""
    if part.length is None or wood.mill is None or not part.length:
        return 1
    return ceil(wood.mill.shortest.mm / (part.length + part.allowance).mm)


def _joined(quantity: int, least: int, piece: int) -> tuple[int, ...]:
    """Divide the pieces evenly among as many blanks as are long enough."""
    blanks = max(1, quantity // max(1, least))
    each, more = divmod(quantity, blanks)
    longer = more * (each + 1)
    if piece <= longer:
        first, many = (piece - 1) // (each + 1) * (each + 1) + 1, each + 1
    else:
        first, many = longer + (piece - longer - 1) // each * each + 1, each
    return tuple(range(first, first + many))


def joined_length(part: Part, wood: Wood, kerf: Length, each: Length, many: int) -> Length:
    """The length of the blank for `many` pieces, each `each` long: end to end with a kerf between, and never too short
    to be milled. The leaves of a resawn board lie on one another."""
    if not is_short(part, wood) and not (part.resaw and wood.mill):
        return each
    whole = each if part.resaw else (each + kerf) * many - kerf
    shortest = wood.mill.shortest if wood.mill and (part.resaw is None or is_short(part, wood)) else ZERO
    return max(whole, shortest)


def shared_steps(part: Part, wood: Wood, route: Sequence[str]) -> tuple[str, ...]:
    """The operations of a route that are done to the whole blank, before it is cut into pieces."""
    if part.resaw is not None:
        return tuple(route[: route.index("resaw") + 1]) if "resaw" in route else ()
    if is_short(part, wood):
        return tuple(route[: route.index(APART)]) if APART in route else ()
    return ()
