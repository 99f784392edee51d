"""Finding things by the names that people write, whatever their capitals, punctuation and word order."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Generic, TypeVar

T = TypeVar("T")


def word_set(name: str) -> frozenset[str]:
    """`"PVA, cross-linking"` and `"Cross-linking PVA"` are the same words."""
    return frozenset(re.findall(r"[^\W_]+", name.casefold()))


class ByWords(Generic[T]):
    """Things by the words of their names. Of two equal names the first one counts."""

    def __init__(self, named: Iterable[tuple[str, T]]) -> None:
        self._things: dict[frozenset[str], T] = {}
        for name, thing in named:
            self._things.setdefault(word_set(name), thing)

    def get(self, written: str) -> T | None:
        return self._things.get(word_set(written))
