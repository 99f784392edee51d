"""Mitred blanks that face each other and share a cut.

Two ends at the same mitre that lean the same way can be made by one cut across the board: the tip of each lies beside
the heel of the other. Between facing ends at mitres a and b the second piece begins

    g = max(k / cos a, k / cos b) - w · min(tan a, tan b)

after the first has ended, measured tip to tip, with the kerf k and the width w; where either end is square, it begins k
after it. A shared cut at one mitre saves w · tan a - (k / cos a - k) of the board. Both follow from the geometry of the
cut, no source.

Only blanks that are cut at their mitres nest: no allowance, no bevel, no taper, and no sequence, whose grain must run
on. A piece may be turned end for end, or turned over: no face of a board is marked before it is cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, EndCut, Hand, Part
from tracker.measure import Angle, Length
from tracker.measure.length import ZERO
from tracker.plan.boards.blanks import Batch, Blank, Laid
from tracker.plan.boards.plan import PieceId, PlacedPiece
from tracker.plan.geometry import solid
from tracker.plan.trig import cosine, tangent, times
from tracker.words import say

Lay = tuple[bool, bool]
LAYS: tuple[Lay, ...] = ((False, False), (True, False), (False, True), (True, True))
"""Turned end for end, turned over. The simplest lay comes first."""


def facing_gap(kerf: Length, width: Length, a: Angle, b: Angle) -> Length:
    """The distance between two blanks, tip to tip, when their facing ends at mitres a and b lean the same way."""
    if a == 0 or b == 0:
        return kerf
    cut = max(times(kerf, 1 / cosine(a)), times(kerf, 1 / cosine(b)))
    return cut - min(times(width, tangent(a)), times(width, tangent(b)))


def saved_by_sharing(kerf: Length, width: Length, miter: Angle) -> Length:
    """How much less board two blanks take when they share a cut at this mitre; negative for a small mitre."""
    return kerf - facing_gap(kerf, width, miter, miter)


def wider_kerf(kerf: Length, miter: Angle) -> Length:
    """How much more of the board a cut at this mitre takes than a square one."""
    return times(kerf, 1 / cosine(miter)) - kerf if miter else ZERO


class Slant(Struct, frozen=True):
    """Blanks that nest in rows of any length: both ends at `miter`, all of one width."""

    miter: Angle
    width: Length

    def gap(self, kerf: Length) -> Length:
        return facing_gap(kerf, self.width, self.miter, self.miter)

    def saved(self, kerf: Length) -> Length:
        """The length saved by each shared cut."""
        return saved_by_sharing(kerf, self.width, self.miter)


def ends_of(build: Build, part_id: str, piece: int) -> tuple[EndCut, EndCut]:
    """The ends of the piece as it lies face up, end A to the left."""
    part = build.part(part_id)
    return _ends(part, part.hand(piece))


@lru_cache(maxsize=1024)
def _ends(part: Part, hand: Hand | None) -> tuple[EndCut, EndCut]:
    """Cached: every blank is laid in several ways, and computing a solid takes a thousand times as long as the
    look-up."""
    shape = solid(part, hand)
    return shape.a, shape.b


def nests(build: Build, part: Part) -> bool:
    """Whether blanks of this part are cut at their mitres, so that they may share cuts."""
    if (
        not build.shop.nest_miters
        or part.sequence
        or part.resaw
        or part.tapers
        or part.allowance
        or part.grain == "across"
    ):
        return False
    try:
        a, b = _ends(part, part.first_hand)
    except ValueError:
        return False
    return a.bevel == b.bevel == 0 and (a.miter > 0 or b.miter > 0)


def slant_of(build: Build, run: Batch) -> Slant | None:
    """The slant of a single blank's run, if both ends have the same mitre and sharing a cut saves anything; else
    None."""
    if len(run.laid) != 1 or not nests(build, build.part(run.blanks[0].part)):
        return None
    a, b = ends_of(build, *run.blanks[0].id)
    slant = Slant(a.miter, build.part(run.blanks[0].part).width)
    return slant if a.miter == b.miter and slant.saved(build.shop.kerf) > ZERO else None


def row(build: Build, slant: Slant, blanks: Sequence[Blank]) -> Batch:
    """Blanks of one slant in a row, in this order; neighbours share a cut."""
    return _in_row(build, blanks, slant.miter, slant.gap(build.shop.kerf))


def _in_row(build: Build, blanks: Sequence[Blank], miter: Angle, gap: Length) -> Batch:
    laid: list[Laid] = []
    at = ZERO
    for blank, lay in zip(blanks, lays(build, [blank.id for blank in blanks], miter), strict=True):
        left, right = ends_as_laid(build, blank.id, lay)
        width = build.part(blank.part).width
        laid.append(Laid(blank, at, width=width, turned=lay[0], over=lay[1], left=left, right=right))
        at = at + blank.length + gap
    return Batch(tuple(laid), at - gap + wider_kerf(build.shop.kerf, laid[-1].right.miter))


def lays(build: Build, pieces: Sequence[PieceId], miter: Angle) -> list[Lay]:
    """The simplest lay of each piece such that ends at `miter` face each other and lean the same way.

    Raises ValueError when there is none.
    """
    found: list[Lay] = []
    leaning = None
    for n, piece in enumerate(pieces):
        for lay in LAYS:
            left, right = ends_as_laid(build, piece, lay)
            faces_on = n == len(pieces) - 1 or right.miter == miter
            if faces_on and (leaning is None or (left.miter == miter and left.long != leaning)):
                found.append(lay)
                leaning = right.long
                break
        else:
            raise ValueError(
                say("{part} {number} can't share a cut at {miter}°", part=piece[0], number=piece[1], miter=miter)
            )
    return found


def ends_as_laid(build: Build, piece: PieceId, lay: Lay) -> tuple[EndCut, EndCut]:
    """The left and the right end of the piece as it lies. Two facing ends share a cut when one is long at the near edge
    and the other at the far edge."""
    turned, over = lay
    a, b = ends_of(build, *piece)
    left, right = (b, a) if turned else (a, b)
    if turned == over:
        return left, right
    return _other_edge(left), _other_edge(right)


def _other_edge(cut: EndCut) -> EndCut:
    return replace(cut, long="near" if cut.long == "far" else "far")


def _steepest_saves(build: Build, part: Part) -> bool:
    miter = max(end.miter for end in ends_of(build, part.id, 1))
    return saved_by_sharing(build.shop.kerf, part.width, miter) > ZERO


def pairs(build: Build, runs: Sequence[Batch]) -> list[Batch]:
    """Pair blanks of one part whose ends differ, so that their steeper ends share a cut; leave the others as they are.

    Blanks that can lie in rows are left alone.
    """
    kept: list[Batch] = []
    waiting: dict[str, Batch] = {}
    for run in runs:
        part = build.part(run.blanks[0].part)
        if len(run.laid) != 1 or run.sequence or not nests(build, part) or slant_of(build, run) is not None:
            kept.append(run)
        elif _steepest_saves(build, part) and part.id in waiting:
            kept.append(_pair(build, waiting.pop(part.id).blanks[0], run.blanks[0]))
        else:
            waiting[part.id] = run
    return [*kept, *waiting.values()]


def _pair(build: Build, first: Blank, second: Blank) -> Batch:
    kerf, width = build.shop.kerf, build.part(first.part).width
    miter = max(end.miter for end in ends_of(build, *first.id))
    return _in_row(build, (first, second), miter, facing_gap(kerf, width, miter, miter))


def laid_again(build: Build, pieces: Sequence[PlacedPiece]) -> tuple[PlacedPiece, ...]:
    """The pieces of one board with their lays restored: only the positions are stored, and pieces that share cuts must
    be laid to fit."""
    ordered = sorted(pieces, key=lambda piece: piece.at)
    found: list[PlacedPiece] = []
    for chain in _chains(build, ordered):
        if len(chain) > 1:
            gap = chain[1].at - chain[0].end
            miters = {end.miter for end in ends_of(build, *chain[0].id)}
            width = build.part(chain[0].part).width
            miter = min(miters, key=lambda m: abs(facing_gap(build.shop.kerf, width, m, m) - gap))
            for piece, lay in zip(chain, lays(build, [each.id for each in chain], miter), strict=True):
                left, right = ends_as_laid(build, piece.id, lay)
                lies = replace(piece, width=width, turned=lay[0], over=lay[1], left=left, right=right)
                found.append(lies)
        else:
            found += chain
    return tuple(found)


def _chains(build: Build, ordered: Sequence[PlacedPiece]) -> list[list[PlacedPiece]]:
    """Groups of neighbours closer than a kerf, tip to tip: these share a cut. The pieces of one blank have the same
    position."""
    chains: list[list[PlacedPiece]] = []
    for piece in ordered:
        if chains and chains[-1][-1].at < piece.at < chains[-1][-1].end + build.shop.kerf:
            chains[-1].append(piece)
        else:
            chains.append([piece])
    return chains
