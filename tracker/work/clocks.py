"""How much of a wait has passed. `CLOCK_BOOTTIME` counts through sleep and ignores a changed wall clock, so while the
tablet stays up it decides; after a restart there is only the wall clock, and the card says when the two disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tracker.measure.span import rough
from tracker.work.state import RunningWait

DOUBT_SECONDS = 60.0


@dataclass(frozen=True, slots=True)
class Now:
    """The time on this tablet: UTC by the wall clock, and seconds since which boot."""

    wall: datetime
    boot_id: str
    boot: float


@dataclass(frozen=True, slots=True)
class Passed:
    """Seconds since a clock was started, and a sentence when the tablet's clocks can't be quite believed."""

    seconds: float
    doubt: str = ""


def passed(running: RunningWait, now: Now) -> Passed:
    """How long a wait has been running. Never negative: a wall clock set back must not lengthen a wait without end."""
    wall = (now.wall - running.entry.at).total_seconds()
    if now.boot_id == running.wait.boot_id:
        boot = max(0.0, now.boot - running.wait.boot)
        if abs(wall - boot) > DOUBT_SECONDS:
            return Passed(
                boot, f"The tablet's clock was changed by {rough(abs(wall - boot))}; the wait is not affected."
            )
        return Passed(boot)
    if wall < 0:
        return Passed(0.0, "The tablet restarted and its clock stands before the start: check the time, then the wait.")
    return Passed(wall)


def remaining(running: RunningWait, now: Now) -> float:
    """Seconds still to run; negative when it is over."""
    return running.wait.seconds - passed(running, now).seconds


def is_over(running: RunningWait, now: Now) -> bool:
    return remaining(running, now) <= 0
