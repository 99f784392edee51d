"""`[air]`, `rings`, `fastens`, `[[loads]]`: the air around the wood, how it was sawn, how it is held, its loads."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast, get_args

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.in_use import Air, Fastened, FastenedBy, Load
from tracker.design.model import Part
from tracker.design.name_lookup import nearest
from tracker.design.sections.common import identifier
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.measure import Angle
from tracker.words import say

MOST_LOADS = 100
RINGS: dict[str, Angle] = {"flat": 0.0, "rift": 45.0, "quarter": 90.0}

_ring_angle = values.angle_within(90)


def rings(raw: object, meaning: Meaning) -> Angle:
    """How a board was sawn: a word, or the degrees between its growth rings and its face."""
    if isinstance(raw, str) and raw.strip().lower() in RINGS:
        return RINGS[raw.strip().lower()]
    if isinstance(raw, str) and not any(sign.isdigit() for sign in raw) and not values.is_formula(raw):
        raise BadValueError(
            say("can't be {kind}", kind=values.kind_of(raw)),
            say("one of: {rings}, or an angle", rings=", ".join(RINGS)),
        )
    return _ring_angle(raw, meaning)


def read_air(table: Table) -> Air:
    """The build's air. Values that the file doesn't give are defaults."""
    shop = table.read("shop", _humidity)
    home = table.read_list("home", _humidity)
    celsius = table.read("temperature", values.temperature)
    if "home" in table and table.count("home") != 2:
        table.problem(say("'home' has two humidities"), say("the driest and the dampest: home = [35, 65]"), "home")
    elif len(home) == 2 and home[0] > home[1]:
        table.problem(say("the driest is damper than the dampest"), say("the driest first"), "home")
    table.close()
    plain = Air()
    given = {"shop": shop is not None, "home": len(home) == 2, "temperature": celsius is not None}
    driest, dampest = home if len(home) == 2 else (plain.driest, plain.dampest)
    shop = plain.shop if shop is None else shop
    if any(given.values()) and driest <= dampest and not driest <= shop <= dampest:
        way = "shrink" if shop > dampest else "swell"
        table.note(
            say("the shop's air is outside what the piece will live in: it will only {way}", way=way), "", "shop"
        )
    return Air(
        shop=shop, driest=driest, dampest=dampest, celsius=plain.celsius if celsius is None else celsius,
        defaulted=frozenset(name for name, said in given.items() if not said),
    )  # fmt: skip


def _humidity(raw: object, meaning: Meaning) -> float:
    found = float(values.number(raw, meaning, say("a relative humidity in percent")))
    if not 0 < found < 100:
        raise BadValueError(say("must be more than 0 and less than 100 percent"))
    return found


def read_fastens(table: Table, joins: Sequence[tuple[str, int]]) -> tuple[Fastened, ...]:
    """How an assembly holds the pieces it joins."""
    group = table.group("fastens")
    if group is None:
        return ()
    ids = [id_ for id_, _ in joins]
    found = []
    for id_ in group.keys():  # noqa: SIM118 - Table isn't a dict
        one = group.group(id_)
        if one is None:
            continue
        if id_ not in ids:
            group.problem(say("'{name}' is not joined here", name=id_), nearest(id_, ids), id_)
        by = one.choice("by", get_args(FastenedBy), required=True)
        one.choice("held", ("middle",))
        at = one.read_list("at", values.offset, single=True)
        shank, arm, depth = (one.read(name, values.positive_length) for name in ("shank", "arm", "depth"))
        through = one.read("through", identifier) or ""
        if by in ("slots", "figure eights", "buttons") and one.count("at") == 0:
            one.problem(
                say("'at' is missing: where the {by} are", by=by),
                say("distances from where it is held, across the grain"),
            )
        if by == "figure eights" and "arm" not in one:
            one.problem(say("a figure eight needs 'arm'"), say("what it measures between its two screws"))
        if by == "groove" and "depth" not in one:
            one.problem(say("a panel in a groove needs 'depth'"), say("how deep the groove is"))
        one.close()
        found.append(
            Fastened(
                id=id_, by=cast(FastenedBy, by or "screws"), at=at, shank=shank, arm=arm, depth=depth, through=through,
                line=one.line(),
            )
        )  # fmt: skip
    return tuple(found)


def read_loads(tables: Sequence[Table], parts: Sequence[Part]) -> tuple[Load, ...]:
    """Every load, with the part that carries it."""
    ids = [part.id for part in parts]
    return tuple(_load(table, ids, parts) for table in tables)


def _load(table: Table, ids: Sequence[str], parts: Sequence[Part]) -> Load:
    on = table.read("on", identifier, required=True) or ""
    if on and on not in ids:
        table.problem(say("no part is called '{on}'", on=on), nearest(on, ids), "on")
    weight = table.read("weight", values.kilograms, required=True)
    spread = table.choice("spread", ("even", "middle"))
    span = table.read("span", values.positive_length)
    edge, years = table.read("on_edge", values.yes_or_no), table.read("years", values.yes_or_no)
    part = next((each for each in parts if each.id == on), None)
    if span and part is not None and part.length and span > part.length:
        table.problem(say("the span is longer than the part"), say("from support to support"), "span")
    table.close()
    return Load(
        on=on, kilograms=weight or 1.0, spread="middle" if spread == "middle" else "even", span=span,
        on_edge=bool(edge), years=bool(years), line=table.line(),
    )  # fmt: skip
