"""A time that a person entered or confirmed can't be undone while a later entry depends on it: otherwise a joint would
have been unclamped too early, without a trace in the log."""

from __future__ import annotations

import pytest
from work.one_tablet import BUILD, Bench, towel_frame

from tracker.design.load import load_build
from tracker.work.decide.decide import Answer, ConfirmClock, Do, Overrule, Refusal, UndoEntry, UndoLast
from tracker.work.facts import EntryId
from tracker.work.run import start_run
from tracker.work.state.state import running_waits

ANYWAY = "Tested: ready"


@pytest.fixture
def bench() -> Bench:
    """A bench with the frame in clamps for 45 min."""
    bench = Bench(towel_frame())
    for step in ("dry fit", "spread", "clamp"):
        bench.must(Do("frame:1", step, ANYWAY))
    return bench


def last(bench: Bench) -> EntryId:
    return bench.entries[-1].id


def refused(bench: Bench, entry: EntryId) -> str:
    refusal = bench.do(UndoEntry(entry))
    assert isinstance(refusal, Refusal)
    return refusal.reason


def label_says(bench: Bench, seconds: int) -> EntryId:
    bench.must(Overrule("frame:1", "clamp", seconds, "the bottle"))
    return last(bench)


def confirmed_after_a_restart(bench: Bench, off: float = 3600) -> EntryId:
    bench.beat()
    bench.restart(off=off)
    bench.confirm()
    return last(bench)


def test_a_time_from_the_label_stays_while_a_step_was_done_by_it(bench: Bench) -> None:
    label = label_says(bench, 60)
    bench.time += 60
    bench.must(Do("frame:1", "unclamp"))
    assert refused(bench, label) == "Frame: glued since. Take that back first."
    bench.must(UndoLast("frame:1"))
    bench.must(UndoEntry(label))
    refusal = bench.do(Do("frame:1", "unclamp"))
    assert isinstance(refusal, Refusal)
    assert refusal.reason == "44 min left in clamps"


def test_a_time_from_the_label_stays_while_an_alarm_was_answered_by_it(bench: Bench) -> None:
    label = label_says(bench, 60)
    bench.time += 60
    (running,) = running_waits(bench.run, bench.state)
    bench.must(Answer(running.entry.id))
    answer = last(bench)
    assert refused(bench, label) == "Frame: the alarm was answered since. Take that back first."
    bench.must(UndoEntry(answer))
    bench.must(UndoEntry(label))


def test_a_time_that_was_there_before_the_clock_stays_while_the_clock_runs_by_it() -> None:
    bench = Bench(towel_frame())
    for step in ("dry fit", "spread"):
        bench.must(Do("frame:1", step, ANYWAY))
    label = label_says(bench, 60)
    bench.must(Do("frame:1", "clamp", ANYWAY))
    assert refused(bench, label) == "Frame: clamped since. Take that back first."


def test_a_time_by_which_nothing_was_done_can_be_undone(bench: Bench) -> None:
    bench.must(UndoEntry(label_says(bench, 60)))
    assert running_waits(bench.run, bench.state)[0].wait.seconds == 45 * 60


def test_a_confirmed_clock_stays_while_a_step_was_done_by_it(bench: Bench) -> None:
    confirmed = confirmed_after_a_restart(bench)
    bench.must(Do("frame:1", "unclamp"))
    assert refused(bench, confirmed) == "Frame: glued by that clock. Take that back first."
    bench.must(UndoLast("frame:1"))
    bench.must(UndoEntry(confirmed))
    assert bench.do(Do("frame:1", "unclamp")) is not None, "it is in clamps again"


def test_a_confirmed_clock_stays_while_an_alarm_was_answered_by_it(bench: Bench) -> None:
    confirmed = confirmed_after_a_restart(bench)
    (running,) = running_waits(bench.run, bench.state)
    bench.must(Answer(running.entry.id))
    answer = last(bench)
    assert refused(bench, confirmed) == "Frame: the alarm was answered by that clock. Take that back first."
    bench.must(UndoEntry(answer))
    bench.must(UndoEntry(confirmed))


