"""What happened, newest first: each entry in words, and whether it can still be undone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from itertools import islice
from typing import Any

from msgspec import Struct

from tracker.cards.keypad.length import signed
from tracker.cards.marks import Sign
from tracker.floor.floor import Floor
from tracker.measure.length import of_grid
from tracker.measure.span import Span, rough
from tracker.words import say, say_many
from tracker.words.dates import time_of_day
from tracker.work import facts
from tracker.work.clocks.waits import degrees
from tracker.work.decide.intents import UndoEntry
from tracker.work.facts import EntryId
from tracker.work.operations import step_named
from tracker.work.state.records import HistoryEntry

PAGE = 100
"""The most entries listed at once."""


class HistoryRow(Struct, frozen=True, kw_only=True):
    """One entry."""

    id: EntryId
    title: str
    said: str
    tone: Sign


class HistoryCard(Struct, frozen=True, kw_only=True):
    """The newest entries. `chosen` is the selected one (by default the newest one in effect); `intent` undoes it."""

    title: str
    rows: tuple[HistoryRow, ...]
    more: int
    """How many older ones there are."""
    chosen: HistoryRow | None
    intent: UndoEntry | None
    why: str
    """Why the chosen one can't be undone; empty when it can."""
    empty: str = say("Nothing has happened yet.")


def history_card(floor: Floor, key: str = "", chosen: EntryId | None = None, most: int = PAGE) -> HistoryCard:
    """The history of the run and the shop, or of one item."""
    run, state = floor.run, floor.state
    if key:
        past = list(state.history(run, floor.item(key)))
    else:
        past = sorted((*state.history(run), *state.shop.history.rows), key=lambda each: each.entry.rank, reverse=True)
    past = [each for each in past if type(each.entry.fact) in WORDS]
    rows = tuple(_row(floor, each) for each in islice(past, most))
    row = next((row for row in rows if row.id == chosen), next((row for row in rows if row.tone), None))
    intent = UndoEntry(row.id, run=floor.run.name) if row else None
    refusal = floor.refusal(intent) if intent else None
    return HistoryCard(
        title=floor.item(key).title if key else say("The whole build"),
        rows=rows,
        more=max(0, len(past) - most),
        chosen=row,
        intent=intent,
        why=refusal.reason if refusal else "",
    )


def _row(floor: Floor, past: HistoryEntry) -> HistoryRow:
    entry = past.entry
    title, said = WORDS[type(entry.fact)](floor, entry.fact)
    today = floor.local(floor.now.wall)
    when = time_of_day(floor.local(entry.at), today)
    if past.undone_by is not None:
        when, said = say("undone {when}", when=time_of_day(floor.local(past.undone_by.at), today)), ""
    tone: Sign = "" if past.undone_by else "done"
    return HistoryRow(id=entry.id, title=title, said=f"{when}{f' · {said}' if said else ''}", tone=tone)


def ago(at: datetime, now: datetime) -> str:
    """`12 min ago`, `2 days ago`; `just now` within a minute."""
    seconds = (now - at).total_seconds()
    return say("just now") if seconds < 60 else say("{time} ago", time=rough(seconds))


def words_of(floor: Floor, fact: Any) -> str:
    """A fact in one line: `Leg 2: drilled`."""
    words = WORDS.get(type(fact))
    return words(floor, fact)[0] if words else ""


def _name(floor: Floor, key: str) -> str:
    return floor.run.items[key].short if key in floor.run.items else key


def _done(floor: Floor, fact: facts.Done) -> tuple[str, str]:
    item = floor.run.items.get(fact.item)
    step = (item.step(fact.step) if item else None) or step_named(fact.step)
    said = [
        f"{say(fact.anyway)} ({fact.against})" if fact.anyway else "",
        say("from {board}", board=fact.board) if fact.board else "",
    ]
    return f"{_name(floor, fact.item)}: {step.past}", ", ".join(word for word in said if word)


def _measured(floor: Floor, fact: facts.Measured) -> tuple[str, str]:
    planned, actual = of_grid(fact.planned), of_grid(fact.actual)
    title = f"{_name(floor, fact.item)}: {fact.what} {floor.read(actual).text}"
    return title, signed(planned, actual, floor.run.build.shop.mark)


