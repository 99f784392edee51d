"""Facts: what happened, written once and never changed, and how it is written down.

An entry is a fact with where it stands: `tablet` and `count` name it, `seen` is the highest count known of every tablet
when it was written (so that order needs no clock), `at` is UTC.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from typing import Any, cast

from tracker.work.steps import WaitKind

EntryId = tuple[str, int]
"""(tablet, count)."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A run was opened on this tablet."""

    run: str
    build: str
    file: str


@dataclass(frozen=True, slots=True)
class Wait:
    """A clock that was started: how long, and what the boot clock said: sleep and a changed wall clock don't matter.

    `at_least` waits (clamped, cured, dry) block until they are over; the others (open time) warn when they are.
    """

    kind: WaitKind
    seconds: int
    boot_id: str
    boot: float

    @property
    def at_least(self) -> bool:
        return self.kind != "open"


@dataclass(frozen=True, slots=True)
class Done:
    """A step was done to an item. `anyway` is the reason given for going ahead against a blocker."""

    run: str
    item: str
    step: str
    anyway: str = ""
    against: str = ""
    """The blocker that stood in the way when it was done anyway."""
    wait: Wait | None = None
    answers: tuple[EntryId, ...] = ()
    """The facts whose clocks were over and are answered by going on; taken back together with the step."""


@dataclass(frozen=True, slots=True)
class Undone:
    """An earlier fact was a mistake and is taken back."""

    tablet: str
    count: int


@dataclass(frozen=True, slots=True)
class Answered:
    """Somebody answered the clock that the named fact started."""

    tablet: str
    count: int


@dataclass(frozen=True, slots=True)
class Labelled:
    """A sheet of labels was made: `items` are the keys of the pieces, assemblies and boards that have one now."""

    run: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Unknown:
    """A fact of a kind that a later version wrote: kept, passed on, and not acted upon."""

    kind: str
    data: Mapping[str, Any]


Fact = Opened | Done | Undone | Answered | Labelled | Unknown
_KINDS: dict[str, type[Opened] | type[Done] | type[Undone] | type[Answered] | type[Labelled]] = {
    "opened": Opened,
    "done": Done,
    "undone": Undone,
    "answered": Answered,
    "labelled": Labelled,
}
_WORDS = {cls: kind for kind, cls in _KINDS.items()}


@dataclass(frozen=True, slots=True)
class Entry:
    """A fact in its place in the log."""

    tablet: str
    count: int
    seen: Mapping[str, int]
    at: datetime
    fact: Fact

    @property
    def id(self) -> EntryId:
        return (self.tablet, self.count)

    @property
    def rank(self) -> tuple[int, str, int]:
        """Sorts entries so that each comes after all that its tablet had seen, the same way on every tablet."""
        return (sum(self.seen.values()), self.tablet, self.count)


def in_order(entries: Iterable[Entry]) -> list[Entry]:
    """The one order that every tablet agrees on; an entry that was taken in twice stands once."""
    return sorted({entry.id: entry for entry in entries}.values(), key=lambda entry: entry.rank)


def to_data(fact: Fact) -> tuple[str, dict[str, Any]]:
    """A fact as (kind, plain data) for the log."""
    if isinstance(fact, Unknown):
        return fact.kind, dict(fact.data)
    data = {name: value for name, value in asdict(fact).items() if value not in ("", None, ())}
    return _WORDS[type(fact)], data


def from_data(kind: str, data: Mapping[str, Any]) -> Fact:
    """The fact that was written as (kind, data). What this version doesn't understand is Unknown, never an error."""
    cls = _KINDS.get(kind)
    if cls is None or not set(data) <= {field.name for field in fields(cls)}:
        return Unknown(kind, data)
    values = dict(data)
    try:
        if isinstance(values.get("wait"), Mapping):
            values["wait"] = Wait(**values["wait"])
        if "answers" in values:
            values["answers"] = tuple((tablet, count) for tablet, count in values["answers"])
        if "items" in values:
            values["items"] = tuple(str(key) for key in values["items"])
        return cast(Fact, cls(**values))
    except (TypeError, ValueError):
        return Unknown(kind, data)
