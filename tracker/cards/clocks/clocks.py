"""The running clocks: in the left column of every screen, on the clocks screen and on the glue-up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from msgspec import Struct

from tracker.cards.marks import Tone
from tracker.floor.floor import Floor
from tracker.measure.span import Span, countdown, rough
from tracker.words import say
from tracker.words.dates import day_and_month, moment, weekday
from tracker.work.clocks.alarms import soon
from tracker.work.clocks.elapsed import passed, remaining
from tracker.work.decide.decide import Answer, ConfirmClock
from tracker.work.facts import Done
from tracker.work.operations import WaitKind
from tracker.work.state.state import RunningWait, running_waits

_WORDS: dict[WaitKind, str] = {
    "open": say("open time"),
    "clamp": say("clamp time"),
    "cure": say("glue curing"),
    "recoat": say("coat drying"),
    "dry": say("finish curing"),
}
_UNTIL: dict[WaitKind, str] = {
    "open": say("clamp by"),
    "clamp": say("clamps off at"),
    "cure": say("cured at"),
    "recoat": say("dry at"),
    "dry": say("cured at"),
}
_OVER: dict[WaitKind, str] = {
    "open": say("Open time is over. Clamp right now, or scrape the glue off and spread fresh"),
    "clamp": say("The clamps can come off"),
    "cure": say("It may be loaded now"),
    "recoat": say("Ready for the next coat"),
    "dry": say("It may be used now"),
}


WEEK = 7
"""Days after which the weekday repeats."""


class ClockView(Struct, frozen=True, kw_only=True):
    """One clock as it is now. `share` is the part of the wait that is left, 1 to 0."""

    run: str
    key: str
    """The item whose clock it is."""
    kind: WaitKind
    title: str
    build: str
    """The name of the build, for where clocks of several builds are shown side by side."""
    word: str
    text: str
    left: float
    """Seconds left; negative after the end."""
    share: float
    tone: Tone
    at_least: bool
    """False for a wait that must be ended before it is over: the open time."""
    over: bool
    soon: bool
    """Whether it must be ended now, because it is about to be over."""
    ends: datetime
    """When it ends, or ended, by the local wall clock."""
    when: str
    """The same time in words, `10:38` or `Tue 20:10`; empty once it is over."""
    until: str
    """The same in words while it is running: `clamps off at 10:38`, `dry at Tue 20:10`."""
    said: str
    """The message after its end, or else the length of the whole wait: `1 h min`."""
    source: str
    """The source of the length of the wait: the label, the build file, or which default."""
    machine: str
    """For a cure: when it may be machined; or empty."""
    limit: str
    """For a recoat: when the next coat will need sanding first; or empty."""
    doubt: str
    unsure: bool
    """Whether the tablet was off while it ran, so that a person could settle the time by confirming the tablet's
    clock."""
    answer: Answer | None
    """The intent that answers it, after its end."""

    @property
    def over_words(self) -> str:
        """`done 3 min ago`; empty while it is running."""
        if not self.over:
            return ""
        return say("time's up") if self.left > -60 else say("done {time} ago", time=rough(-self.left))

    @property
    def short_notes(self) -> str:
        """The notes for a card, which has less room: any doubt comes first."""
        if self.unsure:
            return say("The tablet was off: see Timers")
        return self.doubt or self.notes

    @property
    def notes(self) -> str:
        """Everything to know besides the time, as running text."""
        return " · ".join(word for word in (self.doubt, self.machine, self.limit, self.source) if word)


class ClocksCard(Struct, frozen=True, kw_only=True):
    """Every running clock, the most urgent first."""

    clocks: tuple[ClockView, ...]
    empty: str = say("No timer is running. A glue-up or a coat of finish starts one.")


def clock_view(floor: Floor, running: RunningWait) -> ClockView:
    """One running wait at this moment."""
    wait, left, gone = running.wait, remaining(running, floor.now), passed(running, floor.now)
    over = left <= 0
    nearly = not over and not wait.at_least and left <= soon(wait.seconds)
    tone: Tone = (
        "caution"
        if nearly or (over and not wait.at_least)
        else "done"
        if over
        else "waiting"
        if wait.at_least
        else "ready"
    )
    whole = Span(wait.seconds).text
    today = floor.local(floor.now.wall)
    ends = floor.local(floor.now.wall + timedelta(seconds=left))
    when = "" if over else _wall_words(ends, today, wait.at_least)
    return ClockView(
        run=floor.run.name,
        key=running.item.key,
        kind=wait.kind,
        title=running.item.short,
        build=floor.run.build.name,
        word=_WORDS[wait.kind],
        text=countdown(left),
        left=left,
        share=max(0.0, min(1.0, left / wait.seconds)) if wait.seconds else 0.0,
        tone=tone,
        at_least=wait.at_least,
        over=over,
        soon=nearly,
        ends=ends,
        when=when,
        until=f"{_UNTIL[wait.kind]} {when}" if when else "",
        said=_OVER[wait.kind] if over else _length_words(whole, at_least=wait.at_least),
        source=wait.source,
        machine=_machine_words(wait.machine, gone.least),
        limit=_until_then(wait.limit, gone.most),
        doubt=gone.doubt,
        unsure=gone.unsure,
        answer=Answer(running.entry.id, run=floor.run.name) if over else None,
    )


def _length_words(whole: str, *, at_least: bool) -> str:
    """How long a wait lasts: `at least 1 h`, `5 min max`."""
    return say("at least {whole}", whole=whole) if at_least else say("{whole} max", whole=whole)


def _wall_words(at: datetime, today: datetime, at_least: bool) -> str:
    """`10:38`, `Tue 20:10`, `24 Dec`: rounded to the minute on the safe side, with as much of the date as is needed."""
    minute = at.replace(second=0, microsecond=0)
    if at_least and minute < at:
        minute += timedelta(minutes=1)
    days = (minute.date() - today.date()).days
    if days == 0:
        return f"{minute:%H:%M}"
    return f"{weekday(minute)} {minute:%H:%M}" if days < WEEK else day_and_month(minute)


def _machine_words(seconds: int, gone: float) -> str:
    """From when it may be machined, which is before it may be loaded."""
    if not seconds:
        return ""
    if gone >= seconds:
        return say("Ready to machine, not to load")
    return say("Machine it in {time}", time=rough(seconds - gone))


def _until_then(seconds: int, gone: float) -> str:
    if not seconds:
        return ""
    return (
        say("Too late to coat without sanding first")
        if gone >= seconds
        else say("Without sanding for {time}", time=rough(seconds - gone))
    )


def clocks_card(*floors: Floor) -> ClocksCard:
    """All clocks of the given runs: first those that must be ended, then by the time left."""
    views = [clock_view(floor, running) for floor in floors for running in running_waits(floor.run, floor.state)]
    return ClocksCard(clocks=most_urgent_first(views))


class ClockStack(Struct, frozen=True, kw_only=True):
    """The clocks shown on every screen, in little room."""

    chips: tuple[ClockView, ...]
    more: int
    """How many are running that aren't shown, of this build and of others; 0 where `others` tells of them."""
    others: str
    """How many are running in other builds, and what the next of them shows; empty where there are chips."""


