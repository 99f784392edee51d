"""A station's queue with the batch of each group, which the list of all work draws one by one."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.station.batch import Batch
from tracker.cards.station.station import QueueRow, group_batch, queue_card
from tracker.floor.floor import Floor
from tracker.work.operations import Station


class Group(Struct, frozen=True, kw_only=True):
    title: str
    setup: str
    rows: tuple[QueueRow, ...]
    batch: Batch | None


class Queue(Struct, frozen=True, kw_only=True):
    station: Station
    title: str
    groups: tuple[Group, ...]
    empty: str
    counts: tuple[tuple[Station, int], ...]


def with_batches(floor: Floor, station: Station) -> Queue:
    """The queue of a station, with the batches of its groups."""
    card = queue_card(floor, station)
    groups = tuple(
        Group(title=each.title, setup=each.setup, rows=each.rows, batch=group_batch(floor, each))
        for each in card.groups
    )
    return Queue(station=card.station, title=card.title, groups=groups, empty=card.empty, counts=card.counts)
