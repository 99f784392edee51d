"""The list of all that can be done at a station, over the whole screen."""

from __future__ import annotations

from collections.abc import Hashable

from kivy.properties import ListProperty, ObjectProperty

from tracker.cards.station.station import QueueCard, group_batch, queue_card
from tracker.floor.floor import Floor
from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover
from tracker.screens.places.batch_bar import cells_of
from tracker.screens.toolkit.list_rows import RowView


class WorkSheet(Cover):
    """Everything that can be done at the station; a tap makes it the current item."""

    rows = ListProperty([])
    selected = ObjectProperty(None, allownone=True)

    def draw(self) -> None:
        desk = the_desk()
        self.rows = queue_rows(desk.floor(), queue_card(desk.floor(), desk.station))

    def choose(self, key: Hashable) -> None:
        """A row was tapped, or a piece of a strip."""
        self.close()
        item, step = key if isinstance(key, tuple) else (key, "")
        the_desk().show_item(item, step)


def queue_rows(floor: Floor, queue: QueueCard) -> list[RowView]:
    """The groups of a queue in one list: each a heading, and below it its pieces, as numbers where they are equal."""
    rows: list[RowView] = []
    for group in queue.groups:
        batch = group_batch(floor, group)
        strips = batch.strips if batch else ()
        of = f": {strips[0].name}" if len(strips) == 1 else ""
        rows.append(RowView(title=f"{group.title}{of}", subtitle=group.setup, group=True))
        if batch is None:
            rows += [RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.key) for row in group.rows]
            continue
        rows += [RowView(title="" if of else strip.name, cells=cells_of(strip)) for strip in strips]
    return rows
