"""What fills the screen when a clock has ended, until a person answers; and the warning shortly before."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from tracker.cards.clocks.clocks import ClockView, clock_view
from tracker.cards.marks import Tone
from tracker.cards.piece.action import Action, next_action
from tracker.cards.words import inside
from tracker.floor.floor import Floor
from tracker.words import say
from tracker.work.clocks.alarms import Call, calling
from tracker.work.decide.decide import Answer, Do, next_step
from tracker.work.operations import WaitKind
from tracker.work.state.state import running_waits

Sound = Literal["soon", "late", "done"]
"""An end is near; an "at most" wait is over; an "at least" wait is over."""

_HEADLINES: dict[WaitKind, str] = {
    "open": say("Clamp it now"),
    "clamp": say("Clamp time up"),
    "cure": say("Glue is cured"),
    "recoat": say("Coat is dry"),
    "dry": say("Finish cured"),
}


MOST_NAMED = 4
"""How many others are named; there is no room for more."""


class AlarmCard(Struct, frozen=True, kw_only=True):
    """The most urgent clock that has ended. `answer` stops the alarm."""

    run: str
    key: str
    headline: str
    """What may or must be done, in a few words."""
    title: str
    """The item that the clock belongs to."""
    said: str
    over: str
    """How long ago it ended: `done 3 min ago`."""
    doubt: str
    others: str
    """Other clocks that have ended, by name, or empty: those that the same tap stops, `Also: Base (glue is cured)`;
    otherwise those that call next, `Next alarm: Base (glue is cured)`."""
    tone: Tone
    sound: Sound
    answer: Answer
    answers: tuple[Answer, ...]
    """The intents of stopping the alarm: for every clock that ended together, `answer` first."""
    stop_text: str
    go: Do | None
    """The step to do now, if it is a single one: the clamps are off."""
    go_text: str
    show_text: str


def alarm_card(floors: Sequence[Floor]) -> AlarmCard | None:
    """The alarm to answer first, or None: what can still be spoiled comes before what can wait.

    `floors` are those of every run in work, the current one first.
    """
    over = [each for each in _calls(floors) if each[1].why == "over"]
    if not over:
        return None
    floor, call = over[0]
    # Clocks that ended together are stopped together. An open time, which must be acted on, is never stopped along with
    # one that can wait.
    together = [each for each in over if each[1].running.wait.at_least == call.running.wait.at_least]
    view = clock_view(floor, call.running)
    here = floor.run.name == floors[0].run.name
    action = _ends(floor, call)
    return AlarmCard(
        run=floor.run.name,
        key=view.key,
        headline=_HEADLINES[view.kind],
        title=view.title if here else f"{view.title}, {view.build}",
        said=view.said,
        over=view.over_words,
        doubt=view.doubt,
        others=_others(floors[0], say("Also"), together[1:])
        or _others(floors[0], say("Next alarm"), over[len(together) :]),
        tone=view.tone,
        sound="done" if view.at_least else "late",
        answer=Answer(call.id, run=floor.run.name),
        answers=tuple(Answer(each.id, run=its.run.name) for its, each in together),
        stop_text=say("Stop alarm") if len(together) == 1 else say("Stop all {number} alarms", number=len(together)),
        go=action.intent if action else None,
        go_text=action.text if action else "",
        show_text=say("Show card"),
    )


def _others(here: Floor, word: str, calls: Sequence[tuple[Floor, Call]]) -> str:
    """`Also: Leg frame 2 (glue is cured), Stool (coat is dry)`."""
    if not calls:
        return ""
    named = [(floor.run.name != here.run.name, clock_view(floor, call.running)) for floor, call in calls[:MOST_NAMED]]
    names = [
        (
            say("{name} of {build} ({state})", name=view.title, build=view.build, state=inside(_HEADLINES[view.kind]))
            if elsewhere
            else f"{view.title} ({inside(_HEADLINES[view.kind])})"
        )
        for elsewhere, view in named
    ]
    rest = len(calls) - len(names)
    return (
        say("{word}: {names} and {rest} more", word=word, names=", ".join(names), rest=rest)
        if rest
        else f"{word}: {', '.join(names)}"
    )


def _ends(floor: Floor, call: Call) -> Action | None:
    """The step that ends the clock, where it may be done now: a coat can't be applied by a tap on an alarm."""
    item = call.running.item
    step = next_step(floor.run, floor.state, item)
    if step is None or step.closes != call.running.wait.kind or step.coat:
        return None
    action = next_action(floor, item)
    return action if action.ready else None


def nearly_over(floors: Sequence[Floor]) -> tuple[ClockView, ...]:
    """Open times about to end: the clamps must be on by then."""
    return tuple(clock_view(floor, call.running) for floor, call in _calls(floors) if call.why == "soon")


def anything_runs(floors: Sequence[Floor]) -> bool:
    """Whether any clock is running, or has ended and isn't answered; while one does, the display never sleeps."""
    return any(running_waits(floor.run, floor.state) for floor in floors)


def _calls(floors: Sequence[Floor]) -> list[tuple[Floor, Call]]:
    calls = [(floor, call) for floor in floors for call in calling(floor.run, floor.state, floor.now)]
    return sorted(calls, key=lambda each: (each[1].running.wait.at_least, each[1].left))
