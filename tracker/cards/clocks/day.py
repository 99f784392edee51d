"""The day ahead as a line: the hours of the local wall clock, and a bar for every wait, up to its end."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from msgspec import Struct

from tracker.cards.clocks.clocks import ClockView
from tracker.cards.marks import Tone
from tracker.words import say
from tracker.words.dates import weekday

SHORTEST, LONGEST = timedelta(hours=4), timedelta(hours=36)
"""The shortest and the longest time ahead that is shown: today, and tomorrow's coat."""
STEPS = (1, 2, 3, 4, 6, 12)
"""The hours between two marks."""
MOST_MARKS = 8
MOST_BARS = 6


class DayMark(Struct, frozen=True, kw_only=True):
    """A mark on the line; `at` is a fraction of its length."""

    at: float
    word: str
    """`14:00`; a midnight shows the day: `Tue`."""
    midnight: bool


class DayBar(Struct, frozen=True, kw_only=True):
    """One wait, from now to `end`, a fraction of the line's length; `beyond`: it ends past the end of the line."""

    title: str
    word: str
    """When it ends: `10:38`."""
    end: float
    beyond: bool
    tone: Tone


class DayLine(Struct, frozen=True, kw_only=True):
    """What is ahead, from now (0) on. Without bars no wait is running."""

    marks: tuple[DayMark, ...]
    bars: tuple[DayBar, ...]
    more: str
    """`and 3 more`, or empty."""


def day_line(clocks: Sequence[ClockView], now: datetime) -> DayLine:
    """The waits that are still running, the first to end on top; `now` is by the local wall clock."""
    running = sorted((clock for clock in clocks if not clock.over), key=lambda clock: clock.ends)
    if not running:
        return DayLine(marks=(), bars=(), more="")
    whole = min(max(running[-1].ends - now + timedelta(minutes=30), SHORTEST), LONGEST)
    shown = running[:MOST_BARS]
    return DayLine(
        marks=_marks(now, whole),
        bars=tuple(
            DayBar(
                title=clock.title,
                word=clock.when,
                end=min(1.0, (clock.ends - now) / whole),
                beyond=clock.ends - now > whole,
                tone=clock.tone,
            )
            for clock in shown
        ),
        more=say("and {number} more", number=len(running) - len(shown)) if len(running) > len(shown) else "",
    )


def _marks(now: datetime, whole: timedelta) -> tuple[DayMark, ...]:
    hours = whole / timedelta(hours=1)
    step = next((step for step in STEPS if hours / step <= MOST_MARKS), STEPS[-1])
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    first = int((now - midnight) / timedelta(hours=1)) // step * step + step
    marks = []
    while (moment := midnight + timedelta(hours=first)) < now + whole:
        at_midnight = moment.hour == 0
        word = weekday(moment) if at_midnight else f"{moment:%H:%M}"
        marks.append(DayMark(at=(moment - now) / whole, word=word, midnight=at_midnight))
        first += step
    return tuple(marks)
