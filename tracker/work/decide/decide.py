"""What may be done: every tap is an intent, and `decide` answers with facts or with a refusal and its reason.

A button calls the same `decide` when it is drawn and when it is tapped. `RULES` is the table: for each intent its
guards, in the order in which they are reported, and the handler that makes its facts.
"""

from __future__ import annotations

from typing import Any, Generic, TypeVar

from msgspec import Struct

from tracker.words import english, say
from tracker.work.clocks.elapsed import Now
from tracker.work.decide import board_guards as boards
from tracker.work.decide import glueup_guards as glueup
from tracker.work.decide import guards, handlers
from tracker.work.decide.intents import Answer as Answer
from tracker.work.decide.intents import Check as Check
from tracker.work.decide.intents import CheckIn as CheckIn
from tracker.work.decide.intents import ConfirmClock as ConfirmClock
from tracker.work.decide.intents import Do as Do
from tracker.work.decide.intents import DoTogether as DoTogether
from tracker.work.decide.intents import GiveBack as GiveBack
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
from tracker.work.decide.intents import ReadMoisture as ReadMoisture
from tracker.work.decide.intents import Refusal as Refusal
from tracker.work.decide.intents import Resume as Resume
from tracker.work.decide.intents import SetAir as SetAir
from tracker.work.decide.intents import Spoil as Spoil
from tracker.work.decide.intents import Swap as Swap
from tracker.work.decide.intents import UndoEntry as UndoEntry
from tracker.work.decide.intents import UndoLabels as UndoLabels
from tracker.work.decide.intents import UndoLast as UndoLast
from tracker.work.decide.prerequisites import Blocker as Blocker
from tracker.work.decide.prerequisites import blockers as blockers
from tracker.work.decide.prerequisites import next_step as next_step
from tracker.work.decide.undo import undo_entry, undo_labels, undo_last
from tracker.work.facts import Fact
from tracker.work.run import Run, build_of
from tracker.work.state.state import State

IntentT = TypeVar("IntentT")

AT_RISK = english("At my own risk")
GOING_AHEAD = (
    english("Already done"),
    english("Tested: ready"),
    english("Doing it another way"),
    AT_RISK,
)
"""Reasons offered for going ahead anyway; the chosen one is recorded."""


class Rule(Struct, Generic[IntentT], frozen=True):
    """The guards of an intent, each with its refusal, and the handler that makes its facts when all of them pass."""

    needs: tuple[guards.Guard[IntentT], ...]
    makes: handlers.Handler[IntentT]
    always_makes: bool = False
    """Whether passing all guards guarantees facts, so that `refusal` needn't make them."""


def _rule(
    intent: type[IntentT],
    needs: tuple[guards.Guard[IntentT], ...],
    makes: handlers.Handler[IntentT],
    *,
    always_makes: bool = False,
) -> tuple[type[IntentT], Rule[IntentT]]:
    """A row of the table; the type checker verifies that its guards and its handler take this intent."""
    return intent, Rule(needs, makes, always_makes)


_TABLE = (
    _rule(OpenBuild, (), handlers.opened),
    _rule(Do, (guards.known_step, guards.not_done_yet, guards.nothing_in_the_way), handlers.done, always_makes=True),
    _rule(DoTogether, (guards.several_pieces, guards.each_may_be_done), handlers.done_together, always_makes=True),
    _rule(UndoLast, (guards.known_item,), undo_last),
    _rule(UndoEntry, (), undo_entry),
    _rule(Answer, (guards.running, guards.run_out), handlers.answered),
    _rule(Label, (boards.something_to_label, boards.all_known), handlers.labelled),
    _rule(UndoLabels, (), undo_labels),
    _rule(Measure, (guards.known_item, guards.a_piece, guards.cut, guards.likely_measure), handlers.measured),
    _rule(Spoil, (guards.known_item, guards.worked_on, guards.not_built_in), handlers.spoiled),
    _rule(PutAside, (guards.known_item, guards.not_aside, guards.not_built_in), handlers.set_aside),
    _rule(Resume, (guards.known_item, guards.aside), handlers.resumed),
    _rule(
        Swap,
        (
            guards.known_item,
            guards.same_part_and_hand,
            guards.other_places,
            guards.not_built_in,
            guards.twin_not_built_in,
        ),
        handlers.swapped,
    ),
    _rule(Note, (guards.known_item, guards.some_text), handlers.noted),
    _rule(
        Check,
        (guards.known_item, glueup.on_the_checklist, glueup.not_glued, glueup.not_checked),
        handlers.checked,
    ),
    _rule(
        CheckIn,
        (
            guards.known_item,
            glueup.a_member,
            glueup.not_glued,
            glueup.not_in_yet,
            glueup.not_set_aside,
            glueup.fits,
        ),
        handlers.checked_in,
    ),
    _rule(SetAir, (guards.likely_air,), handlers.air),
    _rule(Overrule, (guards.known_item, guards.such_a_wait, guards.likely_time), handlers.overruled),
    _rule(
        Prove,
        (guards.known_item, glueup.such_a_check, glueup.not_proven_yet, glueup.ready_to_prove),
        handlers.proven,
    ),
    _rule(ConfirmClock, (guards.started_clocks,), handlers.clock_confirmed),
    _rule(KeepBoards, (boards.a_plan, boards.each_once), handlers.boards_planned),
    _rule(
        Rack,
        (boards.some_name, boards.free_name, boards.known_wood, boards.likely_board),
        handlers.racked,
    ),
    _rule(GiveBack, (boards.on_the_rack, boards.uncut), handlers.given_back),
    _rule(ReadMoisture, (boards.piece_or_board, boards.likely_moisture), handlers.moisture_read),
)
RULES: dict[type[Any], Rule[Any]] = dict[type[Any], Rule[Any]](_TABLE)


def decide(run: Run, state: State, intent: Intent, now: Now) -> tuple[Fact, ...] | Refusal:
    """The facts that an intent makes, or why it is refused."""
    return _refused(run, state, intent, now) or RULES[type(intent)].makes(run, state, intent, now)


def refusal(run: Run, state: State, intent: Intent, now: Now) -> Refusal | None:
    """Why `decide` would refuse an intent; None where it makes facts. A queue asks this for every piece."""
    refused = _refused(run, state, intent, now)
    rule = RULES[type(intent)]
    if refused is not None or rule.always_makes:
        return refused
    answer = rule.makes(run, state, intent, now)
    return answer if isinstance(answer, Refusal) else None


def _refused(run: Run, state: State, intent: Intent, now: Now) -> Refusal | None:
    """The first guard of an intent that fails."""
    if intent.run and intent.run != run.name:
        return Refusal(
            say(
                "Not marked: that was meant for {meant}, and {build} is open now.",
                meant=build_of(intent.run),
                build=run.build.name,
            )
        )
    refusals = (needed(run, state, intent, now) for needed in RULES[type(intent)].needs)
    return next((refused for refused in refusals if refused is not None), None)
