"""How much of a wait has passed.

`CLOCK_BOOTTIME` keeps counting during sleep and ignores changes of the wall clock, so it is used for as long as the
tablet stays up. Across a restart there are only bounds. The lower bound is the time that this tablet was seen to be up:
its heartbeats, and the time since it started. The wall clock counts only where a person has confirmed it at both ends:
when the wait was started, and after the restart. One end isn't enough: a clock that was an hour slow at the start and
is right now would end a wait of an hour at once.

An "at least" wait (clamped, cured, dry) is over when the lower bound has reached it; an "at most" wait (open time)
warns when the upper bound may have.
"""

from __future__ import annotations

import math
from datetime import datetime

from msgspec import Struct

from tracker.measure.span import rough
from tracker.words import say
from tracker.work.clocks.beat import Beat as Beat
from tracker.work.state.state import RunningWait

DOUBT_SECONDS = 60.0
"""If the wall clock is off by fewer seconds than this, it is neither mentioned nor doubted."""
CONFIRMED_WITHIN = 60.0
"""A person compares two clocks by their minutes, so each confirmed time may be off by this many seconds."""
BOTH_WITHIN = 2 * CONFIRMED_WITHIN
"""The seconds by which the span between two confirmed times may be off."""


HEARD_WITHIN = 20.0
"""The longest, in seconds, that a question to the hub may take to be answered."""


class Sighting(Struct, frozen=True):
    """The last boot clock reading of another tablet that reached this one: the reading, how many seconds before (by the
    hub's clock) it was taken, and this tablet's boot clock when it arrived."""

    boot_id: str
    boot: float
    ago: float
    here_id: str
    here: float


class Now(Struct, frozen=True):
    """The time on this tablet: UTC by the wall clock, and seconds since the start of a boot.

    `beats` are this tablet's heartbeats by boot, the present boot last; only the last beat of each boot counts.
    `confirmed` are moments whose wall clock a person has confirmed, one for each boot. `sightings` are the boot clocks
    of other tablets, where known.
    """

    wall: datetime
    boot_id: str
    boot: float
    beats: tuple[Beat, ...] = ()
    confirmed: tuple[Beat, ...] = ()
    sightings: tuple[Sighting, ...] = ()


class Passed(Struct, frozen=True):
    """Seconds since a clock was started: the best estimate, and the lower and upper bounds; `most` may be infinite.

    `doubt` is a sentence for when the tablet's clocks can't be fully trusted.
    """

    seconds: float
    least: float
    most: float
    doubt: str = ""

    @property
    def unsure(self) -> bool:
        """Whether a person could settle it by confirming the wall clock."""
        return math.isinf(self.most)


def passed(running: RunningWait, now: Now) -> Passed:
    """How long a wait has been running. Never negative: a wall clock set back must not lengthen a wait endlessly."""
    wall = (now.wall - running.entry.at).total_seconds()
    if now.boot_id == running.wait.boot_id:
        boot = max(0.0, now.boot - running.wait.boot)
        off = abs(wall - boot)
        doubt = (
            say("The tablet's clock was changed by {off}; the wait is not affected.", off=rough(off))
            if off > DOUBT_SECONDS
            else ""
        )
        return Passed(boot, boot, boot, doubt)
    if (elsewhere := _by_sightings(running, now)) is not None:
        return elsewhere
    boots = _boots_since(running, now)
    seen = _seen_up(running, boots)
    confirmed = {beat.boot_id: beat for beat in now.confirmed}
    start = confirmed.get(running.wait.boot_id)
    if start is None:
        mine = running.wait.boot_id in {beat.boot_id for beat in now.beats}
        return Passed(
            max(wall, seen), seen, math.inf, _unsure(wall, seen) if mine or not now.sightings else _elsewhere(wall)
        )
    started = start.booted + running.wait.boot
    here = confirmed.get(now.boot_id)
    if here is None:
        least = max(seen, _confirmed_before(started, boots, confirmed))
        return Passed(max(wall, least), least, math.inf, _unsure(wall, least))
    gone = here.booted + now.boot - started
    least, most = (max(seen, gone + off) for off in (-BOTH_WITHIN, BOTH_WITHIN))
    return Passed(max(seen, gone), least, most, _kept_in_hand(running))


