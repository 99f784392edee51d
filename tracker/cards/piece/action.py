"""The one large button of a card, and the marks above it."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.history import words_of
from tracker.cards.marks import MarkView, Tone
from tracker.cards.words import CAUTIONS, brief, finish_caution
from tracker.floor.board_of_piece import place_to_cut
from tracker.floor.floor import Floor
from tracker.work.decide.decide import next_step
from tracker.work.decide.intents import Do, Refusal, UndoEntry, UndoLast
from tracker.work.facts import Answered, Done
from tracker.work.run import Item
from tracker.work.steps import Step

_QUIET = (Answered,)
"""Facts that go with others: a clock is answered by going on."""


class Action(Struct, frozen=True, kw_only=True):
    """What the large button does. `refusal` is what its tap would be told now; None when it would be done."""

    text: str
    intent: Do | None
    refusal: Refusal | None = None
    caution: str = ""

    @property
    def ready(self) -> bool:
        return self.intent is not None and self.refusal is None

    @property
    def why(self) -> str:
        """What stands in the way, as a sentence."""
        return self.refusal.reason if self.refusal else ""


class Undo(Struct, frozen=True, kw_only=True):
    """Taking back the last thing that happened to an item."""

    text: str
    intent: UndoLast | UndoEntry
    refusal: Refusal | None


def next_action(floor: Floor, item: Item) -> Action:
    """The next step of an item as its button."""
    step = next_step(floor.run, floor.state, item)
    if step is None:
        place = floor.state.into(floor.run, item)
        into = brief(floor.item(place).short, 18) if place else ""
        return Action(text=f"To {into}" if into else "All done", intent=None)
    on_board = place_to_cut(floor, item) if step.id == "cut" else None
    intent = (
        Do(item.key, step.id, board=on_board[0].key, at=on_board[1].at, run=floor.run.name)
        if on_board
        else Do(item.key, step.id, run=floor.run.name)
    )
    return Action(text=step.verb, intent=intent, refusal=floor.refusal(intent), caution=_caution(floor, item, step))


def _caution(floor: Floor, item: Item, step: Step) -> str:
    finish = floor.run.build.assembly(item.id).finish if item.kind == "assembly" and step.coat else None
    return finish_caution(finish) if finish else CAUTIONS[step.station]


def undo(floor: Floor, item: Item) -> Undo | None:
    """What can be taken back here: the last step, or what was measured, noted or decided since."""
    past = floor.state.history(floor.run, item)
    last = next(
        (each.entry for each in past if each.undone_by is None and not isinstance(each.entry.fact, _QUIET)), None
    )
    if last is None:
        return None
    intent = (
        UndoLast(item.key, run=floor.run.name)
        if isinstance(last.fact, Done)
        else UndoEntry(last.id, run=floor.run.name)
    )
    return Undo(text=f"Undo: {words_of(floor, last.fact)}", intent=intent, refusal=floor.refusal(intent))


def marks(floor: Floor, item: Item) -> tuple[MarkView, ...]:
    """The item's route as marks, and for a piece the gluing of what it goes into."""
    own = tuple(MarkView(step.mark, _tone(floor, item, step)) for step in item.route)
    place = floor.state.into(floor.run, item) if item.kind == "piece" else None
    if place:
        whole = floor.item(place)
        joining = whole.step("unclamp") or whole.step("attach")
        if joining:
            done = floor.state.is_done(floor.run, whole, joining.id)
            return (*own, MarkView(joining.mark, "done" if done else "waiting"))
    return own


def _tone(floor: Floor, item: Item, step: Step) -> Tone:
    for tick in floor.state.of(floor.run, item):
        if tick.step == step.id:
            return "caution" if tick.done.anyway else "done"
    if step != next_step(floor.run, floor.state, item):
        return "waiting"
    return "waiting" if floor.refusal(Do(item.key, step.id, run=floor.run.name)) else "ready"