def clock_stack(clocks: Sequence[ClockView], here: str, room: int) -> ClockStack:
    """The clocks shown on every screen while the run `here` is current: its own, and from other builds only one that
    must be ended now. The others are counted, or folded into one line where nothing else is shown. `room` is how many
    are shown whole."""
    near = [view for view in clocks if view.run == here or view.soon or (view.over and not view.at_least)]
    if near:
        return ClockStack(chips=tuple(near[:room]), more=max(0, len(clocks) - room), others="")
    count = say("Other build: ") if len(clocks) == 1 else say("Other builds: {number}, ", number=len(clocks))
    return ClockStack(chips=(), more=0, others=f"{count}{clocks[0].text}" if clocks else "")


class ClockQuestion(Struct, frozen=True, kw_only=True):
    """The question after the tablet was off while a clock ran: whether the times by which it would count are right."""

    title: str
    lines: str
    """When each clock was started, and the present time, a line each."""
    yes: str
    intent: ConfirmClock
    """The intent of the answer yes."""


MOST_STARTS = 2
"""How many starts are confirmed with one tap, because a person has to look at each."""


def clock_question(floors: Sequence[Floor]) -> ClockQuestion | None:
    """The question, or None when nothing has to be asked.

    For each boot in which a clock was started, one start is shown; a start that was confirmed before isn't asked again.
    """
    unsure = [(floor, each) for floor in floors for each in _unsure(floor)]
    if not unsure:
        return None
    run, now = floors[0].run.name, floors[0].now
    known = {beat.boot_id for beat in now.confirmed}
    starts = {each.wait.boot_id: (floor, each) for floor, each in reversed(unsure) if each.wait.boot_id not in known}
    asked = tuple(reversed(starts.values()))[:MOST_STARTS]
    local = floors[0].local
    today = local(now.wall)
    if not asked:
        title = say("Is it {time}?", time=moment(today, today))
        return ClockQuestion(title=title, lines="", yes=say("Yes, it is"), intent=ConfirmClock(run=run))
    lines = [f"{_started(each)} {moment(local(each.entry.at), today)}" for _, each in asked]
    return ClockQuestion(
        title=say("Are these times right?"),
        lines="\n".join((*lines, say("Now: {time}", time=moment(today, today)))),
        yes=say("Both times are right") if len(asked) == 1 else say("All times are right"),
        intent=ConfirmClock(tuple(each.entry.id for _, each in asked), run=run),
    )


def _unsure(floor: Floor) -> Iterator[RunningWait]:
    return (each for each in running_waits(floor.run, floor.state) if passed(each, floor.now).unsure)


def _started(running: RunningWait) -> str:
    """`Ring: clamped`."""
    fact = running.entry.fact
    step = running.item.step(fact.step) if isinstance(fact, Done) else None
    return f"{running.item.short}: {step.past if step else _WORDS[running.wait.kind]}"


def most_urgent_first(views: Sequence[ClockView]) -> tuple[ClockView, ...]:
    """First what is over or about to spoil something; then by the time left."""
    return tuple(sorted(views, key=lambda view: (not (view.soon or (view.over and not view.at_least)), view.left)))
