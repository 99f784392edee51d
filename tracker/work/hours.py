"""How long each operation took, computed from the times at which steps were ticked.

The log knows when something was done, not when it was begun. So a step's time is measured from the previous fact on the
same tablet. A gap longer than `LONGEST_GAP` is a break, another job or a night; nobody knows how much of it was work,
so none of it is counted, and the step counts as untimed. The sum is therefore a minimum, and says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from msgspec import Struct

from tracker.words import say
from tracker.work.facts import Done, Entry, EntryId, Undone, in_order
from tracker.work.operations import Station, Step, step_named
from tracker.work.run import Run

LONGEST_GAP_MINUTES = 45
LONGEST_GAP = LONGEST_GAP_MINUTES * 60
"""Seconds. A longer pause isn't counted as work."""


class Time(Struct, frozen=True, kw_only=True):
    """The time of one operation or station: `seconds` over `timed` steps, and the number of `untimed` steps, which
    followed a gap."""

    name: str
    seconds: float
    timed: int
    untimed: int

    @property
    def each(self) -> float | None:
        """Seconds per step, over the timed steps."""
        return self.seconds / self.timed if self.timed else None


class Hours(Struct, frozen=True, kw_only=True):
    """The time that a run took, as far as the log shows it."""

    operations: tuple[Time, ...]
    """By operation as the route names it, in the order in which they were first done."""
    stations: tuple[Time, ...]
    seconds: float
    timed: int
    untimed: int
    first: datetime | None
    last: datetime | None

    @property
    def words(self) -> str:
        """How reliable the figures are, in words."""
        if not (self.timed or self.untimed):
            return say("Nothing is done yet.")
        gaps = say(
            "; {untimed} more followed a pause of over {most} min and aren't counted",
            untimed=self.untimed,
            most=LONGEST_GAP_MINUTES,
        )
        return (
            say("At least, from {timed} steps that followed one another{gaps}.", timed=self.timed, gaps=gaps)
            if self.untimed
            else say("At least, from {timed} steps that followed one another.", timed=self.timed)
        )


def hours(run: Run, entries: Iterable[Entry]) -> Hours:
    """The time for each operation and station of a run. `entries` is the whole log, including other runs: what was
    ticked for those in between doesn't count for this run."""
    ordered = in_order(entries)
    undone: set[EntryId] = {
        (entry.fact.tablet, entry.fact.count) for entry in ordered if isinstance(entry.fact, Undone)
    }
    operations: dict[str, list[float | None]] = {}
    stations: dict[Station, list[float | None]] = {}
    before: dict[str, datetime] = {}
    times: list[datetime] = []
    for entry in ordered:
        last, before[entry.tablet] = before.get(entry.tablet), entry.at
        fact = entry.fact
        if not isinstance(fact, Done) or fact.run != run.name or entry.id in undone:
            continue
        step = _step(run, fact)
        gap = (entry.at - last).total_seconds() if last else None
        took = gap if gap is not None and 0 <= gap <= LONGEST_GAP else None
        times.append(entry.at)
        operations.setdefault(step.operation, []).append(took)
        stations.setdefault(step.station, []).append(took)
    every = [took for each in operations.values() for took in each]
    return Hours(
        operations=tuple(_time(name, took) for name, took in operations.items()),
        stations=tuple(_time(name, took) for name, took in stations.items()),
        seconds=sum(took for took in every if took is not None),
        timed=sum(took is not None for took in every),
        untimed=sum(took is None for took in every),
        first=min(times, default=None),
        last=max(times, default=None),
    )


def _time(name: str, took: list[float | None]) -> Time:
    known = [each for each in took if each is not None]
    return Time(name=name, seconds=sum(known), timed=len(known), untimed=len(took) - len(known))


def _step(run: Run, fact: Done) -> Step:
    item = run.items.get(fact.item)
    return (item.step(fact.step) if item else None) or step_named(fact.step)
