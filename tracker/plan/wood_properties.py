"""Properties of each wood: weight, stiffness, and how it moves with the seasons.

Values: woods.csv beside this file, from the Wood Handbook (USDA Forest Products Laboratory, FPL-GTR-190, 2010), each
group marked `read` (in the named table) or `from memory`. A value from memory is never shown as a cited fact.
"""

from __future__ import annotations

import csv
import re
from functools import cache
from importlib.resources import files
from typing import Literal

from msgspec import Struct

from tracker.design.tables.species import species_named

Evidence = Literal["read", "from memory"]


class Species(Struct, frozen=True, kw_only=True):
    """One wood of the table. A field is None where the table has no value. Moisture contents are in percent."""

    name: str
    radial: float
    """Change of width per percent of moisture content, quarter-sawn, between 6 and 14 %."""
    tangential: float
    """The same, flat-sawn."""
    coefficients_are: Evidence
    radial_shrinkage: float | None
    """Shrinkage from green to ovendry, in percent of the green size."""
    tangential_shrinkage: float | None
    shrinkage_is: Evidence
    fibre_saturation: float
    """The moisture content below which the wood shrinks, in percent; the table's assumption."""
    gravity: float | None
    """At 12 % moisture content."""
    density: float | None
    """kg/m³ at 12 % moisture content."""
    stiffness: float | None
    """Modulus of elasticity at 12 % moisture content, in MPa."""
    gravity_and_stiffness_are: Evidence
    source: str
    note: str

    @property
    def plain(self) -> str:
        """`western redcedar`, as people say it, from the table's `Cedar, western redcedar`."""
        head, _, rest = re.sub(r"\s*\(.*\)|, commercial", "", self.name).partition(", ")
        head = head if head == "Douglas-fir" else head.lower()
        if not rest:
            return head
        return rest if head in rest else f"{rest} {head}"


@cache
def woods() -> tuple[Species, ...]:
    """Every wood of the table, in its order."""
    text = files("tracker.plan").joinpath("woods.csv").read_text(encoding="utf-8")
    return tuple(_species(row) for row in csv.DictReader(text.splitlines()))


def find(name: str) -> Species | None:
    """The wood meant by `name`: `white oak`, `Hard Maple`, `western red cedar`, `Oak, white`.

    None when the table has no such wood, or when the name could mean several of them (`oak`).
    """
    listed = species_named(name)
    return next((wood for wood in woods() if wood.name == listed), None)


def _species(row: dict[str, str]) -> Species:
    return Species(
        name=row["species"],
        radial=float(row["C_R"]),
        tangential=float(row["C_T"]),
        coefficients_are=_evidence(row["coefficients_are"]),
        radial_shrinkage=_number(row["S_R_pct"]),
        tangential_shrinkage=_number(row["S_T_pct"]),
        shrinkage_is=_evidence(row["shrinkage_is"]),
        fibre_saturation=float(row["M_fs_assumed"]),
        gravity=_number(row["G_12"]),
        density=_number(row["density12_kg_m3"]),
        stiffness=_number(row["MOE_MPa"]),
        gravity_and_stiffness_are=_evidence(row["gravity_and_moe_are"]),
        source=row["source"],
        note=row["note"],
    )


def _evidence(text: str) -> Evidence:
    return "read" if text == "read" else "from memory"


def _number(text: str) -> float | None:
    return float(text) if text else None