def test_a_confirmed_clock_stays_while_something_went_on_by_a_cure_that_it_ended(bench: Bench) -> None:
    bench.must(Do("frame:1", "unclamp", ANYWAY))
    confirmed = confirmed_after_a_restart(bench, off=25 * 3600)
    bench.must(Do("frame:1", "finish 1"))
    assert refused(bench, confirmed) == "Frame: given coat 1 by that clock. Take that back first."


def test_a_confirmed_clock_stays_though_another_build_is_open_now(bench: Bench) -> None:
    confirmed = confirmed_after_a_restart(bench)
    bench.must(Do("frame:1", "unclamp"))
    other = towel_frame()
    bench.run = type(other)(**{name: getattr(other, name) for name in other.__struct_fields__} | {"name": "stool#1"})
    assert refused(bench, confirmed) == "Frame: glued by that clock. Take that back first."


def test_a_confirmed_clock_can_be_undone_while_nothing_was_done_by_it(bench: Bench) -> None:
    confirmed = confirmed_after_a_restart(bench, off=60)
    bench.must(Do("frame:1", "unclamp", "My own risk"))  # taken off early on purpose, not because of that clock
    bench.must(UndoEntry(confirmed))


def test_a_confirmed_clock_has_no_part_in_what_began_and_ended_in_a_later_boot(bench: Bench) -> None:
    bench.must(Do("frame:1", "unclamp", ANYWAY))
    bench.must(ConfirmClock())
    confirmed = last(bench)
    bench.beat()
    bench.restart(boot_id="third boot", off=10)
    bench.must(Do("frame:1", "finish 1", ANYWAY))
    bench.time += 13 * 3600
    bench.must(Do("frame:1", "finish 2", ANYWAY))
    bench.must(UndoEntry(confirmed))


def test_a_confirmed_clock_stays_though_only_the_present_was_confirmed(bench: Bench) -> None:
    """The start of the wait is of a boot that it doesn't name."""
    bench.beat()
    bench.restart(off=60)
    bench.must(ConfirmClock())
    confirmed = last(bench)
    bench.time += 45 * 60
    bench.must(Do("frame:1", "unclamp"))
    assert refused(bench, confirmed) == "Frame: glued by that clock. Take that back first."


def test_a_clock_that_was_confirmed_before_stays_while_a_wait_of_its_boot_ended_by_it() -> None:
    bench = Bench(towel_frame())
    bench.must(ConfirmClock())
    confirmed = last(bench)
    for step in ("dry fit", "spread", "clamp"):
        bench.must(Do("frame:1", step, ANYWAY))
    bench.time += 45 * 60
    bench.must(Do("frame:1", "unclamp"))
    assert refused(bench, confirmed) == "Frame: clamped by that clock. Take that back first."
    other = Bench(towel_frame())
    other.must(ConfirmClock())
    confirmed = last(other)
    other.beat()
    other.restart(off=5)
    for step in ("dry fit", "spread", "clamp"):
        other.must(Do("frame:1", step, ANYWAY))
    other.time += 45 * 60
    other.must(Do("frame:1", "unclamp"))
    other.must(UndoEntry(confirmed))


def test_what_was_done_by_a_clock_is_named_as_its_build_names_it_where_that_is_open() -> None:
    build = load_build(BUILD.replace('name = "Frame"', 'name = "Towel rail"')).build
    assert build is not None
    bench = Bench(start_run(build))
    bench.must(ConfirmClock())
    confirmed = last(bench)
    bench.must(Do("frame:1", "clamp", ANYWAY))
    bench.time += 45 * 60
    bench.must(Do("frame:1", "unclamp", ANYWAY))
    assert refused(bench, confirmed) == "Towel rail: glued by that clock. Take that back first."
    bench.run = start_run(build, 2)
    assert refused(bench, confirmed) == "Frame: glued by that clock. Take that back first.", "by its key alone"
