"""What importing another tablet's record would bring and change: shown before the import."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from msgspec import Struct

from tracker.cards.marks import Tone
from tracker.words import say, say_many
from tracker.work.facts import Entry, Spoiled, Undone
from tracker.work.state.state import State

DOUBTFUL_BEFORE = 2020
"""A time before any tablet ran this app: its clock had lost the date. The facts are true; their times aren't."""
MOST_NAMED = 8
"""The most pieces named on a line; the rest are counted."""


class TakeInRow(Struct, frozen=True, kw_only=True):
    """One line; a `heading` has no tone."""

    title: str
    said: str = ""
    tone: Tone = "ready"
    heading: bool = False


class TakeInCard(Struct, frozen=True, kw_only=True):
    """The result of an import. `undoes`: something that is done here would no longer be done."""

    title: str
    rows: tuple[TakeInRow, ...]
    undoes: bool
    empty: str = say("Everything in this file is known here already.")


def take_in_card(before: State, after: State, new: Sequence[Entry], tablet: str) -> TakeInCard:
    """Compare the present state with the state after the import. `new` are the entries to come, `tablet` is the name of
    this tablet."""
    gone, done = _changes(before, after)
    undone = [entry.fact for entry in new if isinstance(entry.fact, Undone)]
    here = [fact for fact in undone if (fact.tablet, fact.count) in before.subjects]
    mine = sum(fact.tablet == tablet for fact in here)
    spoiled = [entry.fact for entry in new if isinstance(entry.fact, Spoiled)]
    against: list[TakeInRow] = []
    against += (_row(run, steps, say("would no longer be done"), "caution") for run, steps in gone.items())
    if here:
        said = say("{mine} made on this tablet", mine=mine) if mine else ""
        against.append(
            TakeInRow(
                title=say_many("Takes back {count} mark", "Takes back {count} marks", len(here)),
                said=said,
                tone="caution",
            )
        )
    if spoiled:
        items = [say("{item} of {build}", item=_item(fact.item), build=_build(fact.run)) for fact in spoiled]
        title = say_many(
            "{count} piece spoiled on another tablet", "{count} pieces spoiled on another tablet", len(spoiled)
        )
        against.append(TakeInRow(title=title, said=_named(items), tone="caution"))
    rows: list[TakeInRow] = []
    if against:
        rows += (TakeInRow(title=say("What it changes here"), heading=True), *against)
    if done:
        rows.append(TakeInRow(title=say("What it adds"), heading=True))
        rows += (_row(run, steps, say("done"), "done") for run, steps in done.items())
    if new:
        rows.append(TakeInRow(title=say("Where it comes from"), heading=True))
        rows += _tablets(new)
    title = say_many("{count} new fact", "{count} new facts", len(new)) if new else say("Nothing new")
    return TakeInCard(title=title, rows=tuple(rows), undoes=bool(gone or here))


def take_in_lines(card: TakeInCard) -> Iterable[str]:
    """The same for a terminal."""
    yield f"{card.title}." if card.rows else card.empty
    for row in card.rows:
        yield f"{row.title}:" if row.heading else f"  {row.title}{': ' if row.said else ''}{row.said}"


Steps = dict[str, list[str]]
"""By run: an item and a step of it, in words."""


def _changes(before: State, after: State) -> tuple[Steps, Steps]:
    """What is done now and would no longer be, and what would be done and isn't now."""
    was, will = before.ticks, after.ticks
    gone: Steps = {}
    done: Steps = {}
    for key in sorted({*was, *will}):
        old, new = ({tick.step for tick in ticks.get(key, ())} for ticks in (was, will))
        for into, steps in ((gone, old - new), (done, new - old)):
            into.setdefault(key[0], []).extend(f"{_item(key[1])} {step}" for step in sorted(steps))
    return {run: steps for run, steps in gone.items() if steps}, {run: steps for run, steps in done.items() if steps}


def _row(run: str, steps: list[str], word: str, tone: Tone) -> TakeInRow:
    return TakeInRow(
        title=f"{_build(run)}: {say_many('{count} step', '{count} steps', len(steps))} {word}",
        said=_named(steps),
        tone=tone,
    )


def _tablets(new: Sequence[Entry]) -> Iterable[TakeInRow]:
    count = Counter(entry.tablet for entry in new)
    for tablet, number in sorted(count.items()):
        times = [entry.at for entry in new if entry.tablet == tablet]
        doubtful = sum(at.year < DOUBTFUL_BEFORE for at in times)
        first, last = min(times), max(times)
        said = say("{first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M} (UTC)", first=first, last=last)
        if doubtful:
            said = say_many(
                "{said}; {count} time can't be right: its clock had lost the date",
                "{said}; {count} times can't be right: its clock had lost the date",
                doubtful,
                said=said,
            )
        yield TakeInRow(
            title=say_many("Tablet {tablet}: {count} fact", "Tablet {tablet}: {count} facts", number, tablet=tablet),
            said=said,
            tone="waiting" if doubtful else "ready",
        )


def _named(words: Sequence[str]) -> str:
    more = len(words) - MOST_NAMED
    return ", ".join(words[:MOST_NAMED]) + (say(" and {more} more", more=more) if more > 0 else "")


def _item(key: str) -> str:
    return key.replace(":", " ").replace("/", " ")


def _build(run: str) -> str:
    return run.partition("#")[0]
