"""A span of time as on a label, typed on full-size keys: `45 min`, `1 h 30 min`. Every sequence of keys is one span, or
is blocked with a reason."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from tracker.measure.span import Span, parse_span
from tracker.words import english, say

UNITS = (english("days"), "h", "min", "s")
"""The largest unit first: only a smaller one may follow."""
MOST_DIGITS = 3
LONGEST = Span(366 * 86_400)
UNLIKELY = 5
"""A span this many times longer or shorter than the present time is questioned: an extra zero is the typical slip."""


class SpanEntry(Struct, frozen=True, kw_only=True):
    """The keys typed so far. Either `span` or `block` is set, never both."""

    typed: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The entry as text: `1 h 30`."""
        words = ""
        for key in self.typed:
            words += key if key.isdigit() else f" {key} "
        return words.strip()

    @property
    def _digits(self) -> str:
        """The digits of the number that has no unit yet."""
        digits = ""
        for key in self.typed:
            digits = digits + key if key.isdigit() else ""
        return digits

    @property
    def span(self) -> Span | None:
        """The span, if it is complete."""
        if not self.typed or self._digits:
            return None
        span = parse_span(self.text)
        return span if span <= LONGEST else None

    @property
    def block(self) -> str:
        """What is missing, in words."""
        if not self.typed:
            return say("Type what the label says: a number, then its unit.")
        if self._digits:
            return say("Days, hours or minutes?")
        return "" if self.span is not None else say("No glue or finish takes longer than a year.")

    def takes(self, key: str) -> bool:
        """Whether this key is allowed now."""
        digits = self._digits
        if key.isdigit():
            return len(digits) < MOST_DIGITS and not (key == "0" and not digits) and "s" not in self.typed
        return bool(digits) and all(UNITS.index(unit) < UNITS.index(key) for unit in self.typed if not unit.isdigit())

    def press(self, key: str) -> SpanEntry:
        """The entry after this key; a key that isn't allowed changes nothing."""
        return replace(self, typed=(*self.typed, key)) if self.takes(key) else self

    def erase(self) -> SpanEntry:
        """The entry without its last key."""
        return replace(self, typed=self.typed[:-1])


def doubt_of(now: Span, said: Span) -> str:
    """Why a span is unlikely compared with the present one, in words; empty when it is likely."""
    if said.seconds >= UNLIKELY * now.seconds:
        return say("Much longer than {now}: sure?", now=now.text)
    return say("Much shorter than {now}: sure?", now=now.text) if said.seconds * UNLIKELY <= now.seconds else ""
