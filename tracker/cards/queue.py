"""A station's queue: what can be done here now, grouped by setup, and what waits for what."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tracker.cards.floor import Floor
from tracker.cards.marks import Tone
from tracker.plan.saw import setting
from tracker.work.decide import Do, next_step
from tracker.work.run import Item
from tracker.work.steps import Station, Step

STATION_WORDS: dict[Station, str] = {
    "saw": "Saw",
    "drill": "Drill",
    "bench": "Bench",
    "sanding": "Sanding",
    "finishing": "Finishing",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class QueueRow:
    """A piece or an assembly in the queue."""

    key: str
    title: str
    said: str
    tone: Tone


@dataclass(frozen=True, slots=True, kw_only=True)
class QueueGroup:
    """All that is done with one setup."""

    title: str
    setup: str
    rows: tuple[QueueRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class QueueCard:
    """A station's queue, what is ready first."""

    station: Station
    title: str
    groups: tuple[QueueGroup, ...]
    empty: str
    counts: tuple[tuple[Station, int], ...]
    """How much is ready at every station, so that nobody searches an empty one."""


def queue_card(floor: Floor, station: Station) -> QueueCard:
    """The queue of one station."""
    here: dict[tuple[str, str], list[QueueRow]] = {}
    waiting: list[QueueRow] = []
    counts: dict[Station, int] = dict.fromkeys(STATION_WORDS, 0)
    for item in floor.run.items.values():
        step = next_step(floor.run, floor.state, item)
        if step is None:
            continue
        refusal = floor.refusal(Do(item.key, step.id))
        counts[step.station] += refusal is None
        if step.station != station:
            continue
        if refusal is None:
            group = (step.verb, _setup(floor, item, step))
            row = QueueRow(key=item.key, title=item.title, said=_size(floor, item, step), tone="ready")
            here.setdefault(group, []).append(row)
        else:
            waiting.append(QueueRow(key=item.key, title=item.title, said=refusal.reason, tone="waiting"))
    groups = [QueueGroup(title=verb, setup=setup, rows=tuple(rows)) for (verb, setup), rows in here.items()]
    if waiting:
        groups.append(QueueGroup(title="Waits", setup="", rows=tuple(waiting)))
    return QueueCard(
        station=station,
        title=STATION_WORDS[station],
        groups=tuple(groups),
        empty=_empty(station, counts.items()),
        counts=tuple(counts.items()),
    )


_HERE: dict[Station, str] = {
    "saw": "at the saw",
    "drill": "at the drill",
    "bench": "at the bench",
    "sanding": "to sand",
    "finishing": "to finish",
}


def _empty(station: Station, counts: Iterable[tuple[Station, int]]) -> str:
    elsewhere = [f"{STATION_WORDS[name]} {count}" for name, count in counts if count and name != station]
    there = f" Ready elsewhere: {', '.join(elsewhere)}." if elsewhere else ""
    return f"Nothing is ready {_HERE[station]}.{there}"


def _setup(floor: Floor, item: Item, step: Step) -> str:
    """How the machine is set: pieces with the same words are done without touching it."""
    if item.kind == "assembly" or step.station != "saw":
        return ""
    if step.id not in ("cut", "trim"):
        return ""
    solid = floor.solid(item)
    length = solid.blank_length if step.id == "cut" else solid.edges.overall
    if step.id == "cut" and item.step("trim"):
        return f"square, stop {floor.read(length).text}"
    shop = floor.run.build.shop
    settings = (setting(solid.a, "A", shop), setting(solid.b, "B", shop))
    words = "; ".join(dict.fromkeys(saw.angles if saw.possible else "not on this saw" for saw in settings))
    return f"{words}, stop {floor.read(length).text}"


def _size(floor: Floor, item: Item, step: Step) -> str:
    if item.kind == "assembly":
        return step.verb
    solid = floor.solid(item)
    if step.id == "cut" and item.step("trim"):
        return f"blank {floor.read(solid.blank_length).text}"
    return floor.read(solid.length).text
