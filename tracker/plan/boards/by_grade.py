"""How many unseen boards of a grade to buy. A simulation lays the pieces on boards as the grade promises them, many
times over; the result is the number that is enough nine times in ten.

A simulated board has a random width between the narrowest and the widest, and a random length between the grade's least
and 12 ft. Its clear share lies between what its grade promises and what the grade above promises, in some of the
cuttings that the grade allows, each as wide as the board, with the waste between them. Shares, cuttings and least
lengths: see `design/tables/grades.py`; 12 ft: common practice, no source. The random numbers are seeded, so every run
gives the same result.
"""

from __future__ import annotations

from functools import lru_cache

from msgspec import Struct

from tracker.design.model import Build, Wood
from tracker.design.tables.grades import GRADES, Grade, grade_named
from tracker.plan.boards.blanks import Blank

TRIALS = 100
TIMES_IN_TEN = 9
LONGEST = 3658.0
"""The longest board, in mm: 12 ft."""
MOST_BOARDS = 400
"""The most boards in one trial. A request that needs more isn't simulated."""
MOST_PIECES = 200
_M = 0x7FFFFFFF
Sizes = tuple[tuple[float, float], ...]
"""Length and width in mm, the longest first."""


class Enough(Struct, frozen=True):
    """This many boards, and this area of board in square mm, are enough nine times in ten; `usual` boards are enough
    half of the time."""

    boards: int
    area: float
    usual: int


class _Kind(Struct, frozen=True):
    """A grade's boards as the simulation makes them: sizes in mm, and the least and greatest clear share."""

    narrowest: float
    widest: float
    shortest: float
    clear: tuple[float, float]
    cutting: float
    cuttings: int
    trim: float


def enough_boards(build: Build, wood: Wood, blanks: list[Blank]) -> Enough | None:
    """How many boards are enough for these blanks; None where no grade is given, or where a board of that grade can't
    hold one of them."""
    sold = wood.by_volume
    grade = grade_named(sold.grade) if sold else None
    if sold is None or grade is None or wood.mill is None or not 0 < len(blanks) <= MOST_PIECES:
        return None
    kind = _Kind(
        narrowest=float(sold.narrowest), widest=float(sold.widest), shortest=float(grade.shortest),
        clear=(grade.clear, _better(grade)), cutting=float(grade.cutting), cuttings=grade.cuttings,
        trim=float(wood.mill.ends),
    )  # fmt: skip
    sizes = tuple(sorted(((float(b.length), float(b.across)) for b in blanks), reverse=True))
    return _enough(sizes, float(build.shop.kerf), kind)


def _better(grade: Grade) -> float:
    """The clear share that the grade above promises: a clearer board would be sold as that grade."""
    return min((each.clear for each in GRADES if each.clear > grade.clear), default=1.0)


@lru_cache(maxsize=32)
def _enough(sizes: Sizes, kerf: float, kind: _Kind) -> Enough | None:
    if max(across for _, across in sizes) > kind.widest or sizes[0][0] > LONGEST - 2 * kind.trim:
        return None
    chance = _Chance(1)
    needed = []
    for _ in range(TRIALS):
        found = _trial(sizes, kerf, kind, chance)
        if found is None:
            return None
        needed.append(found)
    counts, areas = sorted(count for count, _ in needed), sorted(area for _, area in needed)
    at = TRIALS * TIMES_IN_TEN // 10 - 1
    return Enough(counts[at], areas[at], counts[TRIALS // 2])


class _Chance:
    """A seeded generator of random numbers (Park & Miller 1988)."""

    def __init__(self, seed: int) -> None:
        self._dice = seed

    def between(self, least: float, most: float) -> float:
        self._dice = self._dice * 48271 % _M
        return least + (most - least) * self._dice / _M


def _trial(sizes: Sizes, kerf: float, kind: _Kind, chance: _Chance) -> tuple[int, float] | None:
    """How many boards are taken, one after the other, until all pieces have a place; and their area."""
    left, area = list(sizes), 0.0
    for count in range(1, MOST_BOARDS + 1):
        long, wide = chance.between(kind.shortest, LONGEST), chance.between(kind.narrowest, kind.widest)
        area += long * wide
        for room in _clear(long, kind, chance):
            left = _laid(left, room, wide, kerf)
        if not left:
            return count, area
    return None


def _clear(long: float, kind: _Kind, chance: _Chance) -> list[float]:
    """The lengths of a board's clear cuttings: each at least as long as its grade asks, the rest divided at random. The
    trim of its rough ends comes out of the waste, or out of the last cutting."""
    clear = min(long * chance.between(*kind.clear), long - 2 * kind.trim)
    most = max(1, min(kind.cuttings, int(clear / kind.cutting)))
    many = min(most, 1 + int(chance.between(0, most)))
    shares = [chance.between(0, 1) + 1e-9 for _ in range(many)]
    least = min(kind.cutting, clear / many)
    return [least + (clear - many * least) * share / sum(shares) for share in shares]


def _laid(sizes: list[tuple[float, float]], room: float, wide: float, kerf: float) -> list[tuple[float, float]]:
    """The pieces that don't fit on a clear length: it is cut into sections as long as their longest piece, and lanes
    are filled end to end."""
    left = list(sizes)
    while True:
        first = next((size for size in left if size[0] <= room and size[1] <= wide), None)
        if first is None:
            return left
        long, across = first[0], wide
        while lane := next((size for size in left if size[0] <= long and size[1] <= across), None):
            left.remove(lane)
            along = long - lane[0] - kerf
            while more := next((size for size in left if size[0] <= along and size[1] <= lane[1]), None):
                left.remove(more)
                along -= more[0] + kerf
            across -= lane[1] + kerf
        room -= long + kerf
