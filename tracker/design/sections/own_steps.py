"""`steps` of a part or an assembly: what a maker does besides the known operations; and `notes` for a step."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import cast

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.model import Assembly, Part
from tracker.design.name_lookup import nearest
from tracker.design.own_step import STATION_NAMES, OwnStep, StationName, StepNumber
from tracker.design.route_words import NEWER, operation
from tracker.design.sections.common import identifier
from tracker.design.sections.step_numbers import doubt, step_number
from tracker.design.toml.table import Page, Table
from tracker.design.toposort import in_order
from tracker.design.values import Meaning
from tracker.words import say

MOST_STEPS = 60
MOST_STEP_NUMBERS = 12
LONGEST_DO = 60
_PICTURE = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_. -]{0,79}\.(?:png|jpe?g)\Z", re.IGNORECASE)


def read_own_steps(table: Table) -> tuple[OwnStep, ...]:
    """Every own step of a part or an assembly. Their places are checked with the routes, and their jigs by
    `check_jigs`."""
    tables = table.groups("steps")
    if len(tables) > MOST_STEPS:
        table.problem(say("more than {most} steps", most=MOST_STEPS), "", "steps")
    found: list[OwnStep] = []
    for row in tables[:MOST_STEPS]:
        step = _step(row)
        if step.do and any(step.do.lower() == other.do.lower() for other in found):
            row.problem(
                say("two steps are called '{do}'", do=step.do), say("a step's words are its name in the route"), "do"
            )
        elif step.do:
            found.append(step)
    return tuple(found)


def _step(row: Table) -> OwnStep:
    do = row.read("do", _do, required=True)
    after, before = row.read("after", _neighbour), row.read("before", _neighbour)
    if after and before:
        row.problem(say("'after' and 'before' both say where it comes in the route"), say("keep one of them"), "before")
    step = OwnStep(
        do=do or "",
        station=cast(StationName, row.choice("station", STATION_NAMES) or "bench"),
        after=after or "",
        before="" if after else before or "",
        numbers=_numbers(row),
        notes=row.read("notes", values.note) or "",
        picture=row.read("picture", picture_name) or "",
        tool=row.read("tool", values.name) or "",
        jig=row.read("jig", identifier) or "",
        line=row.line(),
    )
    row.close()
    return step


def _do(raw: object, meaning: Meaning) -> str:
    """The words of a step. A known operation is refused, since it belongs in the route."""
    found = " ".join(values.words(raw, say("what is done"), LONGEST_DO).split())
    if not found:
        raise BadValueError(say("must say what is done"), say('such as "bandsaw the curve"'))
    try:
        known = operation(found, meaning)
    except BadValueError:
        return found
    if known in NEWER:
        return found
    raise BadValueError(say("'{found}' is an operation that is known", found=found), say("put it in the route"))


def _neighbour(raw: object, meaning: Meaning) -> str:
    """An operation as a route writes it, or the words of another own step."""
    found = " ".join(values.words(raw, say("an operation, or another step")).split())
    try:
        return operation(found, meaning)
    except BadValueError:
        return found


def _numbers(row: Table) -> tuple[tuple[str, StepNumber], ...]:
    group = row.group("numbers")
    if group is None:
        return ()
    names = list(group.keys())
    if len(names) > MOST_STEP_NUMBERS:
        row.problem(say("more than {most_step_numbers} numbers", most_step_numbers=MOST_STEP_NUMBERS), "", "numbers")
    found = []
    for name in names[:MOST_STEP_NUMBERS]:
        value = group.read(name, step_number)
        if len(name) > 40 or not name.isprintable() or not name.strip():
            group.problem(say("the name of a number is a few words on one line"), "", name)
        elif value is not None:
            found.append((name.strip(), value))
            if hint := doubt(group.peek(name), group.page.meaning):
                group.note(say("'{name}' is taken as a length", name=name), hint, name)
    return tuple(found)


def picture_name(raw: object, meaning: Meaning) -> str:
    """The name of a PNG or JPEG file beside the build file; a path is refused."""
    found = values.words(raw, say("the name of a picture"), 85)
    if not _PICTURE.match(found):
        raise BadValueError(say("must be a PNG or JPEG file beside the build file"), say('such as "hub.png"'))
    return found


def check_jigs(page: Page, parts: Sequence[Part], assemblies: Sequence[Assembly]) -> frozenset[str]:
    """The ids of all jigs. The build must make a jig, which may neither need itself nor be joined to anything."""
    things: list[Part | Assembly] = [*parts, *assemblies]
    ids = [each.id for each in things]
    needs = {each.id: {step.jig for step in each.steps if step.jig in ids} for each in things}
    for assembly in assemblies:
        needs[assembly.id] |= {what for what, _ in assembly.joins if what in needs}
    _, circles = in_order(needs)
    in_circles = {frozenset(pair) for circle in circles for pair in pairwise(circle)}
    for each in things:
        for row, step in enumerate(each.steps):
            if step.jig and step.jig not in ids:
                hint = nearest(step.jig, ids) or say("a jig is a part with a card of its own; what is bought is a tool")
                _say(page, each, row, say("no part or assembly is called '{jig}'", jig=step.jig), hint)
            elif step.jig and (step.jig == each.id or frozenset((each.id, step.jig)) in in_circles):
                _say(page, each, row, say("'{jig}' would have to be made before itself", jig=step.jig), "")
    return frozenset(step.jig for each in things for step in each.steps if step.jig)


def _say(page: Page, thing: Part | Assembly, row: int, what: str, hint: str) -> None:
    name = say("{thing}: steps: ", thing=thing.name) if thing.name else ""
    page.say(thing.lines.get(f"steps.{row}.jig", thing.line), f"{name}{what}", hint)


def read_notes(table: Table) -> tuple[str, tuple[tuple[str, str], ...]]:
    """`notes`: text for the whole item, or a group with text for each step: `{ trim = "mark end A" }`."""
    if not isinstance(table.peek("notes"), dict):
        return table.read("notes", values.note) or "", ()
    group = table.group("notes")
    if group is None:
        return "", ()
    found = [(_noted(group, key), group.read(key, values.note)) for key in group.keys()]  # noqa: SIM118 - no dict
    return "", tuple((step, words) for step, words in found if step and words)


def _noted(group: Table, key: str) -> str:
    try:
        return _neighbour(key, group.page.meaning)
    except BadValueError as wrong:
        group.problem(str(wrong), say("an operation of the route, or the words of a step"), key)
        return ""
