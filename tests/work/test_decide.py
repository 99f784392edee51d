"""What is allowed, and what is in the way, in the words that a person reads."""

from __future__ import annotations

import pytest
from work.one_tablet import Bench, towel_frame

from tracker.work.decide.decide import Answer, Do, UndoLast
from tracker.work.state.state import running_waits


@pytest.fixture
def bench() -> Bench:
    return Bench(towel_frame())


def cut_everything(bench: Bench) -> None:
    for item in bench.run.pieces:
        for step in item.route:
            bench.tick(item.key, step.id)


def test_a_piece_goes_through_its_route_in_order(bench: Bench) -> None:
    assert [step.id for step in bench.run.items["rail:1"].route] == ["cut", "trim A", "trim B"]
    refusal = bench.do(Do("rail:1", "trim B"))
    assert refusal is not None
    assert refusal.reason == "Not cut yet"
    assert refusal.overridable
    bench.must(Do("rail:1", "cut"))
    bench.tick("rail:1", "trim")
    assert bench.state.finished(bench.run, bench.run.items["rail:1"])


def test_an_assembly_says_which_piece_it_waits_for(bench: Bench) -> None:
    for key in ("rail:1", "rail:2"):
        bench.must(Do(key, "cut"))
        bench.tick(key, "trim")
    for key in ("peg:1", "peg:2"):
        bench.must(Do(key, "cut"))
    refusal = bench.do(Do("frame:1", "dry fit"))
    assert refusal is not None
    assert refusal.reason == "2 pegs still to drill"


def test_going_ahead_anyway_is_recorded_with_its_reason_and_what_it_went_against(bench: Bench) -> None:
    bench.must(Do("rail:1", "trim A", anyway="Done before"))
    tick = bench.state.of(bench.run, bench.run.items["rail:1"])[0]
    assert tick.done.anyway == "Done before"
    assert tick.done.against == "Not cut yet"


def test_a_reason_that_was_not_needed_is_not_recorded(bench: Bench) -> None:
    bench.must(Do("rail:1", "cut", anyway="My own risk"))
    assert bench.state.of(bench.run, bench.run.items["rail:1"])[0].done.anyway == ""


def test_a_step_is_done_once(bench: Bench) -> None:
    bench.must(Do("rail:1", "cut"))
    refusal = bench.do(Do("rail:1", "cut"))
    assert refusal is not None
    assert refusal.reason == "Rail 1 is cut already."
    assert not refusal.overridable


def test_clamps_stay_on_until_their_time_has_passed(bench: Bench) -> None:
    cut_everything(bench)
    for step in ("dry fit", "spread", "clamp"):
        bench.tick("frame:1", step)
    bench.time += 23 * 60
    refusal = bench.do(Do("frame:1", "unclamp"))
    assert refusal is not None
    assert refusal.reason == "22 min left in clamps"
    bench.time += 22 * 60
    bench.must(Do("frame:1", "unclamp"))
    assert [r.wait.kind for r in running_waits(bench.run, bench.state)] == ["cure"]


def test_open_time_warns_but_never_blocks(bench: Bench) -> None:
    cut_everything(bench)
    bench.must(Do("frame:1", "dry fit"))
    bench.tick("frame:1", "spread")
    bench.time += 3600
    bench.must(Do("frame:1", "clamp"))


def test_a_second_coat_waits_for_the_first_to_dry(bench: Bench) -> None:
    cut_everything(bench)
    for step in ("dry fit", "spread", "clamp"):
        bench.tick("frame:1", step)
    bench.time += 45 * 60
    bench.must(Do("frame:1", "unclamp"))
    bench.time += 24 * 3600
    bench.must(Do("frame:1", "finish 1"))
    bench.time += 11 * 3600
    refusal = bench.do(Do("frame:1", "finish 2"))
    assert refusal is not None
    assert refusal.reason == "Coat dries for 1 h more"
    bench.time += 3600
    bench.must(Do("frame:1", "finish 2"))
    assert [r.wait.kind for r in running_waits(bench.run, bench.state)] == ["dry"]


def test_a_clock_is_answered_only_once_it_is_over(bench: Bench) -> None:
    cut_everything(bench)
    for step in ("dry fit", "spread", "clamp"):
        bench.tick("frame:1", step)
    running = running_waits(bench.run, bench.state)[0]
    refusal = bench.do(Answer(running.entry.id))
    assert refusal is not None
    assert "in clamps" in refusal.reason
    bench.time += 3600
    bench.must(Answer(running.entry.id))
    assert running_waits(bench.run, bench.state) == ()


def test_undo_takes_back_the_last_thing_and_gives_the_state_before(bench: Bench) -> None:
    bench.must(Do("rail:1", "cut"))
    before = bench.state
    bench.must(Do("rail:1", "trim B"))
    bench.must(UndoLast("rail:1"))
    assert bench.state == before
    bench.must(UndoLast("rail:1"))
    refusal = bench.do(UndoLast("rail:1"))
    assert refusal is not None
    assert refusal.reason == "There is nothing to take back."


def test_a_piece_in_a_glued_frame_is_not_taken_back_before_the_frame(bench: Bench) -> None:
    cut_everything(bench)
    bench.must(Do("frame:1", "dry fit"))
    bench.tick("frame:1", "spread")
    refusal = bench.do(UndoLast("rail:1"))
    assert refusal is not None
    assert refusal.reason == "Rail 1 is in Frame: take that back first."


def test_mirror_pairs_go_into_one_assembly_left_and_right_in_turn(bench: Bench) -> None:
    assert [bench.run.items[key].hand for key in bench.run.items["frame:1"].members[2:]] == ["left", "right"]
