"""A decimal number typed on full-size keys, within bounds: a meter's percent, a price."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from tracker.words import say

POINT = "."


class DecimalEntry(Struct, frozen=True, kw_only=True):
    """The keys typed so far for a number from `least` to `most` with up to `decimals` decimals."""

    least: float
    most: float
    decimals: int = 1
    typed: str = ""

    @property
    def value(self) -> float | None:
        """The number, if it is complete and within its bounds."""
        if not self.typed.strip(POINT):
            return None
        number = float(self.typed)
        return number if self.least <= number <= self.most else None

    @property
    def block(self) -> str:
        """What is wrong, in words; empty while nothing is."""
        if not self.typed.strip(POINT) or self.value is not None:
            return ""
        return say("From {least:g} to {most:g}.", least=self.least, most=self.most)

    def takes(self, key: str) -> bool:
        """Whether this key is allowed now."""
        whole, point, part = self.typed.partition(POINT)
        if key == POINT:
            return bool(whole) and not point
        return len(part) < self.decimals if point else whole != "0" and len(whole) < len(str(int(self.most)))

    def press(self, key: str) -> DecimalEntry:
        """The entry after this key; a key that isn't allowed changes nothing."""
        return replace(self, typed=self.typed + key) if self.takes(key) else self

    def erase(self) -> DecimalEntry:
        """The entry without its last key."""
        return replace(self, typed=self.typed[:-1])
