"""Lookup of things by names as people write them, regardless of capitals, punctuation and word order, with hints for
misspelled names."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Generic, TypeVar

from tracker.words import say

T = TypeVar("T")


def word_set(name: str) -> frozenset[str]:
    """`"PVA, cross-linking"` and `"Cross-linking PVA"` are the same words."""
    return frozenset(re.findall(r"[^\W_]+", name.casefold()))


def nearest(word: str, known: object, least: float = 0.6) -> str:
    """A hint: the known word most similar to `word`, with a similarity of at least `least` (up to 1); empty if there is
    none."""
    if len(word) > 40:
        return ""
    import difflib  # imported only when a word is misspelled

    close = difflib.get_close_matches(word, list(known), 1, least)  # type: ignore[call-overload]
    return say("did you mean '{close}'?", close=close[0]) if close else ""


class ByWords(Generic[T]):
    """Things by the words of their names. Of two equal names the first one counts."""

    def __init__(self, named: Iterable[tuple[str, T]]) -> None:
        self._things: dict[frozenset[str], T] = {}
        for name, thing in named:
            self._things.setdefault(word_set(name), thing)

    def get(self, written: str) -> T | None:
        return self._things.get(word_set(written))
