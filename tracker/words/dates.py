"""Days and months in words, short: `Mon`, `Mar`."""

from __future__ import annotations

from datetime import date

from tracker.words import say, say_as

_DAYS = (say("Mon"), say("Tue"), say("Wed"), say("Thu"), say("Fri"), say("Sat"), say("Sun"))
_MONTHS = (
    say("Jan"), say("Feb"), say("Mar"), say("Apr"), say_as("a month", "May"), say("Jun"),
    say("Jul"), say("Aug"), say("Sep"), say("Oct"), say("Nov"), say("Dec"),
)  # fmt: skip


def weekday(day: date) -> str:
    """`Mon`."""
    return _DAYS[day.weekday()]


def day_and_month(day: date) -> str:
    """`2 Mar`."""
    return say("{day} {month}", day=day.day, month=_MONTHS[day.month - 1])
