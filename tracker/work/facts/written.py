"""How facts are written down: each as a kind and plain data, and back.

What was written once is written the same way for ever: the log's chain is over these words. So a field that a fact
gained later is left out while it says nothing, and what this version doesn't understand is Unknown, never an error.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Literal, cast, get_args

from msgspec import NODEFAULT, Struct

from tracker.work.facts.kinds import (
    Air,
    Answered,
    BoardsPlanned,
    Checked,
    CheckedIn,
    ClockBelieved,
    Dimension,
    Done,
    Fact,
    Labelled,
    Measured,
    Noted,
    Opened,
    Overruled,
    PlannedBoard,
    PlannedCut,
    Proven,
    Racked,
    SetAside,
    Spoiled,
    Swapped,
    TakenUp,
    Undone,
    Unknown,
    Wait,
)
from tracker.work.steps import WaitKind

_KINDS: dict[str, type[Any]] = {
    "opened": Opened,
    "done": Done,
    "undone": Undone,
    "answered": Answered,
    "labelled": Labelled,
    "measured": Measured,
    "spoiled": Spoiled,
    "set aside": SetAside,
    "taken up": TakenUp,
    "swapped": Swapped,
    "noted": Noted,
    "checked": Checked,
    "checked in": CheckedIn,
    "air": Air,
    "overruled": Overruled,
    "proven": Proven,
    "clock believed": ClockBelieved,
    "boards planned": BoardsPlanned,
    "racked": Racked,
}
_WORDS = {cls: kind for kind, cls in _KINDS.items()}

Reader = Callable[[Any], Any]


def to_data(fact: Fact) -> tuple[str, dict[str, Any]]:
    """A fact as (kind, plain data) for the log."""
    if isinstance(fact, Unknown):
        return fact.kind, dict(fact.data)
    return _WORDS[type(fact)], _plain(fact)


def from_data(kind: str, data: Mapping[str, Any]) -> Fact:
    """The fact that was written as (kind, data). What this version doesn't understand is Unknown, never an error."""
    cls = _KINDS.get(kind)
    if cls is None:
        return Unknown(kind, data)
    readers = _READERS[cls]
    try:
        for name, value in data.items():
            if type(value) is not readers[name]:
                return cast(Fact, _made(cls, data))
        return cast(Fact, cls(**data))  # all of it plain, as most facts are: a log has a hundred thousand of them
    except (TypeError, ValueError, KeyError, OverflowError):
        return Unknown(kind, data)


def _plain(thing: Any) -> Any:
    """A fact, or what stands in one, as plain data; optional fields that say nothing are left out."""
    if isinstance(thing, tuple):
        return [_plain(each) for each in thing]
    cls = type(thing)
    if cls not in _READERS:
        return thing
    always = _ALWAYS[cls]
    said = ((name, getattr(thing, name), default) for name, default in _DEFAULTS[cls])
    return {
        name: _plain(value)
        for name, value, default in said
        if name in always or not (value is None or value == default or value in ("", ()))
    }


def _made(cls: type[Any], data: Mapping[str, Any]) -> Any:
    """The value of a class from plain data; raises KeyError for an unknown field, TypeError for a wrong value."""
    if not isinstance(data, Mapping):
        raise TypeError(f"{data!r} has no fields")
    readers = _READERS[cls]
    values = {}
    for name, value in data.items():
        reader = readers[name]
        values[name] = value if type(value) is reader else _read(reader, value)
    return cls(**values)


def _read(reader: Any, value: Any) -> Any:
    if isinstance(reader, type):
        if reader is float and type(value) is int:
            return float(value)
        raise TypeError(f"{value!r} is no {reader.__name__}")
    return reader(value)


def _optional_float(value: Any) -> float | None:
    return None if value is None else float(value)


def _words(value: Any) -> tuple[str, ...]:
    return tuple(str(each) for each in _list(value))


def _ids(value: Any) -> tuple[tuple[str, int], ...]:
    return tuple((str(tablet), int(count)) for tablet, count in _list(value))


def _sizes(value: Any) -> tuple[tuple[str, str], ...]:
    return tuple((str(what), str(size)) for what, size in _list(value))


def _parts(value: Any) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    return tuple((str(part), _sizes(sizes)) for part, sizes in _list(value))


def _each(cls: type[Any]) -> Reader:
    return lambda value: tuple(_made(cls, each) for each in _list(value))


def _list(value: Any) -> Any:
    if not isinstance(value, list | tuple):
        raise TypeError(f"{value!r} is no list")
    return value


def _one_of(words: Any) -> Reader:
    def read(value: Any) -> Any:
        if value not in get_args(words):
            raise ValueError(f"{value!r} is none of {words}")
        return value

    return read


_TYPES: dict[str, Any] = {
    "str": str,
    "int": int,
    "float": float,
    "bool": bool,
    "WaitKind": _one_of(WaitKind),
    "Dimension": _one_of(Dimension),
}
_SPECIAL: dict[str, Reader] = {
    "Wait | None": lambda value: _made(Wait, value),
    "float | None": _optional_float,
    "tuple[EntryId, ...]": _ids,
    "tuple[str, ...]": _words,
    "Sizes": _sizes,
    "tuple[tuple[str, Sizes], ...]": _parts,
    "tuple[PlannedBoard, ...]": _each(PlannedBoard),
    "tuple[PlannedCut, ...]": _each(PlannedCut),
    "Literal['dealer', 'rack']": _one_of(Literal["dealer", "rack"]),
}


def _defaults(cls: type[Struct]) -> tuple[tuple[str, Any], ...]:
    """Every field and its default; NODEFAULT where it has none. Those with a default come last."""
    names, defaults = cls.__struct_fields__, cls.__struct_defaults__
    bare = len(names) - len(defaults)
    return tuple(zip(names, (*[NODEFAULT] * bare, *defaults), strict=True))


_CLASSES: tuple[type[Struct], ...] = (*_KINDS.values(), Wait, PlannedBoard, PlannedCut)
_READERS: dict[type[Any], dict[str, Any]] = {
    cls: {name: (_TYPES | _SPECIAL)[written.replace('"', "'")] for name, written in cls.__annotations__.items()}
    for cls in _CLASSES
}
_DEFAULTS: dict[type[Any], tuple[tuple[str, Any], ...]] = {cls: _defaults(cls) for cls in _CLASSES}
_ALWAYS: dict[type[Any], frozenset[str]] = {
    cls: frozenset(name for name, default in defaults if default is NODEFAULT) for cls, defaults in _DEFAULTS.items()
}
"""Fields that a fact can't be read back without: they are written even when they are empty."""
