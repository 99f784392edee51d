"""How much of a wait has passed, in every case of `passed`, at the seconds where its words change; worked out by
hand."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from work.one_tablet import towel_frame

from tracker.measure.span import rough
from tracker.work.clocks.alarms import Call, calling, soon
from tracker.work.clocks.beat import Beat
from tracker.work.clocks.elapsed import Now, Passed, Sighting, is_over, passed, remaining
from tracker.work.facts import Done, Entry, Wait
from tracker.work.run import Run
from tracker.work.state.replay import replay
from tracker.work.state.state import RunningWait, running_waits

RUN: Run = towel_frame()
BEGUN = datetime(2026, 3, 2, 8, tzinfo=UTC)
"""The wait began then, when the boot clock of boot A read 1000 s."""
UNKNOWN = "nobody knows how long it was off"


def running(kind: Any = "clamp", seconds: int = 2700) -> RunningWait:
    wait = Wait(kind, seconds, "A", 1000.0)
    return RunningWait(
        RUN.items["frame:1"], wait, Entry("saw", 1, {}, BEGUN, Done(RUN.name, "frame:1", "clamp", wait=wait))
    )


def now(wall: float, boot: float, boot_id: str = "A", *, beats: tuple[Beat, ...] = (), confirmed: tuple[Beat, ...] = (),
        sightings: tuple[Sighting, ...] = ()) -> Now:  # fmt: skip
    """`wall` seconds after the start by the wall clock."""
    return Now(BEGUN + timedelta(seconds=wall), boot_id, boot, beats, confirmed, sightings)


def beat(boot_id: str, boot: float, wall: float = 0.0) -> Beat:
    return Beat(boot_id, boot, BEGUN + timedelta(seconds=wall))


def restarted(wall: str, surely: str) -> str:
    return f"The tablet restarted: {surely}, by its clock {wall}. Confirm its times."


def elsewhere(wall: str) -> str:
    return f"Another tablet started it: how long ago isn't known for sure here, by the clock {wall}. Ask there."


@pytest.mark.parametrize(
    ("wall", "boot", "gone", "off"),
    [(500, 1500, 500, 0), (560, 1500, 500, 0), (561, 1500, 500, 61), (440, 1500, 500, 0), (439, 1500, 500, 61),
     (-7200, 1500, 500, 7700), (0, 1000, 0, 0), (0, 999, 0, 0)],
)  # fmt: skip
def test_while_the_tablet_is_up_its_boot_clock_counts(wall: float, boot: float, gone: float, off: float) -> None:
    doubt = f"The tablet's clock was changed by {rough(off)}; the wait is not affected." if off else ""
    assert passed(running(), now(wall, boot)) == Passed(gone, gone, gone, doubt)


@pytest.mark.parametrize(
    ("beats", "least"),
    [
        ((), 0.0),  # the start was never written as a beat
        ((beat("A", 1300),), 300.0 + 40),
        ((beat("A", 900),), 0.0 + 40),  # the beat is older than the start
        ((beat("Z", 77), beat("A", 1300), beat("M", 500), beat("B", 39)), 300.0 + 500 + 40),
        ((beat("B", 39),), 0.0),
    ],
)
def test_over_a_restart_what_was_seen_counts(beats: tuple[Beat, ...], least: float) -> None:
    gone = passed(running(), now(5000, 40, "B", beats=beats))
    surely = f"{rough(least)} have surely passed" if least >= 60 else UNKNOWN
    assert gone == Passed(5000.0, least, math.inf, restarted("1 h 24 min", surely))
    assert gone.unsure


@pytest.mark.parametrize(
    ("up", "surely"), [(19, UNKNOWN), (20, "1 min have surely passed"), (81, "3 min have surely passed")]
)
def test_less_than_a_minute_is_nothing_to_speak_of(up: float, surely: str) -> None:
    gone = passed(running(), now(600, up, "B", beats=(beat("A", 1040),)))
    assert gone == Passed(600.0, 40 + up, math.inf, restarted("10 min", surely))


@pytest.mark.parametrize(("wall", "behind"), [(281, False), (280, False), (279, True), (-9000, True)])
def test_a_wall_clock_behind_what_has_surely_passed_is_wrong(wall: float, behind: bool) -> None:
    gone = passed(running(), now(wall, 40, "B", beats=(beat("A", 1300),)))
    wrong = "The tablet restarted and its clock is wrong: it is behind what has surely passed."
    assert gone.doubt == (wrong if behind else restarted(rough(wall), "6 min have surely passed"))
    assert (gone.seconds, gone.least) == (max(wall, 340.0), 340.0)


@pytest.mark.parametrize(("kind", "added"), [("clamp", "added"), ("open", "taken off")])
@pytest.mark.parametrize(
    ("booted_a", "booted_b", "up", "gone"),
    [(-1000, 3000, 40, 3040.0), (-1000, 200, 40, 240.0), (-900, 3000, 40, 2940.0), (-1000, -900, 40, -860.0)],
)
def test_with_both_ends_confirmed_the_wall_clock_counts_within_two_minutes(
    kind: str, added: str, booted_a: float, booted_b: float, up: float, gone: float
) -> None:
    """The start is `booted_a` + 1000 s; what was surely seen, 340 s, is never undercut."""
    both = (beat("A", 0, booted_a), beat("B", 0, booted_b))
    found = passed(running(kind), now(99, up, "B", beats=(beat("A", 1300),), confirmed=both))
    doubt = f"The tablet was off for a while: 2 min are {added} to be safe."
    assert found == Passed(max(340.0, gone), max(340.0, gone - 120), max(340.0, gone + 120), doubt)
    assert not found.unsure


def test_what_was_confirmed_before_another_restart_counts_with_what_was_seen_since() -> None:
    beats = (beat("A", 1300), beat("B", 500), beat("C", 70))
    confirmed = (beat("A", 0, -1000), beat("B", 0, 2000))
    found = passed(running(), now(9000, 40, "D", beats=beats, confirmed=confirmed))
    # B began 2000 s after the start and was up for 500 s; then 70 s of C and 40 s of D; two minutes to be safe.
    least = 2000 + 500 - 120 + 70 + 40
    assert found == Passed(9000.0, least, math.inf, restarted("2 h 30 min", f"{rough(least)} have surely passed"))
    only_start = passed(running(), now(9000, 40, "D", beats=beats, confirmed=confirmed[:1]))
    assert only_start.least == 300 + 500 + 70 + 40
    only_b = passed(running(), now(9000, 40, "D", beats=beats, confirmed=confirmed[1:]))
    assert only_b.least == 300 + 500 + 70 + 40, "one end isn't enough"
    early = (beat("A", 0, -1000), beat("B", 0, -400))
    assert passed(running(), now(9000, 40, "D", beats=beats, confirmed=early)).least == 300 + 500 + 70 + 40


# -- started on another tablet -----------------------------------------------------------------------------------------


def seen(boot: float, ago: float, here: float, boot_id: str = "A", here_id: str = "B") -> Sighting:
    return Sighting(boot_id, boot, ago, here_id, here)


@pytest.mark.parametrize(
    ("sightings", "found"),
    [
        ((seen(1600, 5, 100),), Passed(945.0, 940.0, 965.0)),  # 600 s there, 340 s here since; 20 s for the question
        ((seen(1600, -5, 100),), Passed(940.0, 940.0, 960.0)),
        ((seen(1600, 5, 500),), Passed(605.0, 600.0, 625.0)),  # it arrived later than now: it counts from then
        ((seen(1000, 0, 440),), Passed(0.0, 0.0, 20.0)),
        ((seen(1600, 5, 100), seen(1700, 0, 300)), Passed(945.0, 940.0, 965.0)),
        ((seen(1600, 5, 100), seen(1900, 0, 200)), Passed(1140.0, 1140.0, 1160.0)),
        ((seen(1600, 5, 100), seen(1600, 7, 100)), Passed(945.0, 940.0, 965.0)),
    ],
)
def test_the_other_tablets_boot_clock_counts_as_it_was_last_heard(
    sightings: tuple[Sighting, ...], found: Passed
) -> None:
    assert passed(running(), now(700, 440, "B", sightings=sightings)) == found


@pytest.mark.parametrize("useless", [seen(999.9, 0, 400), seen(1600, 0, 400, "X"), seen(1600, 0, 400, "A", "X")])
def test_a_reading_of_another_boot_or_from_before_the_start_says_nothing(useless: Sighting) -> None:
    found = passed(running(), now(700, 440, "B", sightings=(useless,)))
    assert found == Passed(700.0, 0.0, math.inf, elsewhere("12 min"))
    mine = passed(running(), now(700, 440, "B", sightings=(useless,), beats=(beat("A", 1100),)))
    assert mine.doubt == restarted("12 min", "9 min have surely passed"), "this tablet started it"


# -- what is left, and who calls ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "at", "left", "over"),
    [("clamp", now(0, 3699), 1.0, False), ("clamp", now(0, 3700), 0.0, True), ("open", now(0, 3701), -1.0, True),
     ("clamp", now(9000, 40, "B"), 2700.0, False), ("open", now(9000, 40, "B"), -6300.0, True),
     ("open", now(100, 40, "B"), 0.0, True)],
)  # fmt: skip
def test_what_is_left_is_the_longest_that_may_be_of_a_wait_and_the_shortest_of_open_time(
    kind: str, at: Now, left: float, over: bool
) -> None:
    assert remaining(running(kind), at) == left
    assert is_over(running(kind), at) is over


def test_with_both_ends_confirmed_open_time_counts_two_minutes_more() -> None:
    both = (beat("A", 0, -1000), beat("B", 0, 300))
    at = now(0, 40, "B", confirmed=both)
    assert (remaining(running("open"), at), remaining(running("clamp"), at)) == (2700 - 460, 2700 - 220)


@pytest.mark.parametrize(
    ("seconds", "early"),
    [(4, 2), (40, 20), (60, 30), (100, 30), (120, 30), (124, 31), (200, 50), (480, 120), (484, 120), (3600, 120)],
)
def test_open_time_warns_in_its_last_quarter_but_neither_too_soon_nor_too_late(seconds: int, early: float) -> None:
    """At most two minutes and at least half a minute before its end, never more than half of it."""
    assert soon(seconds) == early


def test_who_calls_first() -> None:
    """Open time first, where something can still be saved; then by what is left."""
    waits = {
        "spread": Wait("open", 480, "A", 1000),
        "clamp": Wait("clamp", 300, "A", 1000),
        "unclamp": Wait("cure", 200, "A", 1000),
    }
    entries = [
        Entry("saw", at, {}, BEGUN, Done(run, "frame:1", step, wait=wait))
        for at, (run, step, wait) in enumerate(((RUN.name, step, wait) for step, wait in waits.items()), 1)
    ]
    alone = {step: replay([entry]) for step, entry in zip(waits, entries, strict=True)}

    def calls(step: str, boot: float) -> list[tuple[str, float]]:
        found = calling(RUN, alone[step], now(0, boot))
        assert [call.id for call in found] == [each.entry.id for each in running_waits(RUN, alone[step])][: len(found)]
        return [(call.why, call.left) for call in found]

    assert calls("spread", 1359) == []
    assert calls("spread", 1360) == [("soon", 120)]
    assert calls("spread", 1480) == [("over", 0)]
    assert calls("clamp", 1299) == []
    assert calls("clamp", 1300) == [("over", 0)]


def test_of_several_calls_the_most_urgent_comes_first() -> None:
    two = [
        Entry("saw", 1, {}, BEGUN, Done(RUN.name, "gone:1", "unclamp", wait=Wait("cure", 100, "A", 1000))),
        Entry("saw", 2, {}, BEGUN, Done(RUN.name, "gone:2", "unclamp", wait=Wait("cure", 50, "A", 1000))),
        Entry("saw", 3, {}, BEGUN, Done(RUN.name, "gone:3", "spread", wait=Wait("open", 480, "A", 1000))),
    ]
    found: tuple[Call, ...] = calling(RUN, replay(two), now(0, 1400))
    assert [(call.running.item.key, call.why, call.left) for call in found] == [
        ("gone:3", "soon", 80), ("gone:2", "over", -350), ("gone:1", "over", -300),
    ]  # fmt: skip
