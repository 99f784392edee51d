"""The one large button of a card, and the marks above it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct

from tracker.cards.cautions import finish_caution, step_caution
from tracker.cards.history import words_of
from tracker.cards.marks import MarkView, Sign
from tracker.cards.piece.milled import together
from tracker.cards.words import capital
from tracker.floor.board_words import names_of, place_to_cut
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import next_step, passes_left
from tracker.measure.span import rough
from tracker.words import say
from tracker.work.decide.decide import AT_RISK, blockers
from tracker.work.decide.intents import Do, Refusal, UndoEntry, UndoLast
from tracker.work.decide.undo import last_ticks
from tracker.work.facts import Answered, Done
from tracker.work.misfits import misfits, steps_that_differ
from tracker.work.operations import Step, WaitKind, step_named
from tracker.work.run import Item
from tracker.work.state.records import Tick

_QUIET = (Answered,)
"""Facts that belong to others: going on also answers a clock."""


NOT_YET = say("Not yet. Tap to override.")
"""Shown on a blocked button, which is grey but still responds."""


class Go(Struct, frozen=True, kw_only=True):
    """Where a tap on the large button leads when it ticks nothing."""

    to: Literal["assembly", "station", "options", "next step"]
    key: str = ""
    """The key of the item, or the station."""


class Action(Struct, frozen=True, kw_only=True):
    """What the large button does. `refusal` is why its tap would be refused now; None when it would be carried out."""

    text: str
    """What a tap claims, `Side 1 is cut`; or where it leads, `Go to Ring`."""
    then: str = ""
    """What follows, in smaller type: the clock that it starts, or the next piece."""
    intent: Do | None
    refusal: Refusal | None = None
    caution: str = ""
    name: str = ""
    """The item's name in a question."""
    go: Go | None = None

    @property
    def ready(self) -> bool:
        return self.intent is not None and self.refusal is None

    @property
    def why(self) -> str:
        """What is in the way, as a sentence."""
        return self.refusal.reason if self.refusal else ""


class Undo(Struct, frozen=True, kw_only=True):
    """The undo of the last thing that happened to an item."""

    text: str
    """`Undo: Side 1: cut`, `Undo: all 6: cut`."""
    name: str
    """What it undoes: `Side 1`, `both`, `all 6`."""
    key: str
    """The item that it belongs to."""
    intent: UndoLast | UndoEntry
    refusal: Refusal | None
    several: bool = False
    """Whether it undoes the ticks of several items."""


def chosen_step(floor: Floor, item: Item, chosen: str = "") -> Step | None:
    """The chosen step if it may be done next; otherwise the next one of the route."""
    step = next_step(floor, item)
    left = passes_left(floor, item, step) if step else ()
    return next((each for each in left if each.id == chosen), step)


def next_action(floor: Floor, item: Item, step: Step | None = None) -> Action:
    """A step of an item, by default the next one, as its button."""
    step = step or next_step(floor, item)
    wrong = misfits(floor.run, floor.state, item)
    if wrong and (step is None or any(each.verdict == "too small" for each in wrong)):
        return Action(text=say("Measure, or make another"), intent=None, go=Go(to="options", key=item.key))
    if step is None:
        place = floor.state.into(floor.run, item)
        if not place:
            return Action(text=say("All done"), intent=None)
        return Action(
            text=say("Go to {name}", name=floor.item(place).short),
            intent=None,
            go=Go(to="assembly", key=place),
        )
    on_board = place_to_cut(floor, item) if step.id == "cut" else None
    board, at = (on_board[0].key, on_board[1].at) if on_board else ("", 0)
    intent = Do(item.key, step.id, board=board, at=at, run=floor.run.name)
    text, then = claim(floor, item, step)
    refusal = floor.refusal(intent)
    return Action(
        text=text,
        then=NOT_YET if refusal is not None and refusal.overridable else then,
        intent=intent,
        refusal=refusal,
        caution=_caution(floor, item, step),
        name=item.short,
    )


_STARTS: dict[WaitKind, str] = {
    "cure": say("then it cures for {time}"),
    "recoat": say("then it dries for {time}"),
    "dry": say("then the finish cures for {time}"),
}


def claim(floor: Floor, item: Item, step: Step) -> tuple[str, str]:
    """What a tap claims, and the clock that it starts: an open time together with the clamp time."""
    keys = together(floor, item) if step.id in item.shared else ()
    names = names_of(floor.run, keys) if len(keys) > 1 else ""
    text = step.all_claim.format(names=names) if names else step.claim.format(name=item.short)
    text = capital(text)
    wait = floor.state.wait_of(floor.run, item, step.starts) if step.starts else None
    if step.starts is None or wait is None:
        return text, ""
    if step.starts in _STARTS:
        return text, _STARTS[step.starts].format(time=rough(wait.span.seconds))
    return say("{text}: start {span}", text=text, span=wait.span.text), ""


