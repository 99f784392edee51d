"""Rough wood: its thickness as bought, what milling takes off, and boards of random width, bought by volume."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.model import ByVolume, Mill
from tracker.design.tables.grades import GRADES, NARROWEST, WIDEST, grade_named
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.measure import Length, inches
from tracker.words import say

FACE, EDGE, ENDS, SHORTEST = inches("3/16"), inches("1/4"), inches(1), inches(12)
"""What milling takes off where the file doesn't say (off the thickness in all, off each width, off each end of a
board), and the length below which a piece isn't milled by itself; common practice, no source."""
MOST_OVER = 200
_QUARTERS = {f"{n}/4": n for n in range(3, 17)}


def read_rough(table: Table) -> tuple[Length | None, Mill | None]:
    """`rough`, in quarters of an inch or as a length, and `mill`."""
    rough = table.read("rough", _quarters)
    group = table.group("mill")
    if group is not None and "rough" not in table:
        table.problem(say("'mill' is what comes off rough wood: 'rough' is missing"), say('rough = "4/4"'), "mill")
    given = {name: group.read(name, values.length) if group else None for name in ("face", "edge", "ends", "shortest")}
    if group is not None:
        group.close()
    if rough is None:
        return None, None
    usual = {"face": FACE, "edge": EDGE, "ends": ENDS, "shortest": SHORTEST}
    mill = Mill(**{name: usual[name] if taken is None else taken for name, taken in given.items()})
    if mill.face >= rough:
        table.problem(say("milling takes off more than the wood is thick"), "", "mill")
        return rough, None
    return rough, mill


def read_by_volume(table: Table, sheet: bool) -> ByVolume | None:
    """`widths`, `grade`, `over` and a price by volume; None for boards sold by length."""
    widths = table.read("widths", _widths)
    name, over = table.read("grade", values.name), table.read("over", _percent)
    grade = grade_named(name) if name else None
    if name and grade is None:
        table.problem(
            say("no grade is called '{name}'", name=name),
            say("one of: {grades}", grades=", ".join(each.name for each in GRADES)),
            "grade",
        )
    if widths is None:
        for key in ("grade", "over", "price_per_cubic_metre"):
            if key in table:
                table.problem(
                    say("'{key}' is for wood of random widths", key=key), say('widths = "random", or ["5", "11"]'), key
                )
        return None
    for key in ("width", "lengths", "prices", "sheets", "price_per_foot", "price_per_metre"):
        if key in table:
            table.problem(
                say("wood of random widths has no '{key}'", key=key),
                say("it is bought by volume; its boards go on the rack"),
                key,
            )
    if "rough" not in table and not sheet:
        table.problem(
            say("wood of random widths needs 'rough': what it is thick as it is bought"), say('rough = "4/4"'), "widths"
        )
    rate, unit = _rate(table)
    low, high = widths
    return ByVolume(
        narrowest=max(low, grade.narrowest) if grade and low == NARROWEST else low,
        widest=high, grade=grade.name if grade else "", over=over, rate=rate, unit=unit,
    )  # fmt: skip


def _rate(table: Table) -> tuple[Decimal | None, Literal["board foot", "m³"]]:
    feet = table.read("price_per_board_foot", values.money)
    metres = table.read("price_per_cubic_metre", values.money)
    if "price_per_board_foot" in table and "price_per_cubic_metre" in table:
        table.problem(say("two prices say what it costs"), say("keep one of them"), "price_per_cubic_metre")
    return (metres, "m³") if metres is not None else (feet, "board foot")


def _quarters(raw: object, meaning: Meaning) -> Length:
    """A thickness in quarters: `4/4` is one inch (trade custom). Other fractions are lengths."""
    if isinstance(raw, str) and raw.strip() in _QUARTERS:
        return inches(_QUARTERS[raw.strip()]) / 4
    return values.positive_length(raw, meaning)


def _widths(raw: object, meaning: Meaning) -> tuple[Length, Length]:
    if raw == "random":
        return NARROWEST, WIDEST
    if not isinstance(raw, list) or len(raw) != 2:
        raise BadValueError(say("must be 'random', or the narrowest and the widest"), '["5", "11"]')
    low, high = (values.positive_length(each, meaning) for each in raw)
    if low > high:
        raise BadValueError(say("the narrowest is wider than the widest"), '["5", "11"]')
    return low, high


def _percent(raw: object, meaning: Meaning) -> int:
    found = values.number(raw, meaning, say("a percentage"))
    if not 0 <= found <= MOST_OVER:
        raise BadValueError(say("must be from 0 to {most} percent", most=MOST_OVER))
    return round(float(found))
