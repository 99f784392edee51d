"""What may be done: every tap is an intent, and `decide` answers with facts or with a refusal and its reason.

The button that is drawn asks the same `decide` that the tap will ask. `RULES` is the table: what must hold for each
intent, in the order in which it is said, and what it makes.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec import Struct

from tracker.work.clocks.elapsed import Now
from tracker.work.decide import guards as need
from tracker.work.decide import handlers as make
from tracker.work.decide.blockers import Blocker as Blocker
from tracker.work.decide.blockers import blockers as blockers
from tracker.work.decide.blockers import next_step as next_step
from tracker.work.decide.intents import Answer as Answer
from tracker.work.decide.intents import BelieveClock as BelieveClock
from tracker.work.decide.intents import Check as Check
from tracker.work.decide.intents import CheckIn as CheckIn
from tracker.work.decide.intents import Do as Do
from tracker.work.decide.intents import Intent as Intent
from tracker.work.decide.intents import KeepBoards as KeepBoards
from tracker.work.decide.intents import Label as Label
from tracker.work.decide.intents import Measure as Measure
from tracker.work.decide.intents import Note as Note
from tracker.work.decide.intents import OpenBuild as OpenBuild
from tracker.work.decide.intents import Overrule as Overrule
from tracker.work.decide.intents import Prove as Prove
from tracker.work.decide.intents import PutAside as PutAside
from tracker.work.decide.intents import Rack as Rack
from tracker.work.decide.intents import Refusal as Refusal
from tracker.work.decide.intents import SetAir as SetAir
from tracker.work.decide.intents import Spoil as Spoil
from tracker.work.decide.intents import Swap as Swap
from tracker.work.decide.intents import TakeBack as TakeBack
from tracker.work.decide.intents import TakeBackFact as TakeBackFact
from tracker.work.decide.intents import TakeBackLabels as TakeBackLabels
from tracker.work.decide.intents import TakeUp as TakeUp
from tracker.work.decide.undo import take_back, take_back_fact, take_back_labels
from tracker.work.facts import Fact
from tracker.work.run import Run
from tracker.work.state.state import State

GOING_AHEAD = (
    "Done before",
    "Tested: ready",
    "Another way",
    "My own risk",
)
"""Reasons offered for going ahead anyway; whichever is chosen stays in the record."""


class Rule(Struct, frozen=True):
    """What an intent needs, each with its refusal, and the facts it makes when all of it holds."""

    needs: tuple[need.Guard, ...]
    makes: Callable[[Run, State, Any, Now], tuple[Fact, ...] | Refusal]


RULES: dict[type[Any], Rule] = {
    OpenBuild: Rule((), make.opened),
    Do: Rule((need.known_step, need.not_done_yet, need.nothing_in_the_way), make.done),
    TakeBack: Rule((need.known_item,), take_back),
    TakeBackFact: Rule((), take_back_fact),
    Answer: Rule((need.running, need.run_out), make.answered),
    Label: Rule((need.something_to_label, need.all_known), make.labelled),
    TakeBackLabels: Rule((), take_back_labels),
    Measure: Rule((need.known_item, need.a_piece, need.cut, need.likely_measure), make.measured),
    Spoil: Rule((need.known_item, need.worked_on, need.not_gone), make.spoiled),
    PutAside: Rule((need.known_item, need.not_aside, need.not_gone), make.set_aside),
    TakeUp: Rule((need.known_item, need.aside), make.taken_up),
    Swap: Rule((need.known_item, need.twins, need.other_places, need.not_gone, need.twin_not_gone), make.swapped),
    Note: Rule((need.known_item, need.some_text), make.noted),
    Check: Rule((need.known_item, need.on_the_checklist, need.not_glued, need.not_checked), make.checked),
    CheckIn: Rule(
        (need.known_item, need.a_member, need.not_glued, need.not_in_yet, need.not_set_aside), make.checked_in
    ),
    SetAir: Rule((need.likely_air,), make.air),
    Overrule: Rule((need.known_item, need.such_a_wait, need.likely_time), make.overruled),
    Prove: Rule((need.known_item, need.such_a_check, need.not_proven_yet, need.ready_to_prove), make.proven),
    BelieveClock: Rule((), make.clock_believed),
    KeepBoards: Rule((need.a_plan, need.each_once), make.boards_planned),
    Rack: Rule((need.some_name, need.free_name, need.known_wood), make.racked),
}


def decide(run: Run, state: State, intent: Intent, now: Now) -> tuple[Fact, ...] | Refusal:
    """The facts that an intent makes, or why it can't be."""
    rule = RULES[type(intent)]
    for needed in rule.needs:
        refusal = needed(run, state, intent, now)
        if refusal is not None:
            return refusal
    return rule.makes(run, state, intent, now)
