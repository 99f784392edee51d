"""The glue-up checklist as a table: what to check before spreading the glue.

Common practice, no source. A line is checked by a person, or by the log itself (every part was scanned in). A line that
depends on the shop's air tells what is known about the air, or that nothing is.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from msgspec import Struct

from tracker.design.model import Assembly
from tracker.design.tables.glues import GlueClass, glue_named
from tracker.measure import Units
from tracker.words import say, say_many
from tracker.work.clocks.waits import degrees
from tracker.work.run import Item, Run
from tracker.work.state.state import State

LineState = Literal["done", "open", "against"]


class Line(Struct, frozen=True, kw_only=True):
    """A line of the checklist. `said`: what is known about it; `against`: what is known says no."""

    id: str
    name: str
    """The words in a list of unchecked lines: `wax paper`."""
    words: str
    state: LineState
    said: str = ""
    air: bool = False
    """Whether the line depends on the shop's air."""


def checklist(run: Run, state: State, item: Item) -> tuple[Line, ...]:
    """The lines for an assembly that is glued, in the order of work; empty for any other item."""
    assembly = run.build.assembly(item.id) if item.kind == "assembly" else None
    if assembly is None or assembly.glue is None or item.step("spread") is None:
        return ()
    glue, seen = glue_named(assembly.glue.name), state.checks(run, item)
    lines = []
    for row in _ROWS:
        words = row.words(assembly, glue, run.build.units)
        if not words:
            continue
        verdict, said = row.known(run, state, item, glue)
        if row.id in seen and verdict != "against":
            verdict = "done"
        lines.append(Line(id=row.id, name=row.name, words=words, state=verdict, said=said, air=row.air))
    return tuple(lines)


def unchecked(run: Run, state: State, item: Item) -> tuple[str, ...]:
    """The ids of the unchecked lines."""
    return tuple(line.id for line in checklist(run, state, item) if line.state != "done")


Known = tuple[LineState, str]
_OPEN: Known = ("open", "")


class _Row(Struct, frozen=True):
    id: str
    name: str
    words: Callable[[Assembly, GlueClass | None, Units], str]
    known: Callable[[Run, State, Item, GlueClass | None], Known] = lambda run, state, item, glue: _OPEN
    air: bool = False


def _parts_in(run: Run, state: State, item: Item, glue: GlueClass | None) -> Known:
    members, here = state.members(run, item), state.checked_in(run, item)
    aside = [run.items[key].short for key in members if state.aside(run, run.items[key])]
    if aside:
        return "against", say("{aside} is set aside", aside=aside[0])
    if members and len(here) == len(members):
        return "done", say("all {count} here", count=len(members))
    return "open", say("{done} of {count} here", done=len(here), count=len(members))


def _warm(run: Run, state: State, item: Item, glue: GlueClass | None) -> Known:
    if state.air is None:
        return "open", say("the shop's temperature was not entered")
    celsius = state.air.fact.celsius
    if glue is not None and celsius < glue.coldest:
        return "against", say("the shop is at {celsius}", celsius=degrees(celsius, run.build.units))
    return "open", say(
        "the shop is at {celsius}: feel the wood and the bottle", celsius=degrees(celsius, run.build.units)
    )


def _warm_words(assembly: Assembly, glue: GlueClass | None, units: Units) -> str:
    if glue is None:
        return say("Glue and wood as warm as the label asks")
    return say("Glue and wood {coldest} or warmer", coldest=degrees(glue.coldest, units))


def _fixed(words: str) -> Callable[[Assembly, GlueClass | None, Units], str]:
    return lambda assembly, glue, units: words


def _clamps(assembly: Assembly, glue: GlueClass | None, units: Units) -> str:
    count = assembly.clamps
    return (
        say_many("{count} clamp set and in reach", "{count} clamps set and in reach", count)
        if count
        else say("Clamps set and in reach")
    )


def _care(assembly: Assembly, glue: GlueClass | None, units: Units) -> str:
    return glue.care if glue else ""


_ROWS = (
    _Row("parts", say("parts"), _fixed(say("All parts here")), _parts_in),
    _Row("clamps", say("clamps"), _clamps),
    _Row("pads", say("pads"), _fixed(say("Pads under the jaws"))),
    _Row("paper", say("wax paper"), _fixed(say("Wax paper where glue could reach clamps and cauls"))),
    _Row("fresh", say("glue"), _fixed(say("Glue in date, not lumpy or stringy"))),
    _Row("warm", say("warmth"), _warm_words, _warm, air=True),
    _Row("care", say("what this glue needs"), _care),
    _Row("squeeze-out", say("scraper"), _fixed(say("Scraper or rag at hand for squeeze-out"))),
)
