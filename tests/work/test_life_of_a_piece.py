"""Everything done to a piece apart from its route: measured, spoiled and made again, set aside, swapped, noted; and its
undo."""

from __future__ import annotations

from work.table import GLUED, RUN, bench_in, rails, steps, taps

from tracker.work.decide.decide import (
    CheckIn,
    Do,
    KeepBoards,
    Label,
    Measure,
    Note,
    PutAside,
    Rack,
    Resume,
    Spoil,
    Swap,
    UndoEntry,
    UndoLast,
)
from tracker.work.facts import PlannedBoard, PlannedCut

RAIL, FRAME = RUN.items["rail:1"], RUN.items["frame:1"]


def test_measured_actual_against_planned() -> None:
    bench = bench_in((rails(1), taps(Measure("rail:1", "length", 160_000, 160_160))))
    kept = bench.state.measures(RUN, RAIL)["length"]
    assert (kept.fact.planned, kept.fact.actual) == (160_000, 160_160)


def test_what_is_made_again_begins_anew_under_the_same_key_and_needs_a_label() -> None:
    bench = bench_in(
        (rails(1), taps(Label(("rail:1", "rail:2")), Measure("rail:1", "width", 1, 2), Note("rail:1", "n")))
    )
    bench.must(CheckIn("frame:1", "rail:1"))
    bench.must(Spoil("rail:1", "split"))
    state = bench.state
    assert (state.making(RUN, RAIL), state.of(RUN, RAIL), dict(state.measures(RUN, RAIL))) == (2, (), {})
    assert state.labelled(RUN) == {"rail:2"}
    assert not state.checked_in(RUN, FRAME)
    assert [kept.fact.why for kept in state.spoils(RUN, RAIL)] == ["split"]
    bench.must(Label(("rail:1",)))
    assert bench.state.labelled(RUN) == {"rail:1", "rail:2"}


def test_spoiling_can_be_taken_back_until_the_new_one_is_begun() -> None:
    bench = bench_in((rails(1),))
    before = bench.state
    bench.must(Spoil("rail:1", "split"))
    entry = bench.entries[-1].id
    bench.must(Do("rail:1", "cut"))
    refusal = bench.do(UndoEntry(entry))
    assert refusal is not None
    assert refusal.reason == "Rail 1: cut since. Take that back first."
    bench.must(UndoLast("rail:1"))
    bench.must(UndoEntry(entry))
    assert bench.state == before


def test_a_glued_frame_is_spoiled_with_all_that_is_in_it_and_comes_back_whole() -> None:
    bench = bench_in(GLUED)
    before = bench.state
    bench.must(Spoil("frame:1", "fell"))
    assert [bench.state.making(RUN, RUN.items[key]) for key in ("frame:1", "rail:1", "rail:2", "rail:3")] == [
        2,
        2,
        2,
        1,
    ]
    first, inside = bench.entries[-3].id, bench.entries[-1].id
    refusal = bench.do(UndoEntry(inside))
    assert refusal is not None
    assert refusal.reason == "It went with Frame: take that back."
    bench.must(UndoEntry(first))
    assert bench.state == before


def test_set_aside_its_steps_wait_and_so_does_its_assembly() -> None:
    bench = bench_in((rails(2), steps("cut", key="rail:1"), taps(PutAside("rail:1", "knot"))))
    refusal = bench.do(Do("rail:1", "trim B"))
    assert refusal is not None
    assert refusal.reason == "Set aside: knot"
    refusal = bench.do(Do("frame:1", "dry fit"))
    assert refusal is not None
    assert refusal.reason == "Rail 1 set aside"
    bench.must(Resume("rail:1"))
    bench.tick("rail:1", "trim")


def test_twins_change_places() -> None:
    bench = bench_in((rails(1, 3),))
    bench.must(Swap("rail:1", "rail:3"))
    state = bench.state
    assert state.members(RUN, FRAME) == ("rail:3", "rail:2")
    assert state.members(RUN, RUN.items["other:1"]) == ("rail:1", "rail:4")
    assert (state.into(RUN, RAIL), state.into(RUN, RUN.items["rail:3"])) == ("other:1", "frame:1")
    first = bench.entries[-1].id
    bench.must(Swap("rail:1", "rail:2"))
    refusal = bench.do(UndoEntry(first))
    assert refusal is not None
    assert refusal.reason == "They changed places again since: take that back first."
    bench.must(UndoEntry(bench.entries[-1].id))
    bench.must(UndoEntry(first))
    assert not bench.state.whole(RUN).place_of


def test_a_swap_stands_once_one_of_them_is_glued() -> None:
    bench = bench_in((rails(2, 3), taps(Swap("rail:1", "rail:3"))))
    swap = bench.entries[-1].id
    bench.must(Do("frame:1", "dry fit"))
    bench.tick("frame:1", "spread")
    refusal = bench.do(UndoEntry(swap))
    assert refusal is not None
    assert refusal.reason == "Rail 3 is in Frame: take that back first."


def test_history_is_newest_first_and_marks_what_was_taken_back() -> None:
    bench = bench_in(
        (steps("cut", key="rail:1"), taps(Note("rail:1", "knot"), UndoLast("rail:1"), Swap("rail:1", "rail:3")))
    )
    past = bench.state.history(RUN, RAIL)
    assert [type(each.entry.fact).__name__ for each in past] == ["Swapped", "Noted", "Done"]
    assert [each.undone_by is not None for each in past] == [False, False, True]
    assert len(bench.state.history(RUN)) == 3
    assert len(bench.state.history(RUN, RUN.items["rail:3"])) == 1


def plan(key: str, *items: str) -> PlannedBoard:
    cuts = tuple(PlannedCut(item, 170_000 * at, 166_400) for at, item in enumerate(items))
    return PlannedBoard(key, "ash", "dealer", 640_000, cuts)


def test_the_board_plan_that_is_followed_and_an_offcut_on_the_rack() -> None:
    bench = bench_in(())
    bench.must(KeepBoards((plan("ash/1", "rail:1", "rail:2"),)))
    kept = bench.entries[-1].id
    assert bench.do(KeepBoards((plan("ash/1", "rail:1", "rail:1"),))) is not None, "no piece twice"
    assert bench.do(KeepBoards((plan("ash/1", "leg:1"),))) is not None, "no piece that isn't of this build"
    bench.must(Do("rail:1", "cut", board="ash/1", at=0))
    refusal = bench.do(UndoEntry(kept))
    assert refusal is not None
    assert refusal.reason == "Rail 1 was cut by it: take that back first."
    bench.must(Rack("K1", "ash", 100_000, "ash/1"))
    assert bench.do(Rack("K1", "ash", 100_000, "ash/1")) is not None
    bench.must(Label(("rack/K1",)))
    bench.must(UndoLast("rail:1"))
    bench.must(UndoEntry(kept))
    assert bench.state.boards(RUN) == ()
    assert list(bench.state.racked(RUN)) == ["K1"]


def test_what_can_t_be_taken_back_says_why() -> None:
    bench = bench_in((steps("cut", key="rail:1"), taps(UndoLast("rail:1"))))
    for entry, reason in ((1, "That was undone already."), (2, "There is nothing to take back."), (9, "There is")):
        refusal = bench.do(UndoEntry(("saw", entry)))
        assert refusal is not None
        assert refusal.reason.startswith(reason)
