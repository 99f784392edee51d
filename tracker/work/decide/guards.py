"""The requirements of intents about items, steps and clocks: each guard returns None, or the refusal that a person
reads."""

from __future__ import annotations

from typing import Protocol, TypeVar

from tracker.words import say
from tracker.work.clocks.elapsed import Now, is_over
from tracker.work.clocks.waits import degrees
from tracker.work.decide.intents import (
    Answer,
    ConfirmClock,
    Do,
    DoTogether,
    Measure,
    Note,
    Overrule,
    Refusal,
    SetAir,
    Swap,
)
from tracker.work.decide.prerequisites import ahead, blockers, built_into, sentence
from tracker.work.facts import Done, EntryId
from tracker.work.run import Item, Run
from tracker.work.state.state import RunningWait, State, running_waits

IntentT = TypeVar("IntentT", contravariant=True)


class Guard(Protocol[IntentT]):
    """Checks one requirement of an intent: the refusal, or None. The item exists once `known_item` has passed."""

    def __call__(self, run: Run, state: State, intent: IntentT, now: Now, /) -> Refusal | None: ...


class AboutItem(Protocol):
    """An intent about one item, by its key."""

    @property
    def item(self) -> str: ...


LONGEST_TEXT = 500
LONGEST_WAIT = 120 * 86400
LIKELY_CELSIUS = (-30.0, 60.0)
LIKELY_MEASURE = 20_000 * 320
"""20 m."""


def refuse(wrong: bool, reason: str) -> Refusal | None:
    """A refusal with this reason where something is wrong."""
    return Refusal(reason) if wrong else None


# -- any item ------------------------------------------------------------------------------------------------


