"""A reading of the tape, typed on full-size keys: the whole number, then one of the tape's denominators, then one of
the numerators that exist. There is no slash and no point to put in the wrong place, so every sequence of keys is one
exact length or is blocked with a reason.

Keypads that block slips instead of guessing a meaning reduce errors tenfold (Thimbleby and Cairns, "Reducing number
entry errors: solving a widespread, serious problem", J. R. Soc. Interface 7, 2010).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from tracker.measure import Length, Mark, millimetres, read_length
from tracker.measure.tape_reading import MINUS, SLASH, Reading
from tracker.words import say

What = Literal["length", "width", "thickness"]
MOST_DIGITS = {"in": 3, "mm": 4}
"""The most digits of the whole number: no piece of furniture is longer than a board."""
LIKELY = millimetres(3)
"""A rough cut is right within 3 mm; common practice, no source. A larger difference is questioned."""


class KeyFace(NamedTuple):
    """A key: what it types, and its face."""

    key: str
    text: str


class TapeEntry(Struct, frozen=True, kw_only=True):
    """The keys typed so far on a tape with this `mark`. Either `length` or `block` is set, never both."""

    mark: Mark
    typed: tuple[str, ...] = ()
    stopped: str = ""
    """Why the last key was refused; further keys are refused until it is erased."""

    @property
    def whole(self) -> str:
        """The digits before the fraction."""
        return "".join(key for key in self.typed if key.isdigit())

    @property
    def denominator(self) -> int:
        """The denominator of the fraction being typed; 0 where there is none."""
        chosen = next((key for key in self.typed if key.startswith("1/")), "")
        return int(chosen[2:]) if chosen else 0

    @property
    def numerator(self) -> Fraction | None:
        """The numerator that was typed."""
        last = self.typed[-1] if self.typed else ""
        return Fraction(last[1:]) if last.startswith("+") else None

    @property
    def complete(self) -> bool:
        return self.numerator is not None or (bool(self.whole) and not self.denominator)

    @property
    def length(self) -> Length | None:
        """The exact length, if it is complete."""
        if self.stopped or not self.complete:
            return None
        return Length.of(int(self.whole or 0) + (self.numerator or Fraction(0)), self.mark.units)

    @property
    def block(self) -> str:
        """What is missing or wrong, in words; empty when there is a length."""
        if self.stopped or self.length is not None:
            return self.stopped
        if self.denominator:
            return say("How many {ths}?", ths=_ths(self.denominator))
        return say("Type the whole inches, or a fraction.") if self.mark.units == "in" else say("Type the millimetres.")

    @property
    def reading(self) -> Reading | None:
        """The length as the tape shows it."""
        return read_length(self.length, self.mark) if self.length is not None else None

    @property
    def digit_keys(self) -> tuple[KeyFace, ...]:
        """The ten digits; `takes` says which of them are allowed now."""
        return tuple(KeyFace(digit, digit) for digit in "1234567890")

    @property
    def fraction_keys(self) -> tuple[KeyFace, ...]:
        """The tape's denominators; on a tape divided into parts of a millimetre, those parts."""
        if self.mark.units == "mm":
            parts = [step * self.mark.step for step in range(1, int(1 / self.mark.step))]
            return tuple(KeyFace(f"+{part}", f"+ {float(part):g}") for part in parts)
        return tuple(KeyFace(f"1/{each}", f"1{SLASH}{each}") for each in _denominators(self.mark))

    @property
    def numerator_keys(self) -> tuple[KeyFace, ...]:
        """The numerators that exist for the chosen denominator: 1, 3, 5 and 7 eighths."""
        if not self.denominator or self.numerator is not None:
            return ()
        odd = range(1, self.denominator, 2)
        return tuple(KeyFace(f"+{each}/{self.denominator}", f"{each}{SLASH}{self.denominator}") for each in odd)

    def takes(self, key: str) -> bool:
        """Whether this key is allowed now."""
        return not self.stopped and not self._refusal(key)

    def press(self, key: str) -> TapeEntry:
        """The entry after this key. A key that isn't allowed blocks the entry until it is erased."""
        if self.stopped:
            return self
        return replace(self, typed=(*self.typed, key), stopped=self._refusal(key))

    def erase(self) -> TapeEntry:
        """The entry without its last key."""
        return replace(self, typed=self.typed[:-1], stopped="")

    def _refusal(self, key: str) -> str:
        if self.numerator is not None:
            return say("The fraction is complete: save, or erase.")
        if self.denominator:
            return "" if key in {face.key for face in self.numerator_keys} else self.block
        if key in {face.key for face in self.fraction_keys}:
            return ""
        if not key.isdigit():
            return say("This tape has no such mark.")
        if key == "0" and not self.whole:
            return say("No length begins with 0.")
        most = MOST_DIGITS[self.mark.units]
        return "" if len(self.whole) < most else say("No more than {most} digits: no board is so long.", most=most)


