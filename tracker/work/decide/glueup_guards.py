"""The requirements of a glue-up: its checklist, who goes in, its checks when it is finished."""

from __future__ import annotations

from tracker.words import say
from tracker.work.checklist import checklist
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.guards import AboutItem, refuse
from tracker.work.decide.intents import (
    Check,
    CheckIn,
    Prove,
    Refusal,
)
from tracker.work.decide.prerequisites import begun, blockers, sentence
from tracker.work.misfits import misfits
from tracker.work.run import Run
from tracker.work.state.state import State


def on_the_checklist(run: Run, state: State, intent: Check, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    line = next((line for line in checklist(run, state, item) if line.id == intent.check), None)
    if line is None:
        return Refusal(say("The checklist has no such line."))
    return Refusal(f"{line.words}: {line.said}.") if line.state == "against" else None


def not_checked(run: Run, state: State, intent: Check, now: Now) -> Refusal | None:
    seen = state.checks(run, run.items[intent.item])
    return refuse(intent.check in seen, say("That line is done already."))


def not_glued(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return refuse(begun(run, state, item.key), say("{name} has been started already.", name=item.short))


def a_member(run: Run, state: State, intent: CheckIn, now: Now) -> Refusal | None:
    item, piece = run.items[intent.item], run.items.get(intent.piece)
    if piece is None:
        return Refusal(say("This build has no such piece."))
    if piece.key in state.members(run, item):
        return None
    into = state.into(run, piece)
    where = say("it goes into {items}", items=run.items[into].short) if into else say("it goes into nothing")
    return Refusal(say("{piece} isn't for {name}: {where}.", piece=piece.short, name=item.short, where=where))


def not_in_yet(run: Run, state: State, intent: CheckIn, now: Now) -> Refusal | None:
    here = state.checked_in(run, run.items[intent.item])
    return refuse(intent.piece in here, say("{items} is in already.", items=run.items[intent.piece].short))


def not_set_aside(run: Run, state: State, intent: CheckIn, now: Now) -> Refusal | None:
    piece = run.items[intent.piece]
    return refuse(
        state.aside(run, piece) is not None, say("{piece} is set aside: put it back to work first.", piece=piece.short)
    )


def fits(run: Run, state: State, intent: CheckIn, now: Now) -> Refusal | None:
    """A piece made to another size may not be joined."""
    piece = run.items[intent.piece]
    found = misfits(run, state, piece)
    return refuse(
        bool(found),
        say("{piece} doesn't go in: {small_words}.", piece=piece.short, small_words=found[0].small_words)
        if found
        else "",
    )


def such_a_check(run: Run, state: State, intent: Prove, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    checks = run.build.assembly(item.id).prove if item.kind == "assembly" else ()
    return refuse(intent.check not in checks, say("{name} has no such check.", name=item.short))


def not_proven_yet(run: Run, state: State, intent: Prove, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return refuse(state.is_done(run, item, "prove"), say("{name} is checked already.", name=item.short))


def ready_to_prove(run: Run, state: State, intent: Prove, now: Now) -> Refusal | None:
    """Everything required before proving is required before each check: an uncured joint isn't loaded."""
    item = run.items[intent.item]
    step = item.step("prove")
    assert step is not None  # a route of something with checks ends with it, and `such_a_check` has passed
    found = tuple(blocker for blocker in blockers(run, state, item, step, now) if blocker.kind != "proof")
    return Refusal(sentence(found)) if found else None
