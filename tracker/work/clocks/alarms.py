"""Which clocks call for a person now. A call continues until it is answered, also after a restart: it is computed from
the log and the time, never stored."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.work.clocks.elapsed import Now, remaining
from tracker.work.facts import EntryId
from tracker.work.run import Run
from tracker.work.state.state import RunningWait, State, running_waits

SOON_SHARE, SOON_LEAST, SOON_MOST = 0.25, 30.0, 120.0
"""Open time warns in its last quarter, but at most two minutes and at least half a minute before its end (never more
than half the open time). Common practice, no source."""


class Call(Struct, frozen=True):
    """A clock that calls: it has ended, or it is an open time about to end."""

    running: RunningWait
    why: Literal["over", "soon"]
    left: float
    """Seconds left; negative after the end."""

    @property
    def id(self) -> EntryId:
        """The id of the fact that started the clock, as `Answer` takes it."""
        return self.running.entry.id


def calling(run: Run, state: State, now: Now) -> tuple[Call, ...]:
    """The clocks that call and aren't answered yet, the most urgent first: those where something can still be saved,
    then the rest.

    An open time about to end is ended by clamping; a clock that has ended is answered by `Answer` or by the next step.
    """
    found = []
    for running in running_waits(run, state):
        left = remaining(running, now)
        if left <= 0:
            found.append(Call(running, "over", left))
        elif not running.wait.at_least and left <= soon(running.wait.seconds):
            found.append(Call(running, "soon", left))
    return tuple(sorted(found, key=lambda call: (call.running.wait.at_least, call.left)))


def soon(seconds: int) -> float:
    """How many seconds before its end an open time of `seconds` begins to warn."""
    return min(SOON_MOST, max(SOON_LEAST, seconds * SOON_SHARE), seconds / 2)
