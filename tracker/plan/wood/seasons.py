"""The moisture of a build's wood in the shop, and in the driest and dampest air it will live in."""

from __future__ import annotations

from msgspec import Struct

from tracker.design.model import Build
from tracker.plan.wood.air import moisture_in


class Found(Struct, frozen=True, kw_only=True):
    """What was measured in the shop: the moisture content that its air leads to, and a meter's readings, in percent.

    `shop` is used where the build file doesn't give the shop's air; a reading overrides both. `readings` are by the id
    of a part.
    """

    shop: float | None = None
    readings: tuple[tuple[str, float], ...] = ()

    def reading(self, part: str) -> float | None:
        return next((percent for id_, percent in self.readings if id_ == part), None)


NOTHING_FOUND = Found()


class Seasons(Struct, frozen=True):
    """Moisture content of the wood, in percent: in the shop, and in the driest and dampest air it will live in."""

    shop: float
    dry: float
    damp: float


def seasons_of(build: Build, found: Found = NOTHING_FOUND) -> Seasons:
    """The moisture contents that follow from the air of a build."""
    air = build.air
    shop, dry, damp = (moisture_in(air.celsius, each) for each in (air.shop, air.driest, air.dampest))
    if "shop" in air.defaulted and found.shop is not None:
        shop = found.shop
    return Seasons(shop, dry, damp)
