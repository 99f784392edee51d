"""What was measured in the shop that affects the wood: its air as entered, and a moisture meter's readings."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.floor.floor import Floor
from tracker.plan.wood.air import WETTEST_AIR, moisture_in
from tracker.plan.wood.seasons import Found, Seasons
from tracker.words import say

COLDEST, WARMEST = -2.0, 99.0
"""Degrees Celsius between which the handbook's equation holds."""


def found_in_shop(floor: Floor) -> Found:
    """The moisture content from the shop's air as last entered, and a meter's readings of pieces and boards."""
    kept = floor.state.air
    shop = None
    if kept is not None and kept.fact.humidity > 0:
        celsius = min(max(kept.fact.celsius, COLDEST), WARMEST)
        shop = moisture_in(celsius, min(kept.fact.humidity, WETTEST_AIR))
    return Found(shop=shop, readings=tuple(_readings(floor)))


def _readings(floor: Floor) -> Iterator[tuple[str, float]]:
    """By part, the latest reading first: of one of its pieces, or of a board that the plan cuts it from."""
    kept = floor.state.moisture(floor.run)
    on_board = (
        {board.key: [cut.item for cut in board.pieces] for board in floor.state.boards(floor.run)} if kept else {}
    )
    known: set[str] = set()
    for key in reversed(tuple(kept)):
        for piece in on_board.get(key, [key]):
            item = floor.run.items.get(piece)
            if item is not None and item.id not in known:
                known.add(item.id)
                yield item.id, kept[key].fact.percent


def moisture_words(floor: Floor, seasons: Seasons) -> str:
    """The basis of the figures: `Wood at 9.3 % (shop air as entered); will live between 7.0 and 12.0 %`."""
    air = floor.run.build.air
    if "shop" not in air.defaulted:
        origin = say("{shop:g} % air, from the build file", shop=air.shop)
    elif floor.state.air is not None:
        origin = say("{humidity:g} % air, as entered", humidity=floor.state.air.fact.humidity)
    else:
        origin = say("{shop:g} % air, a default: enter the shop's own", shop=air.shop)
    home = say(" (default)") if "home" in air.defaulted else ""
    lives = say("will live between {dry:.1f} and {damp:.1f} %{home}", dry=seasons.dry, damp=seasons.damp, home=home)
    return say("Wood made at {shop:.1f} % ({origin}), {lives}.", shop=seasons.shop, origin=origin, lives=lives)
