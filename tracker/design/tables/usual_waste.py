"""How much more than the net wood is customarily bought: common practice, no source. It is shown beside a plan and
doesn't change it."""

from __future__ import annotations

from msgspec import Struct

from tracker.design.tables.lumber import Section, Stock

SOURCE = "common practice, no source"


class Waste(Struct, frozen=True):
    """The extra wood bought, in percent of the net wood, from careful to generous."""

    wood: str
    least: int
    most: int

    @property
    def words(self) -> str:
        """`customary for softwood dimension lumber: 5 to 10 % over the net wood (common practice, no source)`."""
        return f"customary for {self.wood}: {self.least} to {self.most} % over the net wood ({SOURCE})"


WASTES = (
    Waste("softwood dimension lumber", 5, 10),
    Waste("hardwood surfaced on four sides", 10, 15),
    Waste("select hardwood surfaced on two sides", 20, 25),
    Waste("rough hardwood of the top grade", 25, 30),
    Waste("No. 1 Common hardwood", 40, 50),
    Waste("wood matched for its looks", 50, 100),
)
_BY_STOCK: dict[Stock, Waste] = {
    "softwood": WASTES[0],
    "hardwood S4S": WASTES[1],
    "hardwood S2S": WASTES[2],
    "hardwood S1S": WASTES[2],
}


def customary_waste(section: Section) -> Waste | None:
    """The customary waste for wood bought by this section; None for sawn sizes, which don't say the kind of wood or its
    grade."""
    return _BY_STOCK.get(section.stock)
