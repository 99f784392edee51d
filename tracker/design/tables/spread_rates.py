"""Spread rates: how much glue or finish a square metre of joint or surface takes.

Common practice, from memory; go by the bottle or the tin. A class without a known figure has none here.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.design.tables.finishes import finish_named
from tracker.design.tables.glues import glue_named

SOURCE = "common practice, from memory; check the label"


class Spread(Struct, frozen=True):
    """Glue on a joint, in grams per square metre, from thin to generous."""

    least: int
    most: int


class Coverage(Struct, frozen=True):
    """One coat of finish, in square metres per litre, from thirsty to dense wood."""

    least: float
    most: float


_PVA = Spread(150, 200)
SPREADS = {
    "PVA, interior (white)": _PVA,
    "PVA, aliphatic (yellow)": _PVA,
    "PVA, cross-linking": _PVA,
    "Polyurethane, one-part moisture cure": Spread(100, 180),
    "Epoxy, two-part": Spread(250, 400),
    "Hide, liquid": _PVA,
    "Urea-formaldehyde, powder or resin+catalyst, cold": Spread(150, 250),
}
"""By class name. Hot hide glue is brushed on both faces and cyanoacrylate is applied in drops: no figure."""

COVERAGES = {
    "Drying oil (boiled linseed / tung), wiped": Coverage(8.6, 14.7),
    "Drying oil + wax (hardwax-oil type)": Coverage(19.6, 29.5),
    "Danish-type oil/varnish blend": Coverage(8.6, 14.7),
    "Wiping varnish": Coverage(9.8, 14.7),
    "Polyurethane, oil": Coverage(8.6, 12.3),
    "Polyurethane, water-based": Coverage(8.6, 12.3),
    "Shellac, 2-lb cut": Coverage(7.4, 12.3),
    "Lacquer, nitrocellulose, sprayed": Coverage(4.9, 8.6),
}
"""By class name. Paste wax has no figure."""


def spread_of(glue: str) -> Spread | None:
    """The spread rate of a glue as a build file names it; None where no figure is known."""
    known = glue_named(glue)
    return SPREADS.get(known.name) if known else None


def coverage_of(finish: str) -> Coverage | None:
    """The coverage of a finish as a build file names it; None where no figure is known."""
    known = finish_named(finish)
    return COVERAGES.get(known.name) if known else None
