"""What was last done to a board, or to its plan, and how to undo it."""

from __future__ import annotations

from msgspec import Struct

from tracker.floor.cut_progress import AtTheSaw, cut_from, cut_step
from tracker.floor.floor import Floor
from tracker.words import say
from tracker.work.decide.intents import Intent, Refusal, UndoEntry, UndoLast
from tracker.work.run import Item


class BoardUndo(Struct, frozen=True, kw_only=True):
    """What was last done to the current board, or to the plan, and how to undo it."""

    text: str
    intent: Intent
    refusal: Refusal | None = None


def board_undo(floor: Floor, saw: AtTheSaw) -> BoardUndo | None:
    """Undo the latest of: a cut from this board, an offcut of it racked, the choice of the plan."""
    run, state = floor.run, floor.state
    found: list[tuple[tuple[int, str, int], BoardUndo]] = []
    for key in saw.cut:
        item = floor.item(key)
        tick = state.tick(run, item, cut_step(item))
        if tick:
            found.append((tick.first.rank, _undo_cut(floor, item)))
    for name, kept in state.racked(run).items():
        if kept.fact.board == saw.board.key:
            back = UndoEntry(kept.id, run=floor.run.name)
            found.append(
                (
                    kept.entry.rank,
                    BoardUndo(text=say("{name} on the rack", name=name), intent=back, refusal=floor.refusal(back)),
                )
            )
    plan = state.whole(run).boards
    if plan is not None and not any(cut_from(floor, item.key) for item in run.pieces):
        back = UndoEntry(plan.id, run=floor.run.name)
        found.append((plan.entry.rank, BoardUndo(text=say("this plan"), intent=back, refusal=floor.refusal(back))))
    return max(found, key=lambda each: each[0])[1] if found else None


def undo_spoiled(floor: Floor) -> BoardUndo | None:
    """Undo the last spoiling of a piece: it is good after all."""
    spoils = [kept for item in floor.run.pieces for kept in floor.state.spoils(floor.run, item)]
    if not spoils:
        return None
    last = max(spoils, key=lambda kept: kept.entry.rank)
    back = UndoEntry(last.id, run=floor.run.name)
    name = floor.item(last.fact.item).short
    return BoardUndo(text=say("{name} spoiled", name=name), intent=back, refusal=floor.refusal(back))


def _undo_cut(floor: Floor, item: Item) -> BoardUndo:
    last = floor.state.of(floor.run, item)[-1]
    back = UndoLast(item.key, run=floor.run.name)
    if last.step != cut_step(item):
        step = item.step(last.step)
        past = step.past if step else last.step
        return BoardUndo(
            text=item.short,
            intent=back,
            refusal=Refusal(say("{name} is {past}: take that back first.", name=item.short, past=past)),
        )
    return BoardUndo(text=say("{name} cut", name=item.short), intent=back, refusal=floor.refusal(back))
