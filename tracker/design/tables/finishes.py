"""Classes of finish, and their waits when the build file doesn't give them.

Common practice at about 20-22 °C and 50 % relative humidity, from memory; go by the label on the tin. Each value is the
safe end of the ordinary range: the long end for minimum waits, the short end for how long the next coat still bonds
without sanding.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from tracker.design.name_lookup import ByWords
from tracker.measure import Span, parse_span


class FinishClass(Struct, frozen=True):
    """A class of finish. `coats` is the customary least. `rags_heat`: wet rags can catch fire by themselves.

    `recoat_limit`: after that the next coat needs sanding first; None where each coat melts or soaks into the last one.
    """

    name: str
    coats: int
    recoat: Span
    cure: Span
    rags_heat: bool
    other_names: tuple[str, ...] = ()
    recoat_limit: Span | None = None


def _finish(
    name: str, coats: int, recoat: str, cure: str, rags_heat: bool, *other_names: str, limit: str = ""
) -> FinishClass:
    sand_after = parse_span(limit) if limit else None
    return FinishClass(name, coats, parse_span(recoat), parse_span(cure), rags_heat, other_names, sand_after)


FINISHES = (
    # recoat 24 h (tung 24-72 h), no limit fixed, cure 14-30 days
    _finish("Drying oil (boiled linseed / tung), wiped", 3, "24 h", "30 days", True, "drying oil", "boiled linseed oil",
            "linseed oil", "tung oil"),
    # recoat 8-24 h, limit about 48 h, cure 7-21 days
    _finish("Drying oil + wax (hardwax-oil type)", 1, "24 h", "21 days", True, "drying oil + wax", "hardwax oil",
            "hard wax oil", "oil + wax", "oil and wax", "drying oil and wax", limit="48 h"),
    # recoat 6-24 h, no limit fixed, cure 7-30 days
    _finish("Danish-type oil/varnish blend", 2, "24 h", "30 days", True, "Danish oil", "oil/varnish blend",
            "oil varnish", "oil and varnish"),
    # recoat 8-24 h (thin fast types 3-6 h), 24-72 h without sanding, cure 7-30 days
    _finish("Wiping varnish", 3, "24 h", "30 days", True, "varnish, wiping", "wipe-on varnish", "wiped varnish",
            limit="24 h"),
    # recoat 12-24 h (fast types 4-6 h), abrade after about 24 h, cure 7-30 days
    _finish("Polyurethane, oil", 2, "24 h", "30 days", True, "oil-based polyurethane", "polyurethane varnish",
            limit="24 h"),
    # recoat 2-4 h, abrade after about 12-24 h, cure 7-30 days
    _finish("Polyurethane, water-based", 3, "4 h", "30 days", False, "polyurethane, water", "water-borne polyurethane",
            limit="12 h"),
    # recoat 0.5-2 h, cure 1-7 days
    _finish("Shellac, 2-lb cut", 3, "2 h", "7 days", False, "shellac", "French polish"),
    # recoat 0.5-2 h, cure 14-30 days
    _finish("Lacquer, nitrocellulose, sprayed", 3, "2 h", "30 days", False, "lacquer", "nitrocellulose lacquer",
            "lacquer, sprayed"),
    # recoat 24 h, cure 1-2 days
    _finish("Paste wax (over a film)", 1, "24 h", "2 days", True, "paste wax", "wax"),
)  # fmt: skip

_NAMES: Iterable[tuple[str, FinishClass]] = [
    (name, finish) for finish in FINISHES for name in (finish.name, *finish.other_names)
]
_BY_WORDS = ByWords(_NAMES)


def finish_named(written: str) -> FinishClass | None:
    """The class that a name means, regardless of capitals, word order and punctuation; None for an unknown finish."""
    return _BY_WORDS.get(written)
