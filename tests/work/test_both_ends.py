"""The two ends of a piece are two steps; their entries in older logs and from older tablets."""

from __future__ import annotations

import pytest
from work.one_tablet import Bench, towel_frame

from tracker.work.decide.decide import Do, DoTogether, UndoEntry, UndoLast
from tracker.work.facts import Done, Unknown, from_data, to_data
from tracker.work.revision import revision
from tracker.work.state.replay import Replay

RAIL = "rail:1"


@pytest.fixture
def bench() -> Bench:
    return Bench(towel_frame())


@pytest.mark.parametrize("ends", ["AB", "BA"])
def test_either_end_may_be_first_and_each_is_undone_on_its_own(bench: Bench, ends: str) -> None:
    bench.must(Do(RAIL, "cut"))
    states = [bench.state]
    for end in ends:
        bench.must(Do(RAIL, f"trim {end}"))
        states.append(bench.state)
    item = bench.run.items[RAIL]
    assert bench.state.is_done(bench.run, item, "trim")
    assert bench.state.finished(bench.run, item)
    for before in reversed(states[:-1]):
        bench.must(UndoLast(RAIL))
        assert bench.state == before


def test_the_first_end_can_be_undone_while_the_second_stays(bench: Bench) -> None:
    for step in ("cut", "trim A", "trim B"):
        bench.must(Do(RAIL, step))
    bench.must(UndoEntry(bench.entries[1].id))
    assert bench.state.steps(bench.run, bench.run.items[RAIL]) == {"cut", "trim B"}


def test_one_tick_of_an_older_log_means_both_ends_and_is_undone_as_one(bench: Bench) -> None:
    bench.must(Do(RAIL, "cut"))
    before = bench.state
    old = bench.write(Done(bench.run.name, RAIL, "trim"))
    item = bench.run.items[RAIL]
    assert bench.state.finished(bench.run, item)
    assert not revision(bench.run, bench.state).orphans, "nothing of it is lost"
    assert bench.do(Do(RAIL, "trim A")) is not None, "both are done already"
    bench.must(UndoEntry(old.id))
    assert bench.state == before
    bench.write(Done(bench.run.name, RAIL, "trim"))
    bench.must(UndoLast(RAIL))
    assert bench.state == before


def test_an_older_tablet_keeps_what_it_does_not_know_and_passes_it_on(bench: Bench) -> None:
    """A field unknown to a version makes the whole fact unknown to it, and such a fact is written unchanged."""
    bench.must(DoTogether(("rail:1", "rail:2"), "cut"))
    kind, data = to_data(bench.entries[0].fact)
    assert (data["batch"], to_data(bench.entries[1].fact)[1]["batch_at"]) == (2, 1)
    newer = from_data(kind, {**data, "a field of a later version": 1})
    assert isinstance(newer, Unknown)
    assert to_data(newer) == (kind, {**data, "a field of a later version": 1})


def test_a_hold_is_undone_as_one_while_nothing_was_built_upon_it(bench: Bench) -> None:
    before = bench.state
    bench.must(DoTogether(("rail:1", "rail:2"), "cut"))
    assert Replay(reversed(bench.entries)).state == bench.state
    held = bench.state
    bench.must(UndoLast("rail:1"))
    assert bench.state == before
    bench.must(DoTogether(("rail:1", "rail:2"), "cut"))
    bench.must(Do("rail:2", "trim B"))
    bench.must(UndoLast("rail:1"))
    assert not bench.state.of(bench.run, bench.run.items["rail:1"])
    assert bench.state.is_done(bench.run, bench.run.items["rail:2"], "cut"), "the other one is trimmed: it stays"
    assert held != bench.state


def test_a_hold_is_refused_as_a_whole(bench: Bench) -> None:
    bench.must(Do("rail:1", "cut"))
    before = bench.state
    refusal = bench.do(DoTogether(("rail:1", "rail:2"), "trim B"))
    assert refusal is not None
    assert refusal.reason == "Rail 2: Not cut yet"
    assert bench.state == before
