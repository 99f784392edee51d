"""Readers and limits that several sections share."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.lines import Lines
from tracker.design.own_step import OwnStep
from tracker.design.route_words import operation
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.measure import Length
from tracker.words import say

UNKNOWN = Length(Fraction(0))
"""Replaces a length whose problem has been reported; no build is returned then."""

MOST_FEATURES = 60
"""The most rows of holes, tapers or laps of one part, and the most holes in a row."""

_ID = re.compile(r"[A-Za-z0-9_-]{1,32}\Z")


def identifier(raw: object, meaning: Meaning) -> str:
    """A short name for references and labels."""
    found = values.words(raw, say("a short name"))
    if not _ID.match(found):
        raise BadValueError(say("'{found}' can't be used", found=found), say("1 to 32 letters, digits, - and _"))
    return found


def read_names(table: Table) -> tuple[str, str]:
    """The id and the name of a part or an assembly. Later problems of this table begin with that name."""
    short = table.read("id", identifier, required=True) or ""
    name = table.read("name", values.name) or short
    table.called = f"{name}: " if name else ""
    return short, name


def read_route(table: Table, steps: Sequence[OwnStep] = ()) -> tuple[str, ...] | None:
    """The route as written, with own `steps` by their words, or None for the default route."""
    if "route" not in table:
        return None
    own = {step.do.lower(): step.do for step in steps}

    def word(raw: object, meaning: Meaning) -> str:
        known = own.get(" ".join(raw.lower().split())) if isinstance(raw, str) and len(raw) < 200 else None
        return known or operation(raw, meaning)

    route = table.read_list("route", word)
    if table.count("route") == 0:
        table.problem(say("'route' is empty"), say("leave it out for the usual route"), "route")
    return route


def lines_under(table: Table) -> Lines:
    """The line of every key of a table; nested keys are joined by dots, and `""` is the table's own line."""
    return Lines(table.page.under(table.path))


def limited(part: Table, key: str, most: int) -> list[Table]:
    """The rows of a list, up to the most that a part may have."""
    tables = part.groups(key)
    if len(tables) > most:
        part.problem(say("more than {most} {key}", most=most, key=key), "", key)
    return tables[:most]
