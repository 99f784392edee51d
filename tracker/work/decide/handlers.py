"""The facts that an intent makes once its guards have passed."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Protocol, TypeVar

from msgspec.structs import replace

from tracker.work import facts
from tracker.work.board_of_piece import planned_place
from tracker.work.checklist import unchecked
from tracker.work.clocks.elapsed import Now, is_over, passed
from tracker.work.decide.intents import (
    Answer,
    Check,
    CheckIn,
    ConfirmClock,
    Do,
    DoTogether,
    GiveBack,
    KeepBoards,
    Label,
    Measure,
    Note,
    OpenBuild,
    Overrule,
    Prove,
    PutAside,
    Rack,
    ReadMoisture,
    Refusal,
    Resume,
    SetAir,
    Spoil,
    Swap,
)
from tracker.work.decide.prerequisites import begun, blockers, sentence
from tracker.work.facts import Entry, EntryId, Fact
from tracker.work.operations import Step
from tracker.work.recorded_sizes import fixed_sizes
from tracker.work.run import Item, Run
from tracker.work.state.state import State, waits_of

IntentT = TypeVar("IntentT", contravariant=True)
Facts = tuple[Fact, ...]


class Handler(Protocol[IntentT]):
    """Makes the facts of an intent whose guards have all passed. Undo may still refuse, because it checks what depends
    on the entry."""

    def __call__(self, run: Run, state: State, intent: IntentT, now: Now, /) -> Facts | Refusal: ...


def opened(run: Run, state: State, intent: OpenBuild, now: Now) -> Facts:
    """Includes every part's sizes if they have changed since the opening before."""
    known = state.whole(run).opened
    parts = () if known and known.digest == run.digest else tuple((p, tuple(s.items())) for p, s in run.sizes.items())
    return (facts.Opened(run.name, run.build.name, intent.file, run.build.revision, run.digest, parts),)


def done(run: Run, state: State, intent: Do, now: Now) -> Facts:
    """While pieces are still one blank, a step done to one of them is done to all."""
    keys = (intent.item, *others_of_blank(run, state, run.items[intent.item], intent.step, now))
    return _as_one(_done(run, state, replace(intent, item=key), now) for key in keys)


def _as_one(made: Iterable[facts.Done]) -> Facts:
    """Facts that are undone together."""
    several = tuple(made)
    return several if len(several) == 1 else tuple(
        replace(fact, batch=len(several), batch_at=at) for at, fact in enumerate(several)
    )  # fmt: skip


def others_of_blank(run: Run, state: State, item: Item, step_id: str, now: Now) -> tuple[str, ...]:
    """The other pieces of its blank, which get the same step."""
    if step_id not in item.shared:
        return ()
    others = (run.items[key] for key in item.blank if key != item.key)
    ready = (each for each in others if (step := each.step(step_id)) and not state.is_done(run, each, step_id)
             and not blockers(run, state, each, step, now))  # fmt: skip
    return tuple(each.key for each in ready)


def _done(run: Run, state: State, intent: Do, now: Now) -> facts.Done:
    item = run.items[intent.item]
    step = item.step(intent.step)
    assert step is not None
    in_the_way = blockers(run, state, item, step, now)
    board, at = (intent.board, intent.at) if intent.board or step.id != "cut" else _planned_on(run, state, item)
    return facts.Done(
        run.name,
        item.key,
        step.id,
        anyway=intent.anyway if in_the_way else "",
        against=sentence(in_the_way),
        wait=_wait(run, state, item, step, now),
        answers=_answers(run, state, item, now),
        board=board,
        at=at,
        to=fixed_sizes(run.sizes[item.id], step, item.route) if item.kind == "piece" else (),
        early=math.ceil(max((blocker.left for blocker in in_the_way), default=0.0)),
        late=_late(run, state, item, step, now),
        unchecked=unchecked(run, state, item) if step.starts == "open" else (),
    )


def done_together(run: Run, state: State, intent: DoTogether, now: Now) -> Facts:
    """One fact for each piece; the facts say that they belong together."""
    keys = dict.fromkeys(
        each for key in intent.items for each in (key, *others_of_blank(run, state, run.items[key], intent.step, now))
    )
    return _as_one(_done(run, state, Do(key, intent.step), now) for key in keys)


def _planned_on(run: Run, state: State, item: Item) -> tuple[str, int]:
    """Where the plan has a blank: it is assumed to be cut there unless the person says otherwise."""
    place = planned_place(run, state, item)
    return (place[0].key, place[1].at) if place else ("", 0)


def _wait(run: Run, state: State, item: Item, step: Step, now: Now) -> facts.Wait | None:
    """The clock that a step starts, with the source of its time and the air at the start."""
    found = state.wait_of(run, item, step.starts) if step.starts else None
    if step.starts is None or found is None:
        return None
    air = state.air.fact if state.air else None
    return facts.Wait(
        step.starts,
        found.span.seconds,
        now.boot_id,
        now.boot,
        machine=found.machine.seconds if found.machine else 0,
        limit=found.limit.seconds if found.limit else 0,
        source=found.words,
        celsius=air.celsius if air else None,
        humidity=air.humidity if air else None,
    )


