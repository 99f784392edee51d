"""Each line of an exported file that can't be taken is named by its own number, counted as an editor counts."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from store.made_rows import entry, rows_of, written

from tracker.store.exchange_file import MOST_CONFIRMED, MOST_RUNNING, MOST_RUNS, Tally, Wrong, read_file
from tracker.work.facts import Answered, ClockConfirmed, Done, Moment, Undone, Wait

GOOD = [entry(number) for number in (1, 2, 3)]


def wrong(path: Path, known: dict[str, int] | None = None, own: str = "saw") -> Sequence[Wrong]:
    rows, problems = read_file(path, known or {}, own)
    assert bool(rows) is not bool(problems)
    return problems


def test_a_sound_file_is_read_whole(tmp_path: Path) -> None:
    rows = rows_of(GOOD)
    assert read_file(written(tmp_path / "log", rows), {}, "saw") == (rows, ())


@pytest.mark.parametrize("at", [1, 2, 3])
def test_a_broken_entry_is_named_by_its_line(at: int, tmp_path: Path) -> None:
    def broken(lines: list[str]) -> None:
        lines[at] = "[]\n"

    assert wrong(written(tmp_path / "log", rows_of(GOOD), broken)) == (
        Wrong(at + 1, "this line is no entry, or it isn't whole"),
    )


def test_a_line_that_breaks_off_is_not_whole(tmp_path: Path) -> None:
    def torn(lines: list[str]) -> None:
        lines[-1] = lines[-1].rstrip("\n")

    assert wrong(written(tmp_path / "log", rows_of(GOOD), torn)) == (
        Wrong(4, "this line is no entry, or it isn't whole"),
    )


def test_a_changed_entry_breaks_the_chain_at_its_own_line(tmp_path: Path) -> None:
    def changed(lines: list[str]) -> None:
        lines[2] = lines[2].replace("rail:2", "rail:9")

    (problem,) = wrong(written(tmp_path / "log", rows_of(GOOD), changed))
    assert problem.line == 3


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ({"format": "another"}, "this is no record that Kerfcard exported"),
        ({"version": 2}, "a later version of Kerfcard wrote this file: bring Kerfcard up to date"),
        ({"entries": "3"}, "the first line doesn't say how many entries there are"),
        ({"ends": []}, "the first line doesn't say how many entries there are"),
    ],
)
def test_a_first_line_that_says_something_else_is_line_one(head: dict[str, Any], said: str, tmp_path: Path) -> None:
    assert wrong(written(tmp_path / "log", rows_of(GOOD), **head)) == (Wrong(1, said),)


@pytest.mark.parametrize("head", [{"entries": 4}, {"entries": 2}, {"ends": {"bench": [3, "0" * 64]}}])
def test_a_file_that_has_lost_its_end_says_so(head: dict[str, Any], tmp_path: Path) -> None:
    said = f"the file isn't whole: it was written with {head.get('entries', 3)} entries and has 3"
    assert wrong(written(tmp_path / "log", rows_of(GOOD), **head)) == (Wrong(4, said),)


@pytest.mark.parametrize("known", [0, 1, 2])
def test_what_claims_to_be_of_this_tablet_is_known_here_or_refused(known: int, tmp_path: Path) -> None:
    problems = wrong(written(tmp_path / "log", rows_of(GOOD)), {"bench": known}, own="bench")
    assert problems == tuple(
        Wrong(at + 1, f"entry {at} claims to be of this tablet (bench), which never wrote it")
        for at in range(known + 1, 4)
    )


def test_what_this_tablet_wrote_comes_back(tmp_path: Path) -> None:
    assert len(read_file(written(tmp_path / "log", rows_of(GOOD)), {"bench": 3}, "bench")[0]) == 3


@pytest.mark.parametrize(("known", "sound"), [({}, False), ({"desk": 4}, False), ({"desk": 5}, True)])
def test_what_an_entry_has_seen_is_in_the_file_or_here(known: dict[str, int], sound: bool, tmp_path: Path) -> None:
    rows = rows_of([entry(1), entry(2, {"desk": 5})])
    found, problems = read_file(written(tmp_path / "log", rows), known, "saw")
    assert bool(found) is sound
    assert [(each.line, "has seen entry 5 of tablet desk" in each.what) for each in problems] == (
        [] if sound else [(3, True)]
    )


def test_what_is_later_in_the_same_file_may_have_been_seen(tmp_path: Path) -> None:
    rows = rows_of([entry(1, {"desk": 1}), entry(1, tablet="desk")])
    assert len(read_file(written(tmp_path / "log", rows), {}, "saw")[0]) == 2


# -- too much ----------------------------------------------------------------------------------------------------------


def said_of(*facts: Any) -> list[str]:
    tally = Tally()
    for number, fact in enumerate(facts, 1):
        tally.add(entry(number, fact=fact))
    return list(tally.too_much())


def clock(run: int) -> Done:
    return Done(f"b#{run}", "top:1", "clamp", wait=Wait("clamp", 60, True, "boot", 1.0))


def test_as_many_builds_as_are_taken_in_and_one_more() -> None:
    runs = [Done(f"b#{number}", "a:1", "cut") for number in range(MOST_RUNS + 1)]
    assert said_of(*runs[:-1]) == []
    assert said_of(*runs) == [f"it has {MOST_RUNS + 1:,} builds; Kerfcard takes in at most {MOST_RUNS:,}"]


@pytest.mark.parametrize("answer", [Answered, Undone, None])
def test_a_clock_runs_until_it_is_answered_or_taken_back(answer: Any) -> None:
    clocks = [clock(number) for number in range(MOST_RUNNING + 1)]
    more = "builds with a clock that runs"
    assert said_of(*clocks[:-1]) == []
    assert said_of(*clocks) == [f"it has {MOST_RUNNING + 1:,} {more}; Kerfcard takes in at most {MOST_RUNNING:,}"]
    ended = answer("bench", 1) if answer else Done("b#0", "top:1", "unclamp", answers=(("bench", 1),))
    assert said_of(*clocks, ended) == []


def test_every_time_that_was_confirmed_counts_with_its_starts() -> None:
    one, with_start = ClockConfirmed("boot", 1.0), ClockConfirmed("boot", 1.0, (Moment("boot", 0.5, 1.0),))
    assert said_of(*[one] * MOST_CONFIRMED) == []
    assert len(said_of(*[one] * (MOST_CONFIRMED + 1))) == 1
    assert said_of(*[with_start] * (MOST_CONFIRMED // 2)) == []
    assert len(said_of(*[with_start] * (MOST_CONFIRMED // 2), one)) == 1
