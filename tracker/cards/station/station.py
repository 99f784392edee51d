"""A station's queue: what can be done here now, grouped by setting, and what waits for what."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.builds.revision import misfit_words
from tracker.cards.marks import Sign
from tracker.cards.station.batch import MANY, Batch, batch_of
from tracker.cards.station.settings_of_work import Setting, size_words, work_setting
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import next_step, passes_left
from tracker.words import say
from tracker.work.decide.decide import Do, Refusal
from tracker.work.operations import Station, Step
from tracker.work.run import Item

STATION_WORDS: dict[Station, str] = {
    "saw": say("Saw"),
    "drill": say("Drill"),
    "bench": say("Bench"),
    "sanding": say("Sanding"),
    "finishing": say("Finishing"),
}


class QueueRow(Struct, frozen=True, kw_only=True):
    """A piece or an assembly in the queue, listed for `step`."""

    key: str
    title: str
    said: str
    tone: Sign
    step: str = ""


class QueueGroup(Struct, frozen=True, kw_only=True):
    """Everything done with one setting."""

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
    here: dict[Setting, list[QueueRow]] = {}
    known: dict[Hashable, _Standing] = {}
    waiting: list[QueueRow] = []
    counts: dict[Station, int] = dict.fromkeys(STATION_WORDS, 0)
    misfits: list[QueueRow] = []
    for item in floor.run.items.values():
        kind = floor.alike_key(item)
        if kind not in known:
            known[kind] = _standing(floor, item, station)
        mine = known[kind]
        title = item.title
        if mine.older:
            misfits.append(QueueRow(key=item.key, title=title, said=mine.older, tone="caution"))
        if mine.step is None:
            continue
        counts[mine.step.station] += mine.refusal is None
        if mine.step.station != station or mine.older:
            continue
        if mine.refusal is not None:
            waiting.append(
                QueueRow(key=item.key, title=title, said=mine.refusal.reason, tone="waiting", step=mine.step.id)
            )
        for setting, said, step in mine.ready:
            here.setdefault(setting, []).append(
                QueueRow(key=item.key, title=title, said=said, tone="ready", step=step.id)
            )
    return QueueCard(
        station=station,
        title=STATION_WORDS[station],
        groups=tuple(_groups(floor, here, waiting, misfits)),
        empty=_empty(station, counts.items()),
        counts=tuple(counts.items()),
    )


def nothing_to_glue(floor: Floor) -> QueueCard:
    """What is shown at the glue-up where a build joins nothing: where its pieces are ready."""
    return replace(queue_card(floor, "bench"), groups=(), empty=say("Nothing to glue: this build joins nothing."))


def _groups(
    floor: Floor, here: Mapping[Setting, list[QueueRow]], waiting: list[QueueRow], misfits: list[QueueRow]
) -> Iterator[QueueGroup]:
    """What no longer fits the file, then each setting in the order of work, then what waits."""
    if misfits:
        yield QueueGroup(title=say("Made to the old version"), setup=say("the build was revised"), rows=tuple(misfits))
    for setting, rows in sorted(here.items(), key=lambda pair: pair[0].place):
        yield QueueGroup(title=setting.title, setup=setting.words, rows=tuple(rows))
    if waiting:
        yield QueueGroup(title=say("Waiting"), setup="", rows=tuple(_counted(floor, waiting)))


def _counted(floor: Floor, rows: list[QueueRow]) -> Iterator[QueueRow]:
    """What waits; many pieces of one part that wait for the same thing are one row."""
    alike: dict[tuple[str, str], list[QueueRow]] = {}
    for row in rows:
        alike.setdefault((floor.item(row.key).id, row.said), []).append(row)
    for same in alike.values():
        if len(same) <= MANY:
            yield from same
            continue
        row, *_ = same
        first = floor.item(row.key)
        yield replace(row, title=say("{first}, {count} of {of}", first=first.name, count=len(same), of=first.of))


def group_batch(floor: Floor, group: QueueGroup) -> Batch | None:
    """The pieces of a group as strips of numbers, including those that are done; None where there is only one, or where
    the group isn't one of pieces that are ready."""
    row = group.rows[0]
    item = floor.item(row.key)
    step = item.step(row.step)
    if row.tone != "ready" or item.kind != "piece" or step is None:
        return None
    batch = batch_of(floor, item, step)
    return batch if len(batch.places) > 1 else None


_HERE: dict[Station, str] = {
    "saw": say("to saw"),
    "drill": say("to drill"),
    "bench": say("to do at the bench"),
    "sanding": say("to sand"),
    "finishing": say("to finish"),
}


def _empty(station: Station, counts: Iterable[tuple[Station, int]]) -> str:
    there = "".join(f" {sentence}" for sentence in _elsewhere(station, counts))
    return say("Nothing {here} yet.{there}", here=_HERE[station], there=there)


def _elsewhere(station: Station, counts: Iterable[tuple[Station, int]]) -> Iterator[str]:
    ready = [f"{STATION_WORDS[name]} {count}" for name, count in counts if count and name != station]
    if ready:
        yield say("Ready elsewhere: {ready}.", ready=", ".join(ready))


class _Standing(Struct, frozen=True, kw_only=True):
    """What the queue needs to know about an item; all equal pieces share one answer."""

    step: Step | None
    refusal: Refusal | None
    older: str
    """In what it no longer fits the file."""
    ready: tuple[tuple[Setting, str, Step], ...]
    """Each step that can be done now, with its setting and the item's size."""


def _standing(floor: Floor, item: Item, station: Station) -> _Standing:
    older = misfit_words(floor.run, floor.state, item) if station == "saw" else ""
    step = next_step(floor, item)
    refusal = floor.refusal(Do(item.key, step.id, run=floor.run.name)) if step else None
    passes = passes_left(floor, item, step) if step and step.station == station and not older and not refusal else ()
    ready = tuple((work_setting(floor, item, each), size_words(floor, item, each), each) for each in passes)
    return _Standing(step=step, refusal=refusal, older=older, ready=ready)