def _answers(run: Run, state: State, item: Item, now: Now) -> tuple[EntryId, ...]:
    """Going on with an item answers its clocks that have ended."""
    over = (each for each in waits_of(run, state, item) if each.wait.at_least and is_over(each, now))
    return tuple(running.entry.id for running in over)


def _late(run: Run, state: State, item: Item, step: Step, now: Now) -> int:
    """The least number of seconds by which an open time that this step ends is past."""
    open_times = [each for each in waits_of(run, state, item) if each.wait.kind == "open" == step.closes]
    return max(0, *(math.ceil(passed(each, now).least - each.wait.seconds) for each in open_times), 0)


def answered(run: Run, state: State, intent: Answer, now: Now) -> Facts:
    return (facts.Answered(*intent.entry),)


def labelled(run: Run, state: State, intent: Label, now: Now) -> Facts:
    return (facts.Labelled(run.name, intent.items),)


def measured(run: Run, state: State, intent: Measure, now: Now) -> Facts:
    return (facts.Measured(run.name, intent.item, intent.what, intent.planned, intent.actual),)


def spoiled(run: Run, state: State, intent: Spoil, now: Now) -> Facts:
    """When an assembly that is begun is spoiled, everything in it is, too."""
    item = run.items[intent.item]
    lost = [facts.Spoiled(run.name, item.key, intent.why)]
    if item.kind == "assembly" and begun(run, state, item.key):
        lost += [facts.Spoiled(run.name, key, intent.why, inside=item.key) for key in _all_inside(run, state, item)]
    return tuple(lost)


def _all_inside(run: Run, state: State, item: Item) -> list[str]:
    found = []
    for key in state.members(run, item):
        found += [key, *_all_inside(run, state, run.items[key])]
    return found


def set_aside(run: Run, state: State, intent: PutAside, now: Now) -> Facts:
    return (facts.SetAside(run.name, intent.item, intent.why),)


def resumed(run: Run, state: State, intent: Resume, now: Now) -> Facts:
    return (facts.Resumed(run.name, intent.item),)


def swapped(run: Run, state: State, intent: Swap, now: Now) -> Facts:
    return (facts.Swapped(run.name, intent.item, intent.twin),)


def noted(run: Run, state: State, intent: Note, now: Now) -> Facts:
    return (facts.Noted(run.name, intent.item, intent.text.strip()),)


def checked(run: Run, state: State, intent: Check, now: Now) -> Facts:
    return (facts.Checked(run.name, intent.item, intent.check),)


def checked_in(run: Run, state: State, intent: CheckIn, now: Now) -> Facts:
    return (facts.CheckedIn(run.name, intent.item, intent.piece),)


def air(run: Run, state: State, intent: SetAir, now: Now) -> Facts:
    return (facts.Air(float(intent.celsius), float(intent.humidity)),)


def overruled(run: Run, state: State, intent: Overrule, now: Now) -> Facts:
    return (facts.Overruled(run.name, intent.item, intent.wait, intent.seconds, intent.why),)


def proven(run: Run, state: State, intent: Prove, now: Now) -> Facts:
    """The last check that passes also ticks the step."""
    item = run.items[intent.item]
    fact = facts.Proven(run.name, item.key, intent.check, intent.passed, intent.result.strip(), intent.by.strip())
    passed_now = {check for check, kept in state.proofs(run, item).items() if kept.fact.passed} - {intent.check}
    if intent.passed:
        passed_now.add(intent.check)
    if not passed_now.issuperset(run.build.assembly(item.id).prove):
        return (fact,)
    return (fact, facts.Done(run.name, item.key, "prove", answers=_answers(run, state, item, now)))


def clock_confirmed(run: Run, state: State, intent: ConfirmClock, now: Now) -> Facts:
    found = (state.find(start) for start in intent.starts)
    starts = tuple(moment for each in found if each and (moment := _start_of(each.entry)))
    return (facts.ClockConfirmed(now.boot_id, now.boot, starts),)


def _start_of(entry: Entry) -> facts.Moment | None:
    wait = entry.fact.wait if isinstance(entry.fact, facts.Done) else None
    return facts.Moment(wait.boot_id, wait.boot, entry.at.timestamp()) if wait else None


def boards_planned(run: Run, state: State, intent: KeepBoards, now: Now) -> Facts:
    return (facts.BoardsPlanned(run.name, intent.boards),)


def racked(run: Run, state: State, intent: Rack, now: Now) -> Facts:
    return (
        facts.Racked(
            run.name,
            intent.name.strip(),
            intent.wood,
            intent.length,
            intent.board,
            width=intent.width,
            thickness=intent.thickness,
            defects=intent.defects,
            price=intent.price,
            rough_ends=intent.rough_ends,
            picture=intent.picture,
        ),
    )


def given_back(run: Run, state: State, intent: GiveBack, now: Now) -> Facts:
    return (facts.GivenBack(run.name, intent.name),)


def moisture_read(run: Run, state: State, intent: ReadMoisture, now: Now) -> Facts:
    return (facts.MoistureRead(run.name, intent.of, float(intent.percent)),)
