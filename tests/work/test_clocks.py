"""Clocks through sleep, a changed wall clock and a restart."""

from __future__ import annotations

import math

import pytest
from work.one_tablet import Bench, towel_frame

from tracker.work.clocks.elapsed import BOTH_WITHIN, is_over, passed, remaining
from tracker.work.decide.decide import ConfirmClock, Do
from tracker.work.facts import ClockConfirmed, Moment
from tracker.work.state.state import RunningWait, running_waits


@pytest.fixture
def bench() -> Bench:
    bench = Bench(towel_frame())
    for step in ("dry fit", "spread", "clamp"):
        bench.must(Do("frame:1", step, anyway="Tested: ready"))
    return bench


def clamp_wait(bench: Bench) -> RunningWait:
    return running_waits(bench.run, bench.state)[0]


def test_a_clock_counts_through_sleep(bench: Bench) -> None:
    bench.time += 1800
    assert remaining(clamp_wait(bench), bench.now) == pytest.approx(45 * 60 - 1800)


def test_a_changed_wall_clock_changes_nothing_and_is_said(bench: Bench) -> None:
    bench.time += 600
    bench.wall_shift = 7200
    gone = passed(clamp_wait(bench), bench.now)
    assert gone.seconds == pytest.approx(600)
    assert "changed by 2 h" in gone.doubt


def test_after_a_restart_a_clamp_wait_ends_only_by_what_was_surely_seen(bench: Bench) -> None:
    bench.time += 600
    bench.beat()
    bench.restart(off=3000)
    gone = passed(clamp_wait(bench), bench.now)
    assert (gone.least, gone.most) == (pytest.approx(600), math.inf)
    assert "10 min have surely passed, by its clock 1 h" in gone.doubt
    bench.time += 35 * 60 - 1
    assert not is_over(clamp_wait(bench), bench.now)
    bench.time += 1
    assert is_over(clamp_wait(bench), bench.now)


def test_a_person_who_says_that_the_clock_is_right_settles_it(bench: Bench) -> None:
    bench.time += 600
    bench.beat()
    bench.restart(off=2100 + BOTH_WITHIN)
    assert not is_over(clamp_wait(bench), bench.now)
    bench.confirm()
    assert is_over(clamp_wait(bench), bench.now)
    assert "2 min are added to be safe" in passed(clamp_wait(bench), bench.now).doubt
    bench.wall_shift = -7200
    assert is_over(clamp_wait(bench), bench.now), "a change of the wall clock after that matters no more"


def test_open_time_may_be_over_at_once_after_a_restart() -> None:
    bench = Bench(towel_frame())
    for step in ("dry fit", "spread"):
        bench.must(Do("frame:1", step, anyway="Tested: ready"))
    bench.time += 30
    bench.beat()
    bench.restart(off=20)
    open_time = running_waits(bench.run, bench.state)[0]
    assert is_over(open_time, bench.now)
    assert "Confirm its times." in passed(open_time, bench.now).doubt
    bench.confirm()
    assert remaining(open_time, bench.now) == pytest.approx(8 * 60 - 50 - BOTH_WITHIN)
    assert "2 min are taken off to be safe" in passed(open_time, bench.now).doubt


def test_a_wait_that_another_tablet_started_waits_until_a_person_says_that_both_clocks_are_right(bench: Bench) -> None:
    other = Bench(bench.run, "bench")
    other.take_in(bench.entries)
    other.boot_id, other.time = "boot of the other", 4000
    other.beat()
    assert passed(clamp_wait(other), other.now).least == 0
    other.must(ConfirmClock())
    assert not is_over(clamp_wait(other), other.now), "the other tablet's clock may have been wrong"
    other.confirm()
    assert is_over(clamp_wait(other), other.now)


def test_a_clock_that_was_slow_at_the_start_and_is_right_now_ends_nothing_early() -> None:
    """The clock was an hour slow when the clamps went on: by the wall clock only, an hour has passed after five
    minutes."""
    bench = Bench(towel_frame())
    bench.wall_shift = -3600
    for step in ("dry fit", "spread", "clamp"):
        bench.must(Do("frame:1", step, anyway="Tested: ready"))
    bench.time += 60
    bench.beat()
    bench.restart(off=240)
    bench.wall_shift = 0
    bench.must(ConfirmClock())
    assert not is_over(clamp_wait(bench), bench.now)
    assert passed(clamp_wait(bench), bench.now).least == pytest.approx(60)
    assert passed(clamp_wait(bench), bench.now).unsure, "the start is still to be confirmed"


def test_a_restart_doesn_t_lose_what_was_confirmed_before_it(bench: Bench) -> None:
    bench.time += 600
    bench.beat()
    bench.restart(off=1200)
    bench.confirm()
    bench.time += 300
    bench.beat()
    bench.restart(off=5000, boot_id="third boot")
    gone = passed(clamp_wait(bench), bench.now)
    assert gone.least == pytest.approx(600 + 1200 + 300 - BOTH_WITHIN)
    assert gone.unsure
    bench.time += 45 * 60 - gone.least
    assert is_over(clamp_wait(bench), bench.now)


def test_the_time_of_every_boot_since_the_start_counts(bench: Bench) -> None:
    bench.time += 300
    bench.beat()
    for boot in ("second boot", "third boot", "fourth boot"):
        bench.restart(off=10_000, boot_id=boot)
        bench.time += 600
        bench.beat()
    assert passed(clamp_wait(bench), bench.now).least == pytest.approx(300 + 3 * 600)


def test_only_an_entry_that_started_a_clock_can_be_confirmed(bench: Bench) -> None:
    dry_fit = next(tick.first.id for tick in bench.state.of(bench.run, bench.run.items["frame:1"]))
    for entry in (dry_fit, ("saw", 999)):
        refusal = bench.do(ConfirmClock((entry,)))
        assert refusal is not None
        assert refusal.reason == "That timer isn't known."


def test_a_forged_start_at_an_impossible_time_confirms_nothing(bench: Bench) -> None:
    for at in (-1.0, 1e300, math.inf, math.nan):
        bench.write(ClockConfirmed("b", 0.0, (Moment("first boot", 0.0, at),)))
    assert "first boot" not in bench.state.confirmed


def test_a_wall_clock_set_back_over_a_restart_never_shortens_the_wait(bench: Bench) -> None:
    bench.time += 600
    bench.beat()
    bench.wall_shift = -86_400
    bench.restart()
    gone = passed(clamp_wait(bench), bench.now)
    assert (gone.seconds, gone.least) == (600, 600)
    assert "its clock is wrong" in gone.doubt


def test_an_undone_step_takes_its_clock_with_it(bench: Bench) -> None:
    from tracker.work.decide.decide import UndoLast

    bench.must(UndoLast("frame:1"))
    assert [running.wait.kind for running in running_waits(bench.run, bench.state)] == ["open"]
