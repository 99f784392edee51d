"""How facts are written to the log and read back: each as its kind and plain data.

Every released kind is written the same way for ever, because the log's chain is computed over these words. So a field
that was added later is left out while it has its default, and data that this version doesn't understand become
`Unknown`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast, get_args

import msgspec

from tracker.work.facts.kinds import Fact, Unknown

KINDS: dict[str, type[Any]] = {cls.kind: cls for cls in get_args(Fact) if cls is not Unknown}
"""The class of each kind of fact."""


def to_data(fact: Fact) -> tuple[str, dict[str, Any]]:
    """A fact as (kind, plain data) for the log."""
    if isinstance(fact, Unknown):
        return fact.kind, dict(fact.data)
    return fact.kind, msgspec.to_builtins(fact)


def from_data(kind: str, data: Mapping[str, Any]) -> Fact:
    """The fact written as (kind, data); `Unknown` where this version doesn't understand it. Never raises."""
    try:
        return cast(Fact, msgspec.convert(data, KINDS[kind]))
    except (KeyError, TypeError, ValueError, OverflowError):  # a ValidationError is a ValueError
        return Unknown(kind, data)
