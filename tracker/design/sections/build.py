"""`[build]` and `[shop]`."""

from __future__ import annotations

from typing import TypeVar

from msgspec.structs import replace

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.model import WANDER, Shop
from tracker.design.tables.shop_defaults import ShopDefaults
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.measure import Length, Mark, Units, parse_length
from tracker.measure.tape_reading import MARKS
from tracker.words import say

STEEPEST = 89.0
MOST_COPIES = 200

T = TypeVar("T")


def read_units(table: Table) -> Units:
    """The build's units; inches where they are missing or wrong."""
    return "mm" if table.choice("units", ("in", "mm"), required=True) == "mm" else "in"


def read_build(table: Table) -> dict[str, str]:
    """The name, currency, revision and notes."""
    found = {
        "name": table.read("name", values.name, required=True),
        "currency": table.read("currency", values.name),
        "revision": table.read("revision", _revision),
        "notes": table.read("notes", values.note),
    }
    table.close()
    return {key: value or "" for key, value in found.items()}


def read_copies(table: Table) -> int:
    """How many copies of the build are made; 1 where the file doesn't say."""
    return table.read("copies", values.count_within(1, MOST_COPIES)) or 1


def read_shop(table: Table, units: Units, defaults: ShopDefaults) -> Shop:
    """The tablet's settings, overridden by `[shop]`."""
    ours = ShopDefaults(
        kerf=table.read("kerf", _kerf) or defaults.kerf,
        end_trim=_first(table.read("end_trim", values.length), defaults.end_trim),
        max_miter=_first(table.read("max_miter", values.angle_within(STEEPEST)), defaults.max_miter),
        max_bevel=_first(table.read("max_bevel", values.angle_within(STEEPEST)), defaults.max_bevel),
        mark=table.read("mark", mark) or defaults.mark or defaults.mark_of(units),
        least_offcut=table.read("least_offcut", values.positive_length) or defaults.least_offcut,
    )
    nest = table.read("nest_miters", values.yes_or_no)
    wander = _first(table.read("wander", values.length), WANDER)
    curves = {kind: table.read_list(kind, values.positive_length) for kind in ("blades", "bits", "drums")}
    table.close()
    return replace(ours.shop(units), nest_miters=bool(nest), wander=wander, **curves)


def mark(raw: object, meaning: Meaning) -> Mark:
    """The finest mark used on the tape. A bare fraction is a mark of an inch tape, regardless of the build's units."""
    written = raw if isinstance(raw, str) and not values.is_formula(raw) else None
    fraction = written is not None and "/" in written and len(written) <= values.LONGEST_VALUE
    found = parse_length(written, "in") if fraction and written else values.length(raw, meaning)
    for known in MARKS:
        if known.length == found:
            return known
    raise BadValueError(say("is not a mark of a tape"), say("1/8, 1/16, 1/32, 1/64, 1 mm or 0.5 mm"))


def _kerf(raw: object, meaning: Meaning) -> Length:
    found = values.positive_length(raw, meaning)
    if found.mm > 10:
        raise BadValueError(say("is wider than 10 mm"), say("the width of the cut that the blade leaves"))
    return found


def _revision(raw: object, meaning: Meaning) -> str:
    """A revision: a letter or a number."""
    return str(raw) if isinstance(raw, int) and not isinstance(raw, bool) else values.name(raw, meaning)


def _first(given: T | None, default: T) -> T:
    return default if given is None else given
