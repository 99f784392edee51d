"""How much to buy of a wood of random widths: by volume, with the usual extra over the net wood."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from tracker.design.model import Build, Wood
from tracker.design.tables.grades import grade_named
from tracker.design.tables.usual_waste import WASTES, Waste
from tracker.design.values import cents
from tracker.measure.length import MM_PER_INCH
from tracker.plan.boards.blanks import demand_of
from tracker.plan.boards.by_grade import Enough, enough_boards
from tracker.plan.boards.plan import PieceId

BOARD_FOOT = 144 * MM_PER_INCH**3
"""Cubic millimetres."""
UNGRADED = WASTES[3]


class VolumeToBuy(Struct, frozen=True, kw_only=True):
    """`net` is the rough wood that the pieces take, in cubic mm; `over` is the percentage added; `usual` is the range
    of practice. `clear` is the least clear share of a board of its grade; None where no grade is given."""

    wood: str
    pieces: int
    net: Fraction
    over: int
    usual: Waste
    clear: float | None
    cost: Decimal | None
    enough: Enough | None = None
    """How many boards of its grade are enough nine times in ten, by simulation; None where no grade is given."""

    @property
    def volume(self) -> Fraction:
        """The volume to buy, in cubic mm."""
        return self.net * (100 + self.over) / 100

    @property
    def board_feet(self) -> Fraction:
        return self.volume / BOARD_FOOT

    @property
    def cubic_metres(self) -> Fraction:
        return self.volume / 10**9


def volume_to_buy(build: Build, wood: Wood, have: Collection[PieceId]) -> VolumeToBuy | None:
    """The volume for the pieces that no board in hand has (`have` lists the others); None when there are none."""
    sold = wood.by_volume
    if sold is None or wood.rough is None:
        return None
    missing = [blank for run in demand_of(build, wood, have).runs for blank in run.blanks]
    if not missing:
        return None
    net = sum((blank.length.mm * blank.across.mm for blank in missing), Fraction(0)) * wood.rough.mm
    grade = grade_named(sold.grade) if sold.grade else None
    usual = grade.over if grade else UNGRADED
    over = usual.most if sold.over is None else sold.over
    each = BOARD_FOOT if sold.unit == "board foot" else Fraction(10**9)
    cost = None if sold.rate is None else cents(Fraction(sold.rate) * net * (100 + over) / 100 / each)
    return VolumeToBuy(
        wood=wood.id, pieces=sum(1 + len(blank.others) for blank in missing), net=net, over=over, usual=usual,
        clear=grade.clear if grade else None, cost=cost, enough=enough_boards(build, wood, missing),
    )  # fmt: skip
