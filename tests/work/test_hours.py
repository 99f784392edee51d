"""How long each operation took, as far as the log shows it."""

from __future__ import annotations

import pytest
from work.one_tablet import Bench, towel_frame

from tracker.work.decide.decide import Do, Note, UndoLast
from tracker.work.hours import LONGEST_GAP, hours


def test_time_is_counted_from_the_fact_before_and_a_long_pause_not_at_all() -> None:
    bench = Bench(towel_frame())
    bench.must(Note("rail:1", "first board of the day"))
    bench.time += 300
    bench.must(Do("rail:1", "cut"))
    bench.time += 120
    bench.must(Do("rail:2", "cut"))
    bench.time += LONGEST_GAP + 1
    bench.must(Do("peg:1", "cut"))
    bench.time += 60
    bench.must(Do("peg:1", "drill"))
    found = hours(bench.run, bench.entries)
    assert [(t.name, t.seconds, t.timed, t.untimed) for t in found.operations] == [
        ("cut", 420, 2, 1),
        ("drill", 60, 1, 0),
    ]
    assert [(t.name, t.seconds) for t in found.stations] == [("saw", 420), ("drill", 60)]
    assert found.operations[0].each == pytest.approx(210)
    assert found.words.startswith(
        "At least, from 3 steps that followed one another; 1 more followed a pause of over 45"
    )


@pytest.mark.parametrize(("pause", "timed"), [(45 * 60, True), (45 * 60 + 1, False)])
def test_a_pause_of_45_minutes_still_counts_and_one_second_more_does_not(pause: int, timed: bool) -> None:
    """As it is said: "a pause of over 45 min"."""
    bench = Bench(towel_frame())
    bench.must(Do("rail:1", "cut"))
    bench.time += pause
    bench.must(Do("rail:2", "cut"))
    found = hours(bench.run, bench.entries)
    assert (found.seconds, found.timed, found.untimed) == ((pause, 1, 1) if timed else (0, 0, 2))
    assert (found.first, found.last) == (bench.entries[0].at, bench.entries[1].at)


def test_what_was_taken_back_and_what_another_run_did_is_no_work_of_this_one() -> None:
    bench = Bench(towel_frame())
    bench.must(Do("rail:1", "cut"))
    bench.time += 100
    bench.must(Do("rail:2", "cut"))
    bench.must(UndoLast("rail:2"))
    bench.time += 50
    bench.must(Do("rail:2", "cut"))
    found = hours(bench.run, bench.entries)
    assert (found.seconds, found.timed, found.untimed) == (50, 1, 1)


def test_nothing_done_is_said_so() -> None:
    assert hours(towel_frame(), ()).words == "Nothing is done yet."