def _by_sightings(running: RunningWait, now: Now) -> Passed | None:
    """How long a wait started on another tablet has been running, by the last known reading of that tablet's boot clock
    and by this tablet's boot clock since; None without such a reading. The wall clock isn't used. The lower bound is
    the time from the start to that reading, plus the time since it arrived here."""
    found: Passed | None = None
    for seen in now.sightings:
        if seen.boot_id == running.wait.boot_id and seen.here_id == now.boot_id and seen.boot >= running.wait.boot:
            least = seen.boot - running.wait.boot + max(0.0, now.boot - seen.here)
            if found is None or least > found.least:
                likely = least + max(0.0, seen.ago)
                found = Passed(likely, least, likely + HEARD_WITHIN)
    return found


def _boots_since(running: RunningWait, now: Now) -> dict[str, float]:
    """Each boot of this tablet since the wait was started, with the time it is known to have been up. Only the present
    boot if the start isn't among them: another tablet started the wait, or the first heartbeat was never written."""
    up = {beat.boot_id: beat.boot for beat in now.beats if beat.boot_id != now.boot_id}
    if running.wait.boot_id not in up:
        return {now.boot_id: now.boot}
    boots = list(up)
    return {boot: up[boot] for boot in boots[boots.index(running.wait.boot_id) :]} | {now.boot_id: now.boot}


def _seen_up(running: RunningWait, boots: dict[str, float]) -> float:
    """The seconds for which this tablet is known to have been up since the wait was started."""
    if running.wait.boot_id not in boots:
        return 0.0
    first, *later = boots.values()
    return max(0.0, first - running.wait.boot) + sum(later)


def _confirmed_before(started: float, boots: dict[str, float], confirmed: dict[str, Beat]) -> float:
    """The lower bound of the time since `started` (UTC), from an earlier boot whose clock was confirmed and the time
    the tablet was seen up after it. So a confirmation isn't lost by the next restart."""
    ends = list(boots.items())
    found = 0.0
    for at, (boot_id, up) in enumerate(ends):
        if at and boot_id in confirmed:
            gone = confirmed[boot_id].booted + up - started - BOTH_WITHIN
            found = max(found, gone + sum(later for _, later in ends[at + 1 :]))
    return found


def _kept_in_hand(running: RunningWait) -> str:
    added = say("added") if running.wait.at_least else say("taken off")
    return say(
        "The tablet was off for a while: {time} are {added} to be safe.",
        time=rough(BOTH_WITHIN),
        added=added,
    )


def _unsure(wall: float, least: float) -> str:
    if wall + DOUBT_SECONDS < least:
        return say("The tablet restarted and its clock is wrong: it is behind what has surely passed.")
    surely = (
        say("{least} have surely passed", least=rough(least))
        if least >= DOUBT_SECONDS
        else say("nobody knows how long it was off")
    )
    return say(
        "The tablet restarted: {surely}, by its clock {wall}. Confirm its times.", surely=surely, wall=rough(wall)
    )


def _elsewhere(wall: float) -> str:
    return say(
        "Another tablet started it: how long ago isn't known for sure here, by the clock {wall}. Ask there.",
        wall=rough(wall),
    )


def remaining(running: RunningWait, now: Now) -> float:
    """Seconds left; negative after the end. For an "at least" wait the longest that may be left, for an "at most" wait
    the shortest."""
    gone = passed(running, now)
    if running.wait.at_least:
        return running.wait.seconds - gone.least
    if math.isinf(gone.most):  # it may be over, and then it counts as over
        return min(0.0, running.wait.seconds - gone.seconds)
    return running.wait.seconds - gone.most


def is_over(running: RunningWait, now: Now) -> bool:
    """Whether an "at least" wait is certainly over, or an "at most" wait may be."""
    return remaining(running, now) <= 0