def _labelled(floor: Floor, fact: facts.Labelled) -> tuple[str, str]:
    count = len(fact.items)
    return say_many("{count} label made", "{count} labels made", count), _name(
        floor, fact.items[0]
    ) if count == 1 else ""


def _opened(floor: Floor, fact: facts.Opened) -> tuple[str, str]:
    return say("Build opened"), (
        say("{file}, revision {revision}", file=fact.file, revision=fact.revision) if fact.revision else fact.file
    )


def _swapped(floor: Floor, fact: facts.Swapped) -> tuple[str, str]:
    return say("{name} and {other} changed places", name=_name(floor, fact.item), other=_name(floor, fact.twin)), ""


def _planned(floor: Floor, fact: facts.BoardsPlanned) -> tuple[str, str]:
    count = len(fact.boards)
    return say("Board plan kept"), say_many("{count} board", "{count} boards", count)


def _racked(floor: Floor, fact: facts.Racked) -> tuple[str, str]:
    what = say("Board") if fact.rough_ends else say("Offcut")
    wide = f"{floor.read(of_grid(fact.width)).text} × " if fact.width else ""
    return say("{what} {name} to the rack", what=what, name=fact.name), f"{wide}{floor.read(of_grid(fact.length)).text}"


def _moisture_read(floor: Floor, fact: facts.MoistureRead) -> tuple[str, str]:
    return say(
        "{name}: {percent:g} % moisture", name=_name(floor, fact.of).removeprefix("rack/"), percent=fact.percent
    ), say("by the meter")


def _overruled(floor: Floor, fact: facts.Overruled) -> tuple[str, str]:
    return f"{_name(floor, fact.item)}: {fact.wait} {Span(fact.seconds).text}", say("label: {why}", why=say(fact.why))


def _proven(floor: Floor, fact: facts.Proven) -> tuple[str, str]:
    said = ", ".join(word for word in (fact.result, say("by {by}", by=fact.by) if fact.by else "") if word)
    return (
        say("{name}: {check} passed", name=_name(floor, fact.item), check=fact.check)
        if fact.passed
        else say("{name}: {check} failed", name=_name(floor, fact.item), check=fact.check)
    ), said


def _air(floor: Floor, fact: facts.Air) -> tuple[str, str]:
    return say(
        "Shop air {celsius}, {humidity:.0f} %",
        celsius=degrees(fact.celsius, floor.run.build.units),
        humidity=fact.humidity,
    ), ""


Words = Callable[[Floor, Any], tuple[str, str]]
WORDS: dict[type, Words] = {
    facts.Done: _done,
    facts.Measured: _measured,
    facts.Spoiled: lambda floor, fact: (
        say("{name}: scrapped, made again", name=_name(floor, fact.item)),
        say(fact.why),
    ),
    facts.SetAside: lambda floor, fact: (say("{name}: set aside", name=_name(floor, fact.item)), say(fact.why)),
    facts.Resumed: lambda floor, fact: (say("{name}: back in work", name=_name(floor, fact.item)), ""),
    facts.Noted: lambda floor, fact: (f"{_name(floor, fact.item)}: {fact.text}", say("note")),
    facts.Checked: lambda floor, fact: (
        say("{name}: {check} checked", name=_name(floor, fact.item), check=fact.check),
        "",
    ),
    facts.CheckedIn: lambda floor, fact: (
        say("{name} in at {assembly}", name=_name(floor, fact.piece), assembly=_name(floor, fact.item)),
        "",
    ),
    facts.Answered: lambda floor, fact: (say("Alarm stopped"), ""),
    facts.Swapped: _swapped,
    facts.Labelled: _labelled,
    facts.Opened: _opened,
    facts.BoardsPlanned: _planned,
    facts.Racked: _racked,
    facts.GivenBack: lambda floor, fact: (say("Board {name} given back", name=fact.name), ""),
    facts.MoistureRead: _moisture_read,
    facts.Overruled: _overruled,
    facts.Proven: _proven,
    facts.Air: _air,
    facts.ClockConfirmed: lambda floor, fact: (say("Clock confirmed"), ""),
}
