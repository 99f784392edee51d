"""Entries on the tape's keypad with one slip each: how many of those that are wrong by a factor of ten are blocked.

    .venv/bin/python -m tests.bench.tape_slips [COUNT]        100,000 unless said

A slip is one key missed, struck twice, struck beside the right one, or two neighbours swapped (the kinds that Thimbleby
and Cairns simulated, J. R. Soc. Interface 7, 2010; the kinds from memory). The person intends a length within a
millimetre of the planned one. Wrong by a factor of ten means that the stored value is at least eight times too large or
too small.
"""

from __future__ import annotations

import random
import sys
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tracker.cards.keypad.length import TapeEntry, doubt_of
from tracker.measure import Length, Mark, millimetres, read_length
from tracker.measure.tape_reading import MARKS

PAD = ("12345", "67890")
"""The digits as they are arranged on the keypad."""


@dataclass(slots=True)
class Slips:
    """Counts of entries."""

    entries: int = 0
    blocked: int = 0
    right: int = 0
    wrong: int = 0
    wrong_stopped: int = 0
    by_ten: int = 0
    by_ten_stopped: int = 0


def slips(count: int, seed: int = 1) -> Slips:
    """This many entries with one slip each."""
    chance, found = random.Random(seed), Slips()
    for _ in range(count):
        mark = chance.choice(MARKS)
        planned = Length.of(Fraction(chance.randint(2 * 320, 2000 * 320), 320), "mm")
        meant = planned + millimetres(Fraction(chance.randint(-10, 10), 10))
        keys = keys_for(meant, mark)
        if keys:
            _count(found, planned, read_at(meant, mark), slipped(keys, mark, chance), mark)
    return found


def keys_for(length: Length, mark: Mark) -> tuple[str, ...]:
    """The keys that type the nearest mark to a length."""
    reading = read_length(length, mark)
    whole = tuple(str(reading.whole)) if reading.whole else ()
    if not reading.numerator:
        return whole
    part = f"+{reading.numerator}/{reading.denominator}"
    return (*whole, part) if mark.units == "mm" else (*whole, f"1/{reading.denominator}", part)


def read_at(length: Length, mark: Mark) -> Length:
    """The nearest mark of the tape."""
    return length - read_length(length, mark).left_over


def slipped(keys: tuple[str, ...], mark: Mark, chance: random.Random) -> tuple[str, ...]:
    """The keys with one slip."""
    at = chance.randrange(len(keys))
    kind = chance.choice(("missed", "twice", "beside", "swapped"))
    if kind == "missed":
        return keys[:at] + keys[at + 1 :]
    if kind == "twice":
        return keys[: at + 1] + keys[at:]
    if kind == "swapped" and at + 1 < len(keys):
        return (*keys[:at], keys[at + 1], keys[at], *keys[at + 2 :])
    return (*keys[:at], _beside(keys, at, mark, chance), *keys[at + 1 :])


def _beside(keys: tuple[str, ...], at: int, mark: Mark, chance: random.Random) -> str:
    """A neighbour of the right key."""
    key = keys[at]
    if key.isdigit():
        row = next(row for row in (0, 1) if key in PAD[row])
        column = PAD[row].index(key)
        near = [PAD[1 - row][column], *PAD[row][max(0, column - 1) : column], *PAD[row][column + 1 : column + 2]]
        return chance.choice(near)
    entry = TapeEntry(mark=mark)
    for each in keys[:at]:
        entry = entry.press(each)
    faces = [face.key for face in (entry.numerator_keys or entry.fraction_keys)]
    place = faces.index(key)
    return chance.choice(faces[max(0, place - 1) : place + 2])


def _count(found: Slips, planned: Length, meant: Length, keys: tuple[str, ...], mark: Mark) -> None:
    entry = TapeEntry(mark=mark)
    for key in keys:
        entry = entry.press(key)
    found.entries += 1
    if entry.length is None:
        found.blocked += 1
        return
    stopped = bool(doubt_of(planned, entry.length))
    if entry.length == meant:
        found.right += 1
        return
    found.wrong += 1
    found.wrong_stopped += stopped
    ratio = entry.length.mm / meant.mm if meant.mm else Fraction(0)
    if ratio >= 8 or ratio <= Fraction(1, 8):
        found.by_ten += 1
        found.by_ten_stopped += stopped


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    found = slips(count)
    print(f"entries with one slip               {found.entries}")
    print(f"stopped by the keys                 {found.blocked}")
    print(f"came out right all the same         {found.right}")
    print(f"wrong lengths                       {found.wrong}")
    print(f"  doubted, must be held             {found.wrong_stopped}  ({_share(found.wrong_stopped, found.wrong)})")
    print(f"out by ten among them               {found.by_ten}")
    print(f"  doubted, must be held             {found.by_ten_stopped}  ({_share(found.by_ten_stopped, found.by_ten)})")


def _share(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %" if whole else "none"


if __name__ == "__main__":
    main()
