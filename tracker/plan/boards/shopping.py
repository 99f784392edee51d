"""What to buy: how many boards of each length, their cost, and the amount of wood."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from tracker.design.model import Build, Wood
from tracker.design.tables.lumber import sections
from tracker.measure import Length
from tracker.plan.boards.plan import BoardPlan, WoodPlan


class ShoppingLine(Struct, frozen=True, kw_only=True):
    """A number of boards of one length. Prices are None where none are known."""

    wood: str
    length: Length
    count: int
    price: Decimal | None

    @property
    def cost(self) -> Decimal | None:
        return None if self.price is None else self.price * self.count


class WoodToBuy(Struct, frozen=True, kw_only=True):
    """The lines of one wood, longest first. `board_feet` is None unless its section is a nominal size."""

    wood: str
    lines: tuple[ShoppingLine, ...]
    cost: Decimal | None
    bought: Length
    board_feet: Fraction | None
    cubic_metres: Fraction


def shopping(build: Build, plan: BoardPlan) -> tuple[WoodToBuy, ...]:
    """What the plan needs to buy, wood by wood; woods that the rack supplies are left out."""
    needed = (_to_buy(build.wood(wood.wood), wood) for wood in plan.woods)
    return tuple(each for each in needed if each.lines)


def _to_buy(wood: Wood, plan: WoodPlan) -> WoodToBuy:
    count = Counter((board.length, board.price) for board in plan.boards if board.source == "dealer")
    lines = [
        ShoppingLine(wood=wood.id, length=length, count=many, price=price)
        for (length, price), many in sorted(count.items(), key=lambda item: item[0][0], reverse=True)
    ]
    return WoodToBuy(
        wood=wood.id,
        lines=tuple(lines),
        cost=plan.cost,
        bought=plan.bought,
        board_feet=board_feet(wood, plan.bought),
        cubic_metres=wood.width.mm * wood.thickness.mm * plan.bought.mm / 10**9,
    )


def board_feet(wood: Wood, length: Length) -> Fraction | None:
    """Board feet of a length of this wood; None unless its section is a nominal size."""
    section = sections().get(wood.section)
    return None if section is None else section.board_feet(wood.width, length)
