"""Driving screws: which ones go into an assembly, and removing those that only held while the glue dried."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.cards.piece.action import Action, next_action
from tracker.cards.piece.drill import fastener_words
from tracker.cards.words import capital
from tracker.design.model import Hole, Part
from tracker.floor.floor import Floor
from tracker.words import say, say_many
from tracker.words.sides import side
from tracker.work.decide.prerequisites import next_step
from tracker.work.operations import Step
from tracker.work.run import Item

SCREWING = frozenset({"drive screws", "take screws out"})


class ScrewLine(Struct, frozen=True, kw_only=True):
    """A line of screws: the pieces, the position, and the screw."""

    title: str
    said: str
    count: int
    temporary: bool
    words: str
    """In one line: `Board: 4 pocket screws 1 1⁄4″ No. 8`."""


class ScrewsCard(Struct, frozen=True, kw_only=True):
    """Every screw driven into an assembly, or removed from it."""

    key: str
    title: str
    lines: tuple[ScrewLine, ...]
    action: Action

    @property
    def count(self) -> int:
        return sum(line.count for line in self.lines)

    @property
    def count_words(self) -> str:
        """`12 screws`."""
        return say_many("{count} screw", "{count} screws", self.count)


def screws_card(floor: Floor, key: str, step: Step | None = None) -> ScrewsCard:
    """The screws of an assembly's own parts; for removal, only those that come out."""
    item = floor.item(key)
    step = step or next_step(floor.run, floor.state, item)
    lines = tuple(_lines(floor, item))
    if step is not None and step.operation == "take screws out":
        lines = tuple(line for line in lines if line.temporary)
    return ScrewsCard(key=key, title=item.title, lines=lines, action=next_action(floor, item))


def _lines(floor: Floor, item: Item) -> Iterator[ScrewLine]:
    members = [floor.item(key) for key in floor.state.members(floor.run, item)]
    for part in floor.run.build.parts:
        pieces = sum(member.kind == "piece" and member.id == part.id for member in members)
        if pieces:
            rows: dict[tuple[int, str], list[Hole]] = {}
            for hole in part.holes:
                if hole.kind in ("pocket", "screw", "bolt"):
                    rows.setdefault((hole.line, hole.kind), []).append(hole)
            yield from (_line(floor, part, holes, pieces) for holes in rows.values())


def _line(floor: Floor, part: Part, holes: list[Hole], pieces: int) -> ScrewLine:
    first = holes[0]
    ends = sorted({hole.end for hole in holes})
    each = sum(len(hole.from_edge) for hole in holes)
    of = say(" in each of {pieces}", pieces=pieces) if pieces > 1 else ""
    kind = {"pocket": say("pocket screw"), "screw": say("screw"), "bolt": say("bolt")}[first.kind]
    where = say("both ends") if len(ends) == 2 else say("end {ends}", ends=ends[0])
    surface = say("edge") if first.face in ("near", "far") else say("face")
    words = fastener_words(floor.run.build, part, first)
    size = words.partition(", ")[0].removeprefix("screw ").removeprefix("bolt ").replace(" fine thread", "")
    count = each * pieces
    return ScrewLine(
        title=f"{part.name}: {each} {kind}{'' if each == 1 else 's'}{of}",
        said=say(
            "At {where}, {face} {surface}. {words}.",
            where=where,
            face=side(first.face),
            surface=surface,
            words=capital(words),
        ),
        count=count,
        temporary=first.temporary,
        words=f"{part.name}: {count} {kind}{'' if count == 1 else 's'} {size.replace(' coarse thread', '')}",
    )
