"""Plugs: which holes of an assembly get one, and which wood to cut it from, so that it doesn't show."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.piece.action import Action, next_action
from tracker.cards.words import capital
from tracker.floor.floor import Floor
from tracker.plan.plugs import PlugHoles, plug_holes
from tracker.words import say, say_many
from tracker.words.sides import side


class PlugLine(Struct, frozen=True, kw_only=True):
    """A line of holes: their position, and what to cut their plugs from."""

    title: str
    said: str
    count: int


class PlugsCard(Struct, frozen=True, kw_only=True):
    """Every hole of an assembly that gets a plug."""

    key: str
    title: str
    lines: tuple[PlugLine, ...]
    action: Action

    @property
    def count(self) -> int:
        """How many plugs to cut."""
        return sum(line.count for line in self.lines)

    @property
    def count_words(self) -> str:
        """`12 plugs`."""
        return say_many("{count} plug", "{count} plugs", self.count)


def plugs_card(floor: Floor, key: str) -> PlugsCard:
    """The holes of an assembly."""
    item = floor.item(key)
    lines = tuple(_line(floor, holes) for holes in plug_holes(floor.run.build, item.id))
    return PlugsCard(key=key, title=item.title, lines=lines, action=next_action(floor, item))


def _line(floor: Floor, holes: PlugHoles) -> PlugLine:
    wide = f"{floor.read(holes.diameter).text} " if holes.diameter else ""
    where = say("end {end}, {face} face", end=holes.end, face=side(holes.face))
    of = say(" in each of {pieces}", pieces=holes.pieces) if holes.pieces > 1 else ""
    slope = say("set at the pocket's slope, pared flush") if holes.angled else say("set square, pared flush")
    return PlugLine(
        title=f"{holes.name}: {holes.each} {wide}{holes.kind} {('hole' if holes.each == 1 else 'holes')}{of}",
        said=f"{where}. {capital(holes.match)}; {slope}.",
        count=holes.count,
    )
