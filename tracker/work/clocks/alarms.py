"""Which clocks call for a person now. A call goes on until it is answered, also after a restart: it is computed from
the log and the time, never stored."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.work.clocks.elapsed import Now, remaining
from tracker.work.facts import EntryId
from tracker.work.run import Run
from tracker.work.state.state import RunningWait, State, running_waits

SOON_SHARE, SOON_LEAST, SOON_MOST = 0.25, 30.0, 120.0
"""Open time warns in its last quarter, and neither longer than two minutes before its end nor shorter than half a one
(half the open time at most). Common practice, no source."""


class Call(Struct, frozen=True):
    """A clock that calls: it is over, or an open time is about to end."""

    running: RunningWait
    why: Literal["over", "soon"]
    left: float
    """Seconds; negative since it is over."""

    @property
    def id(self) -> EntryId:
        """The fact that started the clock: what `Answer` takes."""
        return self.running.entry.id


def calling(run: Run, state: State, now: Now) -> tuple[Call, ...]:
    """The clocks that call and weren't answered yet, the most urgent first: what can still be saved, then the rest.

    An open time that is about to end is ended by the clamps; any clock that is over, by `Answer` or by going on.
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
    """How long before its end an open time of `seconds` begins to warn."""
    return min(SOON_MOST, max(SOON_LEAST, seconds * SOON_SHARE), seconds / 2)
