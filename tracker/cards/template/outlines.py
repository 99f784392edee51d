"""Which outline belongs to what: cheap, for cards that only ask whether there is one."""

from __future__ import annotations

from tracker.floor.floor import Floor


def outline_of(floor: Floor, key: str) -> str:
    """The id of the outline that a piece or an assembly is sawn to; empty where there is none."""
    item = floor.item(key)
    return next((each.id for each in floor.run.build.outlines if each.of == item.id), "")
