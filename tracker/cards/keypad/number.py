"""A whole number typed on full-size keys, within bounds: degrees, per cent, kilograms, minutes."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from tracker.words import say


class NumberEntry(Struct, frozen=True, kw_only=True):
    """The keys typed so far for a whole number from `least` to `most`. The minus has its own key and comes first."""

    least: int
    most: int
    typed: str = ""

    @property
    def value(self) -> int | None:
        """The number, if it is complete and within its bounds."""
        if not self.typed.lstrip("-"):
            return None
        number = int(self.typed)
        return number if self.least <= number <= self.most else None

    @property
    def block(self) -> str:
        """What is wrong, in words; empty while nothing is."""
        if not self.typed.lstrip("-") or self.value is not None:
            return ""
        return say("From {least} to {most}.", least=self.least, most=self.most).replace("-", "−")

    def takes(self, key: str) -> bool:
        """Whether this key is allowed now."""
        if key == "-":
            return not self.typed and self.least < 0
        digits = self.typed.lstrip("-")
        return digits != "0" and len(digits) < len(str(max(abs(self.least), abs(self.most))))

    def press(self, key: str) -> NumberEntry:
        """The entry after this key; a key that isn't allowed changes nothing."""
        return replace(self, typed=self.typed + key) if self.takes(key) else self

    def erase(self) -> NumberEntry:
        """The entry without its last key."""
        return replace(self, typed=self.typed[:-1])
