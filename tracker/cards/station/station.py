"""A station's queue: what can be done here now, grouped by setup, and what waits for what."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from msgspec import Struct

from tracker.cards.builds.revision import misfit_words
from tracker.cards.marks import Tone
from tracker.cards.piece.drill import drill_setup
from tracker.cards.piece.stop import stop_words
from tracker.cards.words import brief
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import setups_of
from tracker.plan.saw import setting
from tracker.work.decide.decide import Do, next_step
from tracker.work.run import Item
from tracker.work.steps import Station, Step

STATION_WORDS: dict[Station, str] = {
    "saw": "Saw",
    "drill": "Drill",
    "bench": "Bench",
    "sanding": "Sanding",
    "finishing": "Finishing",
}


class QueueRow(Struct, frozen=True, kw_only=True):
    """A piece or an assembly in the queue."""

    key: str
    title: str
    said: str
    tone: Tone


class QueueGroup(Struct, frozen=True, kw_only=True):
    """All that is done with one setup."""

    title: str
    setup: str
    rows: tuple[QueueRow, ...]


class QueueCard(Struct, frozen=True, kw_only=True):
    """A station's queue, what is ready first."""

    station: Station
    title: str
    groups: tuple[QueueGroup, ...]
    empty: str
    counts: tuple[tuple[Station, int], ...]
    """How much is ready at every station, so that nobody searches an empty one."""


def queue_card(floor: Floor, station: Station) -> QueueCard:
    """The queue of one station, its groups in the order of work."""
    here: dict[_Group, list[QueueRow]] = {}
    known: _Known = {}
    waiting: list[QueueRow] = []
    counts: dict[Station, int] = dict.fromkeys(STATION_WORDS, 0)
    misfits: list[QueueRow] = []
    for item in floor.run.items.values():
        step = next_step(floor.run, floor.state, item)
        if station == "saw" and (older := misfit_words(floor.run, floor.state, item)):
            misfits.append(QueueRow(key=item.key, title=brief(item.title), said=older, tone="caution"))
        if step is None:
            continue
        refusal = floor.refusal(Do(item.key, step.id, run=floor.run.name))
        counts[step.station] += refusal is None
        if step.station != station or any(row.key == item.key for row in misfits[-1:]):
            continue
        if refusal is None:
            group, said = _alike(floor, item, step, known)
            here.setdefault(group, []).append(QueueRow(key=item.key, title=brief(item.title), said=said, tone="ready"))
        else:
            waiting.append(QueueRow(key=item.key, title=brief(item.title), said=refusal.reason, tone="waiting"))
    ordered = sorted(here.items(), key=lambda pair: pair[0].place)
    groups = [QueueGroup(title=group.title, setup=group.setup, rows=tuple(rows)) for group, rows in ordered]
    if misfits:
        groups.insert(0, QueueGroup(title="No longer fits", setup="the build was revised", rows=tuple(misfits)))
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


class _Group(NamedTuple):
    """What is done without touching the machine; `place` is where it comes in the order of work."""

    title: str
    setup: str
    place: tuple[float, ...] = ()


_Known = dict[tuple[str, str | None, str, str | None], tuple[_Group, str]]


def _alike(floor: Floor, item: Item, step: Step, known: _Known) -> tuple[_Group, str]:
    """Group and size of an item; all pieces of one part and hand that go to the same place are alike."""
    kind = (item.id, item.hand, step.id, floor.state.into(floor.run, item))
    if kind not in known:
        known[kind] = (_group(floor, item, step), _size(floor, item, step))
    return known[kind]


def _group(floor: Floor, item: Item, step: Step) -> _Group:
    """By setup at the saw, by depth and screw at the drill, by assembly at the bench, by grit, by coat."""
    if step.station == "saw":
        return _Group(step.verb, _saw(floor, item, step), _saw_place(floor, item, step))
    if step.station == "drill" and item.kind == "piece":
        drill = drill_setup(floor, item)
        return _Group(drill.title, drill.words)
    if step.station == "bench":
        return _Group(*_bench(floor, item))
    if step.station == "sanding":
        return _Group(step.verb, "", (step.grit,))
    finish = floor.run.build.assembly(item.id).finish if item.kind == "assembly" else None
    return _Group(step.verb, finish.kind if finish else "", (step.coat,))


def _bench(floor: Floor, item: Item) -> tuple[str, str]:
    """Pieces stand with the assembly that they go into; the assembly itself says how it is joined."""
    into = item.key if item.kind == "assembly" else floor.state.into(floor.run, item)
    if not into:
        return item.name, "goes into nothing"
    assembly = floor.run.build.assembly(floor.item(into).id)
    by = assembly.glue.name if assembly.glue else assembly.by
    clamps = f", {assembly.clamps} clamp{'' if assembly.clamps == 1 else 's'}" if assembly.clamps else ""
    return assembly.name, f"{by}{clamps}"


def _saw(floor: Floor, item: Item, step: Step) -> str:
    """How the saw is set: pieces with the same words are cut without touching it."""
    if item.kind == "assembly":
        return ""
    part, solid = floor.part(item), floor.solid(item)
    if step.operation == "rip":
        return f"fence {floor.read(part.width).text}"
    if step.operation == "taper":
        leave = dict.fromkeys(f"{floor.read(taper.leave).text} left at end {taper.end}" for taper in solid.tapers)
        return ", ".join(leave)
    if step.operation not in ("cut", "trim"):
        return ""
    stop = stop_words(floor, item, step)
    if step.operation == "cut" and item.step("trim"):
        return ", ".join(word for word in ("square", stop) if word)
    shop = floor.run.build.shop
    settings = (setting(solid.a, "A", shop), setting(solid.b, "B", shop))
    words = "; ".join(dict.fromkeys(saw.angles if saw.possible else "not on this saw" for saw in settings))
    return ", ".join(word for word in (words, stop) if word)


def _saw_place(floor: Floor, item: Item, step: Step) -> tuple[float, ...]:
    """In the order of the plan's setups; what has none comes after."""
    setups = setups_of(floor, item, step) if item.kind == "piece" else ()
    return (setups[0].order,) if setups else (float("inf"),)


def _size(floor: Floor, item: Item, step: Step) -> str:
    if item.kind == "assembly":
        return step.verb
    solid = floor.solid(item)
    if step.id == "cut" and item.step("trim"):
        return f"blank {floor.read(solid.along_board).text}"
    return floor.read(solid.length).text
