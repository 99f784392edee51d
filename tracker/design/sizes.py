"""`[sizes]`: named sizes in any order, each computed after those it uses."""

from __future__ import annotations

import keyword
import re

from tracker.design import values
from tracker.design.formulas import FUNCTIONS, Number, names_in
from tracker.design.toml.table import Table
from tracker.design.toposort import in_order
from tracker.design.values import Meaning
from tracker.measure import parse_angle, parse_length
from tracker.words import say

MOST_SIZES = 200
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]{0,39}\Z")
_ANGLE = re.compile(r"deg|°|:")


def read_sizes(table: Table) -> dict[str, Number | None]:
    """Every size as a number: lengths in the build's units and angles in degrees. None: it is wrong, and that has been
    reported."""
    names = [name for name in table.keys() if _usable(table, name)]  # noqa: SIM118 - Table isn't a dict
    if len(names) > MOST_SIZES:
        table.problem(say("there are more than {most_sizes} sizes", most_sizes=MOST_SIZES))
        del names[MOST_SIZES:]
    sizes: dict[str, Number | None] = dict.fromkeys(names)
    uses = {name: names_in(formula) & sizes.keys() for name in names if (formula := table.formula(name))}
    order, circles = in_order({name: uses.get(name, frozenset()) for name in names})
    for circle in circles:
        hint = say("give one of them a number")
        table.problem(say("these sizes go round in a circle: {circle}", circle=" → ".join(circle)), hint, circle[0])
    for name in order:
        table.page.define(sizes=sizes)
        sizes[name] = table.read(name, size)
    table.page.define(sizes=sizes)
    return sizes


def size(raw: object, meaning: Meaning) -> Number:
    """One size: a bare number, a length, an angle or a formula."""
    if not isinstance(raw, str) or values.is_formula(raw):
        return values.number(raw, meaning, say("a number, a length, an angle or a formula"))
    written = values.words(raw, say("a length, an angle or a formula"))
    if _ANGLE.search(written):
        return parse_angle(written)
    return parse_length(written, meaning.units).per(meaning.units)


def _usable(table: Table, name: str) -> bool:
    if name in FUNCTIONS or name == "pi":
        table.problem(say("'{name}' is the name of a function", name=name), say("choose another name"), name)
    elif not _NAME.match(name) or keyword.iskeyword(name):
        hint = re.sub(r"[^A-Za-z0-9_]", "_", name) if re.match(r"[A-Za-z]", name) else ""
        table.problem(
            say("'{name}' can't be used in a formula", name=name), hint if hint != name and len(hint) < 40 else "", name
        )
    else:
        return True
    return False
