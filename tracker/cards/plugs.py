"""Plugs: which holes of an assembly get one, and what it is cut from, so that it disappears."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.cards.floor import Floor


@dataclass(frozen=True, slots=True, kw_only=True)
class PlugLine:
    """Holes of one part that take the same plug."""

    title: str
    said: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlugsCard:
    """Every hole of an assembly that is to be plugged."""

    key: str
    title: str
    lines: tuple[PlugLine, ...]

    @property
    def count(self) -> int:
        return sum(line.count for line in self.lines)

    @property
    def count_words(self) -> str:
        """`12 plugs`."""
        return f"{self.count} {'plug' if self.count == 1 else 'plugs'}"


def plugs_card(floor: Floor, key: str) -> PlugsCard:
    """The holes of an assembly."""
    item = floor.item(key)
    return PlugsCard(key=key, title=item.title, lines=())
