"""Classes of glue, and their times when the build file doesn't give them.

Common practice at about 20 °C, from memory; go by the label on the bottle. Each value is the safe end of the range: the
shortest open time, the longest ordinary clamping and curing.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from tracker.design.name_lookup import ByWords
from tracker.measure import Span, parse_span
from tracker.words import say

Cures = Literal["drying", "reaction", "gel", "contact"]
"""How the glue sets. A glue that dries or gels fails below some temperature; a rule for the rate holds only for a
reaction."""


class GlueClass(Struct, frozen=True):
    """A class of glue. `coldest` is the lowest temperature of use in °C, for wood, glue and shop.

    `machine` is the time out of the clamps after which a joint may be handled and machined, where that is sooner than
    the full cure after which it may be loaded; None: no sooner. `care` is a caution for the glue-up checklist.
    """

    name: str
    open_time: Span
    clamp_time: Span
    cure_time: Span
    coldest: float
    other_names: tuple[str, ...] = ()
    cures: Cures = "drying"
    machine: Span | None = None
    care: str = ""


_SENSITISER = say("Gloves on, skin covered, air moving: follow the safety data sheet")


def _glue(
    name: str,
    open_time: str,
    clamp: str,
    cure: str,
    coldest: float,
    *other_names: str,
    cures: Cures = "drying",
    machine: str = "",
    care: str = "",
) -> GlueClass:
    return GlueClass(
        name,
        parse_span(open_time),
        parse_span(clamp),
        parse_span(cure),
        coldest,
        other_names,
        cures,
        parse_span(machine) if machine else None,
        care,
    )


GLUES = (
    # open 8-15 min, clamp 30-60 min (4 h under stress), full strength 24 h, 10-13 °C
    _glue("PVA, interior (white)", "8 min", "60 min", "24 h", 13, "white glue", "PVA white", "PVA interior", "PVA D2"),
    # open 4-10 min, clamp 30-60 min (2-4 h under stress), 24 h, 7-10 °C
    _glue("PVA, aliphatic (yellow)", "4 min", "60 min", "24 h", 10, "yellow glue", "PVA yellow", "PVA aliphatic",
          "aliphatic resin", "wood glue yellow"),
    # open 5-10 min, clamp 30-60 min (2-4 h under stress), 24 h (7 days for its rated water resistance), 8-13 °C
    _glue("PVA, cross-linking", "5 min", "60 min", "24 h", 13, "PVA D3", "PVA D4", "PVA waterproof",
          "PVA crosslinking"),
    # open 10-20 min (fast types 3-5), clamp 1-4 h, 24 h, 5-10 °C; needs moisture: wood of 8-25 %
    _glue("Polyurethane, one-part moisture cure", "10 min", "4 h", "24 h", 10, "polyurethane", "polyurethane glue",
          "PUR", "polyurethane one-part", cures="reaction",
          care=say("Mist dry wood. Gloves on, air moving: follow the safety data sheet")),
    # pot life 10-60 min by hardener, clamp 6-24 h, 5-7 days, 5-15 °C by hardener; usually sanded a day later
    _glue("Epoxy, two-part", "10 min", "24 h", "7 days", 15, "epoxy", "epoxy resin", cures="reaction", machine="24 h",
          care=say("Mixed by the exact ratio. {caution}", caution=_SENSITISER)),
    # open 1-2 min, clamp 2-12 h, 24 h, wood and shop warm
    _glue("Hide, hot", "1 min", "12 h", "24 h", 21, "hot hide glue", "hot glue hide", cures="gel",
          care=say("Pot at 60 to 63 °C (140 to 145 °F), wood warmed")),
    # open 10-20 min, clamp 12-24 h usual, 24 h, 10 °C
    _glue("Hide, liquid", "10 min", "24 h", "24 h", 10, "liquid hide glue",
          care=say("Test first: a drop must set hard")),
    # open 0.1-2 min, fixture 10-60 s, 8-24 h, 10 °C
    _glue("Cyanoacrylate", "6 s", "60 s", "24 h", 10, "super glue", "superglue", "CA", "CA glue", "cyanoacrylate glue",
          cures="contact", care=say("It bonds skin at once: eyes covered, air moving; follow the safety data sheet")),
    # open 10-15 min, clamp 8-16 h at 21 °C, 24 h, 21 °C
    _glue("Urea-formaldehyde, powder or resin+catalyst, cold", "10 min", "16 h", "24 h", 21, "urea-formaldehyde", "UF",
          "urea-formaldehyde powder", "urea-formaldehyde resin", "plastic resin glue", cures="reaction",
          care=_SENSITISER),
)  # fmt: skip

_NAMES: Iterable[tuple[str, GlueClass]] = [(name, glue) for glue in GLUES for name in (glue.name, *glue.other_names)]
_BY_WORDS = ByWords(_NAMES)


def glue_named(written: str) -> GlueClass | None:
    """The class that a name means, regardless of capitals, word order and punctuation; None for an unknown glue."""
    return _BY_WORDS.get(written)
