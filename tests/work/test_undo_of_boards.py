"""A board's entries can't be undone while cuts depend on them: otherwise an offcut that is used up would be planned on
again."""

from __future__ import annotations

import pytest
from work.one_tablet import Bench, towel_frame

from tracker.work.decide.decide import Do, KeepBoards, Rack, Refusal, Spoil, UndoEntry, UndoLast
from tracker.work.facts import EntryId, PlannedBoard, PlannedCut

FROM_K1 = (PlannedBoard("rack/K1", "ash", "rack", 640_000, (PlannedCut("rail:1", 0, 166_400),)),)


@pytest.fixture
def bench() -> Bench:
    return Bench(towel_frame())


def racked(bench: Bench, name: str = "K1", board: str = "ash/1") -> EntryId:
    bench.must(Rack(name, "ash", 640_000, board))
    return bench.entries[-1].id


def refused(bench: Bench, entry: EntryId) -> str:
    refusal = bench.do(UndoEntry(entry))
    assert isinstance(refusal, Refusal)
    return refusal.reason


def test_an_offcut_stays_while_a_piece_was_cut_from_it(bench: Bench) -> None:
    offcut = racked(bench)
    bench.must(Do("rail:1", "cut", board="rack/K1"))
    assert refused(bench, offcut) == "Rail 1 was cut from it: take that back first."
    bench.must(UndoLast("rail:1"))
    bench.must(UndoEntry(offcut))


def test_an_offcut_stays_though_the_piece_that_was_cut_from_it_is_spoiled(bench: Bench) -> None:
    offcut = racked(bench)
    bench.must(Do("rail:1", "cut", board="rack/K1"))
    bench.must(Spoil("rail:1", "split"))
    assert refused(bench, offcut) == "Rail 1 was cut from it: take that back first."


def test_an_offcut_stays_while_another_offcut_came_from_it(bench: Bench) -> None:
    offcut = racked(bench)
    second = racked(bench, "K2", "rack/K1")
    assert refused(bench, offcut) == "K2 was cut from it: take that back first."
    bench.must(UndoEntry(second))
    bench.must(UndoEntry(offcut))


def test_an_offcut_stays_while_a_later_plan_uses_it(bench: Bench) -> None:
    offcut = racked(bench)
    bench.must(KeepBoards(FROM_K1))
    plan = bench.entries[-1].id
    assert refused(bench, offcut) == "The board plan uses it: take that back first."
    bench.must(UndoEntry(plan))
    bench.must(UndoEntry(offcut))


def test_an_offcut_from_which_nothing_was_cut_can_be_undone(bench: Bench) -> None:
    offcut = racked(bench)
    bench.must(Do("rail:1", "cut", board="ash/1"))
    bench.must(UndoEntry(offcut))


def test_a_plan_stays_while_a_piece_was_cut_by_it_a_spoiled_one_too(bench: Bench) -> None:
    racked(bench)
    bench.must(Do("rail:2", "cut", board="ash/1"))
    bench.must(KeepBoards(FROM_K1))
    plan = bench.entries[-1].id
    bench.must(Do("rail:1", "cut", board="rack/K1"))
    assert refused(bench, plan) == "Rail 1 was cut by it: take that back first."
    bench.must(Spoil("rail:1", "split"))
    assert refused(bench, plan) == "Rail 1 was cut by it: take that back first."


def test_a_plan_that_came_after_all_that_was_cut_can_be_undone(bench: Bench) -> None:
    bench.must(Do("rail:2", "cut", board="ash/1"))
    bench.must(KeepBoards((PlannedBoard("ash/1", "ash", "dealer", 640_000, (PlannedCut("rail:1", 0, 166_400),)),)))
    bench.must(UndoEntry(bench.entries[-1].id))