class TapeCard(Struct, frozen=True, kw_only=True):
    """An entry beside the planned length, ready to be drawn."""

    title: str
    what: str
    """`Length, longest edge`."""
    planned: str
    entry: TapeEntry
    said: str
    """The difference, or what is missing."""
    tone: Literal["ready", "waiting", "caution"]
    doubt: str
    """Why the button must be held to keep this value; empty for a likely one."""


def tape_card(title: str, what: str, planned: Length, entry: TapeEntry) -> TapeCard:
    """What the keypad shows; `planned` is zero where nothing was planned."""
    read = read_length(planned, entry.mark)
    doubt = doubt_of(planned, entry.length) if entry.length is not None else ""
    said = entry.block or (difference_words(planned, entry.length or planned, entry.mark) if planned else "")
    tone: Literal["ready", "waiting", "caution"] = "caution" if doubt or entry.stopped else "ready"
    return TapeCard(
        title=title,
        what=what,
        planned=say("planned {length}", length=read.text) if planned else "",
        entry=entry,
        said=said,
        tone=tone if entry.length is not None or entry.stopped else "waiting",
        doubt=doubt,
    )


def doubt_of(planned: Length, actual: Length) -> str:
    """Why a reading is unlikely, in words; empty when it is likely."""
    if not planned.mm:
        return ""
    ratio = actual.mm / planned.mm
    if ratio >= 5 or ratio <= Fraction(1, 5):
        return say("About ten times what was planned?") if ratio > 1 else say("About a tenth of what was planned?")
    return say("Too far off even for a rough cut.") if abs(actual - planned) > LIKELY else ""


def difference_words(planned: Length, actual: Length, mark: Mark) -> str:
    """`1⁄16″ more than planned`; a difference under half a mark can't be seen."""
    off = actual - planned
    read = read_length(abs(off), mark)
    if not read.whole and not read.numerator:
        return say("as planned")
    return (
        say("{length} more than planned", length=read.text)
        if off.mm > 0
        else say("{length} less than planned", length=read.text)
    )


def signed(planned: Length, actual: Length, mark: Mark) -> str:
    """`+1⁄16″`, `−0.5 mm`, `as planned`."""
    off = actual - planned
    read = read_length(abs(off), mark)
    if not read.whole and not read.numerator:
        return say("as planned")
    return f"{'+' if off.mm > 0 else MINUS}{read.text}"


def _denominators(mark: Mark) -> tuple[int, ...]:
    finest = mark.step.denominator
    return tuple(2**power for power in range(1, finest.bit_length()) if 2**power <= finest)


_THS = {
    2: say("halves"),
    4: say("quarters"),
    8: say("eighths"),
    16: say("sixteenths"),
    32: say("thirty-seconds"),
    64: say("sixty-fourths"),
}


def _ths(denominator: int) -> str:
    return _THS[denominator]
