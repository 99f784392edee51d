"""Spans of time: how long a glue or a coat needs, and how a running clock reads."""

from __future__ import annotations

import re

from msgspec import Struct

from tracker.words import say, say_many

_UNIT = {
    "s": 1, "sec": 1, "second": 1, "seconds": 1,
    "min": 60, "mins": 60, "minute": 60, "minutes": 60,
    "h": 3600, "hr": 3600, "hrs": 3600, "hour": 3600, "hours": 3600,
    "d": 86400, "day": 86400, "days": 86400,
    "week": 604800, "weeks": 604800,
}  # fmt: skip
_LONGEST = 60
_HOUR, _DAY = 3600, 86400
_TERM = re.compile(r"\s*([0-9]{1,6}(?:\.[0-9]{0,6})?)\s*([A-Za-z]+)\s*")


class Span(Struct, frozen=True, order=True):
    """A length of time in whole seconds."""

    seconds: int

    @property
    def text(self) -> str:
        """The time as a label on a bottle says it: `45 min`, `1 h 30 min`, `7 days`, `40 s`."""
        days, rest = divmod(self.seconds, 86400)
        hours, rest = divmod(rest, 3600)
        minutes, seconds = divmod(rest, 60)
        if days == 1 and not (hours or minutes or seconds):
            return "24 h"
        words = [
            say_many("{count} day", "{count} days", days) if days else "",
            f"{hours} h" if hours else "",
            f"{minutes} min" if minutes else "",
            f"{seconds} s" if seconds else "",
        ]
        return " ".join(word for word in words if word) or "0 s"


def parse_span(text: str) -> Span:
    """Read `45 min`, `24 h`, `1 h 30 min`, `7 days`. Raises ValueError with a sentence for the user."""
    if len(text) > _LONGEST:
        raise ValueError(say("this is too long for a time"))
    at, total, last = 0, 0.0, float("inf")
    while at < len(text):
        term = _TERM.match(text, at)
        if term is None:
            raise ValueError(say("can't read {text!r} as a time", text=text))
        unit = _UNIT.get(term[2].lower())
        if unit is None:
            raise ValueError(say("{term!r} is not a unit of time", term=term[2]))
        if unit >= last:
            raise ValueError(say("can't read {text!r} as a time: units must get smaller", text=text))
        total, last, at = total + float(term[1]) * unit, unit, term.end()
    if not text.strip():
        raise ValueError(say("a time is missing"))
    return Span(round(total))


def countdown(seconds: float) -> str:
    """A running clock: `7:42`, `1 h 07 min`, `2 d 03 h`. Past its end it counts up with a plus sign.

    Nobody watches seconds on a wait of more than an hour: the remaining time is rounded up to whole minutes, and above
    a day to whole hours.
    """
    whole = int(-(-seconds // 1)) if seconds > 0 else int(seconds)
    sign, left = ("+" if whole < 0 else ""), abs(whole)
    if left < _HOUR:
        return f"{sign}{left // 60}:{left % 60:02d}"
    step = _HOUR if left >= _DAY else 60
    left = left // step * step if sign else -(-left // step) * step
    days, rest = divmod(left, _DAY)
    hours, rest = divmod(rest, _HOUR)
    return f"{sign}{days} d {hours:02d} h" if days else f"{sign}{hours} h {rest // 60:02d} min"


def rough(seconds: float) -> str:
    """The remaining time as people say it: `22 min`, `3 h 10 min`, `2 days`; never less than `1 min`."""
    minutes = max(1, -(-int(seconds) // 60))
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 24:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    days, hours = divmod(hours, 24)
    words = say_many("{count} day", "{count} days", days)
    return f"{words} {hours} h" if hours else words
