"""`[[assemblies]]`: what is joined to what, and how."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from tracker.design import values
from tracker.design.model import Assembly, Fastening, Finish, Glue
from tracker.design.name_lookup import nearest
from tracker.design.route_words import COARSEST, FINEST
from tracker.design.sections.build import MOST_COPIES
from tracker.design.sections.common import lines_under, read_names, read_route
from tracker.design.sections.in_use import read_fastens
from tracker.design.sections.own_steps import read_notes, read_own_steps
from tracker.design.sections.parts import MOST_OF_A_PART
from tracker.design.sections.places import read_placing
from tracker.design.tables.finishes import FINISHES, finish_named
from tracker.design.tables.glues import GLUES, glue_named
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.words import say

FASTENINGS = ("glue", "screws", "glue and screws", "dry")
MOST_ASSEMBLIES = 200
MOST_CLAMPS = 200
MOST_COATS = 20
_GLUE_TIMES = ("open_time", "clamp_time", "cure_time")

_how_many = values.count_within(1, MOST_OF_A_PART)


def read_assemblies(tables: Sequence[Table]) -> tuple[Assembly, ...]:
    """Every assembly, in the order of the file, each with quantity 1. `tracker.design.assembly_counts` counts them."""
    return tuple(_assembly(table) for table in tables)


def _assembly(table: Table) -> Assembly:
    assembly_id, name = read_names(table)
    by = table.choice("by", FASTENINGS, required="glue" not in table)
    glued = by is None or "glue" in by
    if by and not glued:
        for key in ("glue", *_GLUE_TIMES):
            if key in table:
                hint = say("by = 'glue and screws'?") if by == "screws" else say("by = 'glue'?")
                table.problem(say("'{key}' can't be used with by = '{by}'", key=key, by=by), hint, key)
    glue, finish = _glue(table, bool(by) and glued), _finish(table.group("finish"))
    joins, steps = _joins(table), read_own_steps(table)
    notes, step_notes = read_notes(table)
    assembly = Assembly(
        id=assembly_id,
        name=name,
        quantity=1,
        copies=table.read("copies", values.count_within(1, MOST_COPIES)) or 1,
        joins=joins,
        by=cast(Fastening, by or "glue"),
        glue=glue if glued else None,
        clamps=table.read("clamps", values.count_within(0, MOST_CLAMPS)) or 0,
        route=read_route(table, steps),
        finish=finish,
        prove=table.read_list("prove", _proof, single=True),
        steps=steps,
        notes=notes,
        step_notes=step_notes,
        **read_placing(table, joins),
        fastens=read_fastens(table, joins),
        line=table.line(),
        lines=lines_under(table),
    )
    table.close()
    return assembly


def _joins(table: Table) -> tuple[tuple[str, int], ...]:
    if "joins" not in table:
        table.problem(say("'joins' is missing"), say("joins = { side = 6 }"))
        return ()
    group = table.group("joins")
    if group is None:
        return ()
    joined = [(key, group.read(key, _how_many)) for key in group.keys()]  # noqa: SIM118 - Table isn't a dict
    if not joined:
        table.problem(say("'joins' names no piece"), say("joins = { side = 6 }"), "joins")
    return tuple((key, count or 0) for key, count in joined)


def _glue(table: Table, wanted: bool) -> Glue | None:
    """The glue with its three times: the file's, or else those of its class."""
    own = {key: table.read(key, values.span) for key in _GLUE_TIMES}
    if "glue" not in table:
        if wanted:
            table.problem(
                say("it is glued, but 'glue' doesn't say with what"), say("such as: {glues}", glues=GLUES[2].name)
            )
        return None
    name = table.read("glue", values.name)
    if name is None:
        return None
    known = glue_named(name)
    missing = [key for key in _GLUE_TIMES if key not in table]
    if known is None and missing:
        hint = nearest(name, [each for glue in GLUES for each in (glue.name, *glue.other_names)])
        others = say("known: {glues}", glues="; ".join(glue.name for glue in GLUES))
        table.problem(
            say("'{name}' is not in the glue table: {listed} must be given", name=name, listed=_listed(missing)),
            hint or others,
            "glue",
        )
    if known is None:
        open_time, clamp_time, cure_time = own.values()
        if open_time is None or clamp_time is None or cure_time is None:
            return None
        return Glue(name=name, open_time=open_time, clamp_time=clamp_time, cure_time=cure_time)
    return Glue(
        name=name,
        open_time=own["open_time"] or known.open_time,
        clamp_time=own["clamp_time"] or known.clamp_time,
        cure_time=own["cure_time"] or known.cure_time,
        defaulted=frozenset(key.removesuffix("_time") for key in missing),
    )


def _finish(table: Table | None) -> Finish | None:
    """The finish with its coats and waits: the file's, or else those of its class."""
    if table is None:
        return None
    kind = table.read("kind", values.name, required=True)
    coats = table.read("coats", values.count_within(1, MOST_COATS))
    recoat, cure = table.read("recoat", values.span), table.read("cure", values.span)
    limit = table.read("recoat_limit", values.span)
    if recoat and limit and limit < recoat:
        table.problem(
            say("'recoat_limit' is sooner than 'recoat'"), say("it is the latest for the next coat"), "recoat_limit"
        )
    sand_between = table.read("sand_between", values.count_within(COARSEST, FINEST))
    missing = [key for key in ("recoat", "cure") if key not in table]
    table.close()
    if kind is None:
        return None
    known = finish_named(kind)
    if known is None:
        if missing:
            hint = nearest(kind, [each for one in FINISHES for each in (one.name, *one.other_names)])
            others = say("known: {finishes}", finishes="; ".join(each.name for each in FINISHES))
            table.problem(
                say("'{kind}' is not in the finish table: {listed} must be given", kind=kind, listed=_listed(missing)),
                hint or others,
                "kind",
            )
        if recoat is None or cure is None:
            return None
        return Finish(
            kind=kind, coats=coats or 1, recoat=recoat, cure=cure, sand_between=sand_between, recoat_limit=limit
        )
    if "coats" not in table:
        missing.append("coats")
    return Finish(
        kind=kind,
        coats=coats or known.coats,
        recoat=recoat or known.recoat,
        cure=cure or known.cure,
        sand_between=sand_between,
        recoat_limit=limit or known.recoat_limit,
        limit_defaulted=limit is None and known.recoat_limit is not None,
        defaulted=frozenset(missing),
    )


def _proof(raw: object, meaning: Meaning) -> str:
    return values.words(raw, say("what is proved"), 200)


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else say("{names} and {others}", names=", ".join(names[:-1]), others=names[-1])