def known_item(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    return refuse(intent.item not in run.items, say("This build has no such piece."))


def a_piece(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return refuse(item.kind != "piece", say("{name} isn't a single piece.", name=item.short))


def worked_on(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return refuse(not state.of(run, item), say("Nothing was done to {name} yet.", name=item.short))


def not_built_in(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    return _built_in(run, state, run.items[intent.item])


def twin_not_built_in(run: Run, state: State, intent: Swap, now: Now) -> Refusal | None:
    return _built_in(run, state, run.items[intent.twin])


def _built_in(run: Run, state: State, item: Item) -> Refusal | None:
    whole = built_into(run, state, item)
    return Refusal(say("{name} is in {whole} already.", name=item.short, whole=whole.short)) if whole else None


def aside(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return refuse(state.aside(run, item) is None, say("{name} isn't set aside.", name=item.short))


def not_aside(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return refuse(state.aside(run, item) is not None, say("{name} is set aside already.", name=item.short))


def some_text(run: Run, state: State, intent: Note, now: Now) -> Refusal | None:
    if not intent.text.strip():
        return Refusal(say("There is nothing to note."))
    return refuse(len(intent.text) > LONGEST_TEXT, say("A note has at most {most} letters.", most=LONGEST_TEXT))


# -- steps and clocks ----------------------------------------------------------------------------------------


def known_step(run: Run, state: State, intent: Do, now: Now) -> Refusal | None:
    item = run.items.get(intent.item)
    return refuse(item is None or item.step(intent.step) is None, say("This build has no such step."))


def not_done_yet(run: Run, state: State, intent: Do, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    step = item.step(intent.step)
    assert step is not None
    if state.is_done(run, item, step.id):
        return Refusal(say("{name} is {past} already.", name=item.short, past=step.past))
    if step in item.extra:  # sanding over a coat: not after the next one is on
        coat = int(step.id.split()[-1])
        return refuse(
            state.is_done(run, item, f"finish {coat + 1}"),
            say("{name}: coat {coat} is on already.", name=item.short, coat=coat + 1),
        )
    return None


def nothing_in_the_way(run: Run, state: State, intent: Do, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    step = item.step(intent.step)
    assert step is not None
    found = blockers(run, state, item, step, now)
    overridable = all(blocker.overridable for blocker in found)
    if not found or (intent.anyway and overridable):
        return None
    return Refusal(sentence(found), overridable=overridable)


def several_pieces(run: Run, state: State, intent: DoTogether, now: Now) -> Refusal | None:
    items = [run.items.get(key) for key in intent.items]
    pieces = all(item is not None and item.kind == "piece" for item in items)
    return refuse(not pieces or len(set(intent.items)) != len(items) or len(items) < 2, say("Tick those one by one."))


def each_may_be_done(run: Run, state: State, intent: DoTogether, now: Now) -> Refusal | None:
    """Names the first piece that blocks it."""
    for key in intent.items:
        for guard in (known_step, not_done_yet, nothing_in_the_way):
            refusal = guard(run, state, Do(key, intent.step), now)
            if refusal is not None:
                name = run.items[key].short
                reason = refusal.reason if refusal.reason.startswith(name) else f"{name}: {refusal.reason}"
                return Refusal(reason)
    return None


def _clock(run: Run, state: State, entry: EntryId) -> RunningWait | None:
    return next((each for each in running_waits(run, state) if each.entry.id == entry), None)


def running(run: Run, state: State, intent: Answer, now: Now) -> Refusal | None:
    return refuse(_clock(run, state, intent.entry) is None, say("That timer isn't running any more."))


def run_out(run: Run, state: State, intent: Answer, now: Now) -> Refusal | None:
    clock = _clock(run, state, intent.entry)
    assert clock is not None
    return None if is_over(clock, now) else Refusal(f"{clock.item.short}: {ahead(clock, now)}.")


def started_clocks(run: Run, state: State, intent: ConfirmClock, now: Now) -> Refusal | None:
    known = [state.find(start) for start in intent.starts]
    started = all(each and isinstance(each.entry.fact, Done) and each.entry.fact.wait for each in known)
    return refuse(not started, say("That timer isn't known."))


def such_a_wait(run: Run, state: State, intent: Overrule, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return refuse(intent.wait not in item.waits, say("{name} has no such wait.", name=item.short))


def likely_time(run: Run, state: State, intent: Overrule, now: Now) -> Refusal | None:
    return refuse(not 0 < intent.seconds <= LONGEST_WAIT, say("No label says such a time."))


def likely_air(run: Run, state: State, intent: SetAir, now: Now) -> Refusal | None:
    low, high = LIKELY_CELSIUS
    likely = low <= intent.celsius <= high and 0 <= intent.humidity <= 100
    coldest, warmest = (degrees(celsius, run.build.units) for celsius in (low, high))
    return refuse(
        not likely,
        say("A shop has from {coldest} to {warmest} and from 0 to 100 per cent.", coldest=coldest, warmest=warmest),
    )


# -- the piece's life ----------------------------------------------------------------------------------------


def cut(run: Run, state: State, intent: Measure, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return refuse(not state.of(run, item), say("{name} isn't cut yet.", name=item.short))


def likely_measure(run: Run, state: State, intent: Measure, now: Now) -> Refusal | None:
    return refuse(not 0 < intent.actual <= LIKELY_MEASURE, say("That isn't a measure of a piece."))


def same_part_and_hand(run: Run, state: State, intent: Swap, now: Now) -> Refusal | None:
    one, other = run.items[intent.item], run.items.get(intent.twin)
    if other is None or one.key == other.key or one.kind != "piece" or (one.id, one.hand) != (other.id, other.hand):
        return Refusal(
            say("{first} can change places only with another piece of the same part and hand.", first=one.short)
        )
    return None


def other_places(run: Run, state: State, intent: Swap, now: Now) -> Refusal | None:
    one, other = run.items[intent.item], run.items[intent.twin]
    into = state.into(run, one)
    if into != state.into(run, other):
        return None
    return Refusal(
        say("Both go into {items}.", items=run.items[into].short) if into else say("Neither goes into anything.")
    )