def _caution(floor: Floor, item: Item, step: Step) -> str:
    finish = floor.run.build.assembly(item.id).finish if item.kind == "assembly" and step.coat else None
    return finish_caution(finish) if finish else step_caution(step)


def undo(floor: Floor, item: Item) -> Undo | None:
    """What can be undone here: the last step, or what was measured, noted or decided since."""
    past = floor.state.history(floor.run, item)
    last = next(
        (each.entry for each in past if each.undone_by is None and not isinstance(each.entry.fact, _QUIET)), None
    )
    if last is None:
        return None
    if not isinstance(last.fact, Done):
        entry, words = UndoEntry(last.id, run=floor.run.name), words_of(floor, last.fact)
        return Undo(
            text=say("Undo: {words}", words=words),
            name=item.short,
            key=item.key,
            intent=entry,
            refusal=floor.refusal(entry),
        )
    return undo_step(floor, item)


def undo_step(floor: Floor, item: Item) -> Undo | None:
    """Undo the last step of an item, and everything ticked by the same hold."""
    together = last_ticks(floor.run, floor.state, item)
    if not together:
        return None
    _, tick = together[0]
    step = item.step(tick.step) or step_named(tick.step)
    count = len(together)
    name = say("both") if count == 2 else say("all {count}", count=count) if count > 2 else item.short
    intent = UndoLast(item.key, run=floor.run.name)
    return Undo(
        text=say("Undo: {name}: {past}", name=name, past=step.past),
        name=name,
        key=item.key,
        intent=intent,
        refusal=floor.refusal(intent),
        several=count > 1,
    )


def marks(floor: Floor, item: Item) -> tuple[MarkView, ...]:
    """The item's route as marks, and for a piece the gluing of its assembly."""
    wrong = steps_that_differ(floor.run, floor.state, item)
    own = tuple(MarkView(step.mark, "caution" if step.id in wrong else sign(floor, item, step)) for step in item.route)
    place = floor.state.into(floor.run, item) if item.kind == "piece" else None
    if place:
        whole = floor.item(place)
        joining = whole.step("unclamp") or whole.step("attach") or whole.step("drive screws")
        if joining:
            return (*own, MarkView(joining.mark, "done" if floor.state.is_done(floor.run, whole, joining.id) else ""))
    return own


def sign(floor: Floor, item: Item, step: Step) -> Sign:
    """The mark of one step. A later step has none; for two ends, either may be next."""
    if floor.state.is_done(floor.run, item, step.id):
        return "done"
    following = next_step(floor, item)
    if following is None or step not in passes_left(floor, item, following):
        return ""
    refusal = floor.refusal(Do(item.key, step.id, run=floor.run.name))
    return "ready" if refusal is None or opens(floor, item, step) else "waiting"


OPENS: dict[str, Literal["prove", "checks"]] = {"proof": "prove", "unchecked": "checks"}
"""What is answered on a sheet of its own, by the kind of blocker."""


def opens(floor: Floor, item: Item, step: Step) -> Literal["prove", "checks"] | None:
    """The sheet on which a step is done by answering it; None where nothing or anything else is in the way."""
    kinds = {blocker.kind for blocker in blockers(floor.run, floor.state, item, step, floor.now)}
    return OPENS.get(kinds.pop()) if len(kinds) == 1 else None


def exceptions(floor: Floor, item: Item) -> Iterator[str]:
    """What was done before its time, by the words of its marks, and what else was done at the maker's own risk. It
    counts as done; the reasons, and what was in the way, are in the history."""
    against = [tick for tick in floor.state.of(floor.run, item) if tick.done.anyway]
    early = [tick for tick in against if tick.early]
    risky = [tick for tick in against if not tick.early and tick.done.anyway == AT_RISK]
    if len(early) == 1:
        time = rough(early[0].early)
        yield say("Done {time} early: {steps}", time=time, steps=_mark_words(item, early))
    elif early:
        yield say("Done early: {steps}", steps=_mark_words(item, early))
    if risky:
        yield say("Done at your own risk: {steps}", steps=_mark_words(item, risky))


def _mark_words(item: Item, ticks: Sequence[Tick]) -> str:
    """`glued, coat 1`; a coat stays on the line of its number."""
    marks = [(item.step(tick.step) or step_named(tick.step)).mark for tick in ticks]
    return ", ".join(re.sub(r" (?=\d+$)", "\u00a0", mark) for mark in marks)
