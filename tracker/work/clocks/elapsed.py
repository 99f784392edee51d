"""How much of a wait has passed.

`CLOCK_BOOTTIME` counts through sleep and ignores a changed wall clock, so while the tablet stays up it decides. Over a
restart there are bounds: at least what this tablet was seen to be up (its heartbeats, and the time since it started),
at most what the wall clock says, if a person says that it is right. An "at least" wait (clamped, cured, dry) is over
when the least has passed; an "at most" wait (open time) warns when the most has.
"""

from __future__ import annotations

import math
from datetime import datetime

from msgspec import Struct

from tracker.measure.span import rough
from tracker.work.state.state import RunningWait

DOUBT_SECONDS = 60.0
"""A wall clock that is off by less is neither mentioned nor doubted."""


class Beat(Struct, frozen=True):
    """The clocks at one moment: in the boot `boot_id` the boot clock said `boot` seconds and the wall clock `wall`."""

    boot_id: str
    boot: float
    wall: datetime


class Now(Struct, frozen=True):
    """The time on this tablet: UTC by the wall clock, and seconds since which boot.

    `beats` are this tablet's heartbeats, boot by boot, the present boot last; of each boot the last one counts.
    `believed` are moments at which a person said that the wall clock is right.
    """

    wall: datetime
    boot_id: str
    boot: float
    beats: tuple[Beat, ...] = ()
    believed: tuple[Beat, ...] = ()


class Passed(Struct, frozen=True):
    """Seconds since a clock was started: the best guess, the least and the most that can be; `most` may be infinite.

    `doubt` is a sentence when the tablet's clocks can't be quite believed; `unsure` when a person could settle it by
    saying that the wall clock is right.
    """

    seconds: float
    least: float
    most: float
    doubt: str = ""

    @property
    def unsure(self) -> bool:
        return self.least < self.most


def passed(running: RunningWait, now: Now) -> Passed:
    """How long a wait has been running. Never negative: a wall clock set back must not lengthen a wait without end."""
    wall = (now.wall - running.entry.at).total_seconds()
    if now.boot_id == running.wait.boot_id:
        boot = max(0.0, now.boot - running.wait.boot)
        off = abs(wall - boot)
        doubt = (
            f"The tablet's clock was changed by {rough(off)}; the wait is not affected." if off > DOUBT_SECONDS else ""
        )
        return Passed(boot, boot, boot, doubt)
    seen = _seen_up(running, now)
    belief = next((each for each in now.believed if each.boot_id == now.boot_id), None)
    if belief is None:
        return Passed(max(wall, seen), seen, math.inf, _unsure(wall, seen))
    starts = _starts(running, now)
    true = belief.wall.timestamp() + now.boot - belief.boot
    least, most = (max(seen, true - start) for start in (max(starts), min(starts)))
    if most - least > DOUBT_SECONDS:
        changed = rough(most - least)
        return Passed(least, least, most, f"The tablet's clock was changed by {changed} before it restarted.")
    return Passed(least, least, most)


def _seen_up(running: RunningWait, now: Now) -> float:
    """Seconds for which this tablet is known to have been up since the wait began, over all boots."""
    last = {beat.boot_id: beat.boot for beat in now.beats}
    if running.wait.boot_id not in last:  # another tablet started it, or the first beat never came
        return 0.0
    boots = list(last)
    later = [boot for boot in boots[boots.index(running.wait.boot_id) + 1 :] if boot != now.boot_id]
    return max(0.0, last[running.wait.boot_id] - running.wait.boot) + sum(last[boot] for boot in later) + now.boot


def _starts(running: RunningWait, now: Now) -> tuple[float, ...]:
    """When the wait may have begun, as seconds of UTC: by what the wall clock said then, and by what it said later."""
    for belief in now.believed:
        if belief.boot_id == running.wait.boot_id:
            return (belief.wall.timestamp() - (belief.boot - running.wait.boot),)
    said = running.entry.at.timestamp()
    later = [beat for beat in now.beats if beat.boot_id == running.wait.boot_id]
    return (said, *(beat.wall.timestamp() - (beat.boot - running.wait.boot) for beat in later[-1:]))


def _changed(by: float) -> str:
    return f"The tablet's clock was changed by {rough(by)}; the wait is not affected." if by > DOUBT_SECONDS else ""


def _unsure(wall: float, seen: float) -> str:
    if wall + DOUBT_SECONDS < seen:
        return "The tablet restarted and its clock is wrong: it stands before what has surely passed."
    surely = f"{rough(seen)} have surely passed" if seen >= DOUBT_SECONDS else "how long it was off isn't known"
    return f"The tablet restarted: {surely}, by its clock {rough(wall)}. Is the tablet's clock right?"


def remaining(running: RunningWait, now: Now) -> float:
    """Seconds still to run; negative when it is over. Of an "at least" wait the longest that may remain, of an "at
    most" wait the shortest."""
    gone = passed(running, now)
    if running.wait.at_least:
        return running.wait.seconds - gone.least
    if math.isinf(gone.most):  # it may be over: then it is said to be
        return min(0.0, running.wait.seconds - gone.seconds)
    return running.wait.seconds - gone.most


def is_over(running: RunningWait, now: Now) -> bool:
    """Whether an "at least" wait is surely over, or an "at most" wait may be."""
    return remaining(running, now) <= 0
