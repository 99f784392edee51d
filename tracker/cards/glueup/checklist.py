"""The checklist of a glue-up as it is drawn: each line with a short name, what it asks, and what is known about it."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.glueup.air import air_card
from tracker.cards.marks import Tone
from tracker.cards.piece.action import Action, next_action
from tracker.design.tables.glues import glue_named
from tracker.floor.floor import Floor
from tracker.work import checklist as work
from tracker.work.clocks.waits import degrees
from tracker.work.decide.intents import Check, UndoEntry
from tracker.work.facts import Checked
from tracker.work.run import Item
from tracker.work.state.state import Recorded

PARTS, WARM = "parts", "warm"
_NAMES = {
    "parts": "Parts in",
    "clamps": "Clamps",
    "pads": "Pads",
    "paper": "Wax paper",
    "fresh": "Glue fresh",
    "warm": "Warm enough",
    "care": "Mind",
    "squeeze-out": "Squeeze-out",
}
_TONES: dict[work.LineState, Tone] = {"seen to": "done", "open": "ready", "against": "caution"}


class CheckLine(Struct, frozen=True, kw_only=True):
    """A line. `intent` is what a tap does; None where it opens a sheet of its own: the parts, the shop's air."""

    check: str
    name: str
    said: str
    tone: Tone
    intent: Check | UndoEntry | None


class ChecklistCard(Struct, frozen=True, kw_only=True):
    """The checklist of one assembly, and the tap that it leads to."""

    key: str
    title: str
    lines: tuple[CheckLine, ...]
    action: Action

    @property
    def seen(self) -> int:
        """How many lines are seen to."""
        return sum(line.tone == "done" for line in self.lines)


def checklist_card(floor: Floor, key: str) -> ChecklistCard:
    """The checklist of one assembly."""
    item = floor.item(key)
    lines = tuple(_line(floor, item, line) for line in work.checklist(floor.run, floor.state, item))
    return ChecklistCard(key=key, title=item.title, lines=lines, action=next_action(floor, item))


def _line(floor: Floor, item: Item, line: work.Line) -> CheckLine:
    kept = floor.state.checks(floor.run, item).get(line.id)
    name = _NAMES.get(line.id, line.words)
    if line.id == "clamps" and (count := floor.run.build.assembly(item.id).clamps):
        name = f"{count} {'clamp' if count == 1 else 'clamps'}"
    if line.id == WARM:
        return _warm(floor, item, line)
    if line.id == PARTS:
        said = "all here, seen by a person" if kept else line.said
        return CheckLine(check=PARTS, name=name, said=said, tone=_TONES[line.state], intent=None)
    intent = _tap(floor, item, line, kept)
    said = ". ".join(words for words in (line.words, line.said) if words)
    return CheckLine(check=line.id, name=name, said=said, tone=_TONES[line.state], intent=intent)


def _tap(floor: Floor, item: Item, line: work.Line, kept: Recorded[Checked] | None) -> Check | UndoEntry:
    """A tap on a line ticks it, or takes that back."""
    run = floor.run.name
    return UndoEntry(kept.id, run=run) if kept else Check(item.key, line.id, run=run)


def _warm(floor: Floor, item: Item, line: work.Line) -> CheckLine:
    """In the build's degrees. A tap enters the shop's air while that isn't known, or is of another day."""
    glue, air = floor.run.build.assembly(item.id).glue, air_card(floor)
    known = glue_named(glue.name) if glue else None
    least = f"at {degrees(known.coldest, floor.run.build.units)} or more" if known else "as warm as the label asks"
    kept = floor.state.checks(floor.run, item).get(line.id)
    against = line.state == "against"
    intent = None if against or air.stale else _tap(floor, item, line, kept)
    ask = "enter the shop's air" if air.stale else "feel the wood and the bottle"
    shop = f"The shop: {air.words}, {air.said}. " if air.words else ""
    return CheckLine(
        check=line.id,
        name="Too cold" if against else "Warm enough",
        said=f"{shop}Glue and wood {least}: {ask}" if not against else f"{shop}Glue and wood {least}",
        tone=_TONES[line.state],
        intent=intent,
    )
