"""The checklist of a glue-up as it is drawn: each line with a short name, its question, and what is known about it."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.glueup.air import air_card
from tracker.cards.marks import Tone
from tracker.cards.piece.action import Action, next_action
from tracker.design.tables.glues import glue_named
from tracker.floor.floor import Floor
from tracker.words import say, say_many
from tracker.work import checklist as work
from tracker.work.clocks.waits import degrees
from tracker.work.decide.intents import Check, UndoEntry
from tracker.work.decide.prerequisites import next_step
from tracker.work.facts import Checked
from tracker.work.run import Item
from tracker.work.state.state import Recorded

PARTS, WARM = "parts", "warm"
_NAMES = {
    "parts": say("Parts"),
    "clamps": say("Clamps"),
    "pads": say("Pads"),
    "paper": say("Wax paper"),
    "fresh": say("Glue"),
    "warm": say("Warm enough"),
    "care": say("This glue"),
    "squeeze-out": say("Squeeze-out"),
}
_TONES: dict[work.LineState, Tone] = {"done": "done", "open": "ready", "against": "caution"}


class CheckLine(Struct, frozen=True, kw_only=True):
    """A line. `intent` is what a tap does; None where the tap opens another sheet: the parts, the shop's air."""

    check: str
    name: str
    said: str
    tone: Tone
    intent: Check | UndoEntry | None


class ChecklistCard(Struct, frozen=True, kw_only=True):
    """The checklist of one assembly, and the step that follows it."""

    key: str
    title: str
    lines: tuple[CheckLine, ...]
    action: Action

    @property
    def seen(self) -> int:
        """How many lines are done."""
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
        name = say_many("{count} clamp", "{count} clamps", count)
    if line.id == WARM:
        return _warm(floor, item, line)
    if line.id == PARTS:
        return _parts(floor, item, line)
    intent = _tap(floor, item, line, kept)
    said = ". ".join(words for words in (line.words, line.said) if words)
    return CheckLine(check=line.id, name=name, said=said, tone=_TONES[line.state], intent=intent)


def _tap(floor: Floor, item: Item, line: work.Line, kept: Recorded[Checked] | None) -> Check | UndoEntry:
    """A tap on a line ticks it, or unticks it."""
    run = floor.run.name
    return UndoEntry(kept.id, run=run) if kept else Check(item.key, line.id, run=run)


def _parts(floor: Floor, item: Item, line: work.Line) -> CheckLine:
    """A tap confirms that all parts are here; while one isn't ready, it shows them."""
    kept = floor.state.checks(floor.run, item).get(PARTS)
    ready = all(
        next_step(floor.run, floor.state, floor.item(key)) is None for key in floor.state.members(floor.run, item)
    )
    check = ready and line.state == "open"
    intent = _tap(floor, item, line, kept) if kept or check else None
    said = (
        say("all here")
        if kept
        else say("{line}: scan each, or tap when all are", line=line.said)
        if check
        else line.said
    )
    return CheckLine(check=PARTS, name=_NAMES[PARTS], said=said, tone=_TONES[line.state], intent=intent)


def _warm(floor: Floor, item: Item, line: work.Line) -> CheckLine:
    """The required temperature, in the build's degrees, beside the shop's if somebody entered it. While that is too low
    the line can't be ticked: a tap enters a new one."""
    glue, air = floor.run.build.assembly(item.id).glue, air_card(floor)
    known = glue_named(glue.name) if glue else None
    least = (
        say("{coldest} or warmer", coldest=degrees(known.coldest, floor.run.build.units))
        if known
        else say("as warm as the label asks")
    )
    kept = floor.state.checks(floor.run, item).get(line.id)
    against = line.state == "against"
    intent = None if against else _tap(floor, item, line, kept)
    shop = say("The shop: {air}, {said}. ", air=air.words, said=air.said) if air.words else ""
    return CheckLine(
        check=line.id,
        name=say("Too cold") if against else say("Warm enough"),
        said=(
            say("{shop}Glue and wood {least}", shop=shop, least=least)
            if against
            else say("{shop}Glue and wood {least}: feel both", shop=shop, least=least)
        ),
        tone=_TONES[line.state],
        intent=intent,
    )
