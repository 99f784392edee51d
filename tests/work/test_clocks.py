"""Clocks through sleep, a changed wall clock and a restart."""

from __future__ import annotations

import pytest
from work.bench import Bench, towel_frame

from tracker.work.clocks import passed, remaining
from tracker.work.decide import Do
from tracker.work.state import RunningWait, running_waits


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


def test_after_a_restart_the_wall_clock_decides(bench: Bench) -> None:
    bench.time += 600
    bench.boot_id = "second boot"
    gone = passed(clamp_wait(bench), bench.now)
    assert gone.seconds == pytest.approx(600)
    assert gone.doubt == ""


def test_a_wall_clock_set_back_over_a_restart_never_shortens_the_wait(bench: Bench) -> None:
    bench.time += 600
    bench.boot_id, bench.wall_shift = "second boot", -86_400
    gone = passed(clamp_wait(bench), bench.now)
    assert gone.seconds == 0
    assert "check the time" in gone.doubt


def test_an_undone_step_takes_its_clock_with_it(bench: Bench) -> None:
    from tracker.work.decide import TakeBack

    bench.must(TakeBack("frame:1"))
    assert [running.wait.kind for running in running_waits(bench.run, bench.state)] == ["open"]
