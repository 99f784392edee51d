"""Days and months in words, short: `Mon`, `Mar`."""

from __future__ import annotations

from datetime import date, datetime

from tracker.words import say, say_as

_DAYS = (say("Mon"), say("Tue"), say("Wed"), say("Thu"), say("Fri"), say("Sat"), say("Sun"))
_MONTHS = (
    say("Jan"), say("Feb"), say("Mar"), say("Apr"), say_as("a month", "May"), say("Jun"),
    say("Jul"), say("Aug"), say("Sep"), say("Oct"), say("Nov"), say("Dec"),
)  # fmt: skip
_WEEK = 7
"""From this many days back a weekday alone would be ambiguous."""


def weekday(day: date) -> str:
    """`Mon`."""
    return _DAYS[day.weekday()]


def day_and_month(day: date) -> str:
    """`2 Mar`."""
    return say("{day} {month}", day=day.day, month=_MONTHS[day.month - 1])


def moment(at: datetime, today: datetime) -> str:
    """`Sun 8 Mar 08:08`; with the year where it isn't this one."""
    year = f" {at.year}" if at.year != today.year else ""
    return f"{weekday(at)} {day_and_month(at)}{year} {at:%H:%M}"


def time_of_day(at: datetime, today: datetime) -> str:
    """A moment of the past, with as much of the date as is needed: `10:40`, `Tue 10:40`, `Sun 8 Mar 08:08`."""
    days = (today.date() - at.date()).days
    if days == 0:
        return f"{at:%H:%M}"
    return f"{weekday(at)} {at:%H:%M}" if 0 < days < _WEEK else moment(at, today)
