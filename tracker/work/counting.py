"""Several pieces of one name in plain English: `6 sides`, `2 inner slats`, `3 feet`."""

from __future__ import annotations

from tracker.words import say, speaks_english

_IRREGULAR = {"foot": "feet", "shelf": "shelves", "half": "halves", "leaf": "leaves", "knife": "knives"}
_SIBILANTS = ("s", "x", "z", "ch", "sh")


def counted(count: int, name: str) -> str:
    """`6 sides`; `Side` stays as it is for one. A name that ends in a letter or a number of its own can't be given an
    ending: `3 of Strip A`."""
    if count == 1:
        return name
    if not speaks_english():
        return say("{count} of {name}", count=count, name=name)
    *head, last = name.split(" ")
    if not last.isalpha() or len(last) < 3 or not last[1:].islower():
        return f"{count} of {name}"
    words = [*head, plural(last)]
    return f"{count} {' '.join([words[0][0].lower() + words[0][1:], *words[1:]])}"


def all_counted(count: int, name: str) -> str:
    """`all 6 sides`, `both rails`; `both of Strip A` for a name without an ending."""
    several = counted(count, name)
    if count == 2 and speaks_english():
        return f"both {several.removeprefix('2 ')}"
    return say("all {counted}", counted=several)


def plural(word: str) -> str:
    """`foot`: `feet`; `box`: `boxes`; `tray`: `trays`; `tenon`: `tenons`."""
    low = word.lower()
    if low in _IRREGULAR:
        return word[0] + _IRREGULAR[low][1:]
    if low.endswith(_SIBILANTS):
        return f"{word}es"
    if low.endswith("y") and low[-2:-1] not in "aeiou":
        return f"{word[:-1]}ies"
    return f"{word}s"
