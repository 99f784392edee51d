"""Every sequence of keys on the tape's keypad, for each tape: it gives one exact length, or is blocked with a reason.

.venv/bin/python -m tests.bench.tape_keys          all ten digits, a minute or two; the suite takes three of them
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tracker.cards.keypad.length import TapeEntry
from tracker.measure import Length, Mark
from tracker.measure.length import parse_length
from tracker.measure.tape_reading import MARKS

MOST = 6
"""Keys: three digits, a denominator, a numerator, and one too many."""


def all_keys(mark: Mark, digits: str = "0123456789") -> tuple[str, ...]:
    """Every key of this keypad, whether shown now or not."""
    empty = TapeEntry(mark=mark)
    fractions = tuple(face.key for face in empty.fraction_keys)
    parts = tuple(face.key for key in fractions for face in empty.press(key).numerator_keys)
    return (*digits, *fractions, *parts)


def sequences(mark: Mark, digits: str = "0123456789") -> Iterator[TapeEntry]:
    """Every sequence of up to six keys; a blocked one stands for all that begin with it, because no more keys are
    accepted."""
    keys, rows = all_keys(mark, digits), [TapeEntry(mark=mark)]
    for _ in range(MOST):
        rows = [entry.press(key) for entry in rows if not entry.stopped for key in keys]
        yield from rows


def by_hand(entry: TapeEntry) -> Length:
    """The meaning of the keys, read by the parser of build files instead."""
    whole = "".join(key for key in entry.typed if key.isdigit()) or "0"
    part = next((key[1:] for key in entry.typed if key.startswith("+")), "0/1")
    return parse_length(f"{whole} {part}", entry.mark.units)


def check(mark: Mark, digits: str = "0123456789") -> tuple[int, int]:
    """(lengths, sequences that are blocked or incomplete). AssertionError if a sequence is neither, or two give one
    length."""
    lengths: dict[Length, tuple[str, ...]] = {}
    stopped = 0
    for entry in sequences(mark, digits):
        length = entry.length
        assert (length is None) == bool(entry.block), entry
        if length is None:
            stopped += 1
            continue
        assert length == by_hand(entry), entry
        assert lengths.setdefault(length, entry.typed) == entry.typed, f"two ways to type one length: {entry.typed}"
    most = {"in": 999, "mm": 9999}[mark.units]
    if len(digits) == 10:
        assert len(lengths) == Fraction(most + 1) / mark.step - 1, "a mark of the tape can't be typed"
    return len(lengths), stopped


def main() -> None:
    for mark in MARKS:
        lengths, stopped = check(mark)
        print(f"{mark!s:>8}: {lengths} lengths, each typed one way; {stopped} other sequences stopped or not complete")


if __name__ == "__main__":
    main()
