"""Which pairs of entries made apart are a conflict, case by case, from entries written by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from work.one_tablet import BUILD, towel_frame

from tracker.design.load import load_build
from tracker.work.conflicts import concurrent, conflicts
from tracker.work.facts import BoardsPlanned, CheckedIn, Done, Entry, Fact, Noted, Spoiled, Swapped, Undone
from tracker.work.run import start_run
from tracker.work.state.replay import replay

AT = datetime(2026, 3, 2, 8, tzinfo=UTC)
RUN = towel_frame()
R = RUN.name


def entry(tablet: str, count: int, fact: Fact, **seen: int) -> Entry:
    return Entry(tablet, count, seen, AT + timedelta(seconds=count), fact)


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        (entry("saw", 3, Noted(R, "a", "")), entry("bench", 2, Noted(R, "a", "")), True),
        (entry("saw", 3, Noted(R, "a", ""), bench=1), entry("bench", 2, Noted(R, "a", ""), saw=2), True),
        (entry("saw", 3, Noted(R, "a", ""), bench=2), entry("bench", 2, Noted(R, "a", "")), False),
        (entry("saw", 3, Noted(R, "a", "")), entry("bench", 2, Noted(R, "a", ""), saw=3), False),
        (entry("saw", 3, Noted(R, "a", "")), entry("saw", 2, Noted(R, "a", "")), False),
    ],
)
def test_two_entries_were_made_apart_where_neither_tablet_had_seen_the_others(
    one: Entry, other: Entry, apart: bool
) -> None:
    assert concurrent(one, other) is apart
    assert concurrent(other, one) is apart


CUT, TRIM = Done(R, "rail:1", "cut"), Done(R, "rail:1", "trim A")
GLUED = Done(R, "frame:1", "spread")


def found(*entries: Entry, new: int = 1) -> list[tuple[str, str, tuple[str, int], tuple[str, int]]]:
    """What the last `new` of these entries conflict with."""
    state = replay(entries)
    return [(c.kind, c.item, c.first.id, c.second.id) for c in conflicts(entries[-new:], state, RUN)]


def test_one_step_on_both() -> None:
    mine, theirs = entry("saw", 1, CUT), entry("bench", 1, CUT)
    assert found(mine, theirs) == [("twice", "rail:1", ("bench", 1), ("saw", 1))]
    assert found(mine, theirs, new=2) == [("twice", "rail:1", ("bench", 1), ("saw", 1))], "once, whoever asks"
    assert found(mine, entry("bench", 1, TRIM)) == []
    assert found(mine, entry("bench", 1, Done(R, "rail:2", "cut"))) == []
    assert found(mine, entry("bench", 1, CUT, saw=1)) == []
    assert found(mine, entry("bench", 1, Done("Stool#1", "rail:1", "cut"))) == []
    assert found(mine, entry("bench", 1, Noted(R, "rail:1", "x"))) == []


def test_a_step_on_what_was_spoiled_elsewhere() -> None:
    spoiled = entry("saw", 1, Spoiled(R, "rail:1", "split"))
    assert found(spoiled, entry("bench", 1, CUT)) == [("spoiled", "rail:1", ("saw", 1), ("bench", 1))]
    assert found(entry("bench", 1, CUT), spoiled) == [("spoiled", "rail:1", ("saw", 1), ("bench", 1))]
    assert found(spoiled, entry("bench", 1, CUT, saw=1)) == []
    assert found(spoiled, entry("bench", 1, Spoiled(R, "rail:1", "knot"))) == []
    assert found(spoiled, entry("bench", 1, Done(R, "rail:2", "cut"))) == []


def test_a_step_on_what_was_taken_back_elsewhere() -> None:
    both = entry("saw", 1, CUT)
    back = entry("saw", 2, Undone("saw", 1), saw=1)
    built = entry("bench", 1, TRIM, saw=1)
    expected = [("taken back", "rail:1", ("saw", 1), ("bench", 1))]
    assert found(both, back, built) == expected
    assert found(both, built, back) == expected
    assert found(both, back, entry("bench", 1, TRIM)) == [], "it wasn't built on that"
    assert found(both, back, entry("bench", 1, TRIM, saw=2)) == [], "it knew"
    assert found(both, built, entry("saw", 2, Undone("saw", 1), saw=1, bench=1)) == []
    assert found(both, back, entry("bench", 1, Spoiled(R, "rail:1", "split"), saw=1)) == []
    assert found(both, entry("bench", 1, Noted(R, "rail:1", "x"), saw=1), back) == []
    assert found(both, built, entry("desk", 1, Undone("bench", 1), saw=1, bench=1), back) == [], "it is taken back, too"


def test_taking_back_what_is_no_step_of_this_run_is_no_conflict() -> None:
    built = entry("bench", 1, TRIM, saw=1)
    for fact in (Noted(R, "rail:1", "x"), Done("Stool#1", "rail:1", "cut"), BoardsPlanned(R, ())):
        assert found(entry("saw", 1, fact), built, entry("saw", 2, Undone("saw", 1), saw=1)) == []
    assert found(built, entry("saw", 2, Undone("saw", 1), saw=1)) == [], "what it took back isn't known here"


def test_one_piece_in_two_glueups() -> None:
    here, there = (
        entry("saw", 1, CheckedIn(R, "frame:1", "rail:1")),
        entry("bench", 1, CheckedIn(R, "frame:2", "rail:1")),
    )
    assert found(here, there) == [("two glue-ups", "rail:1", ("bench", 1), ("saw", 1))]
    assert found(here, entry("bench", 1, CheckedIn(R, "frame:1", "rail:1"))) == []
    assert found(here, entry("bench", 1, CheckedIn(R, "frame:2", "rail:2"))) == []
    assert found(here, entry("bench", 1, CheckedIn(R, "frame:2", "rail:1"), saw=1)) == []
    assert found(here, entry("saw", 2, Undone("saw", 1), saw=1), there) == []
    assert found(entry("saw", 1, Noted(R, "frame:1", "x")), there) == []


def test_two_plans_of_boards() -> None:
    here, there = entry("saw", 1, BoardsPlanned(R, ())), entry("bench", 1, BoardsPlanned(R, ()))
    assert found(here, there) == [("boards", "", ("bench", 1), ("saw", 1))]
    assert found(here, entry("bench", 1, BoardsPlanned(R, ()), saw=1)) == []
    assert found(here, entry("saw", 2, Undone("saw", 1), saw=1), there) == []
    assert found(entry("saw", 1, Swapped(R, "rail:1", "rail:2")), there) == []


TWO = start_run(
    load_build(
        BUILD.replace("quantity = 2", "quantity = 4").replace("left = 1\nright = 1", "left = 2\nright = 2")
        + BUILD[BUILD.index("[[assemblies]]") :].replace('id = "frame"', 'id = "other"').replace('"Frame"', '"Other"')
    ).build  # type: ignore[arg-type]
)


def of_two(*entries: Entry) -> list[tuple[str, str, tuple[str, int], tuple[str, int]]]:
    found = conflicts(entries[-1:], replay(entries), TWO)
    return [(c.kind, c.item, c.first.id, c.second.id) for c in found]


@pytest.mark.parametrize("step", ["spread", "clamp", "attach"])
def test_a_piece_that_changed_places_while_its_assembly_was_joined(step: str) -> None:
    swap, glued = entry("saw", 1, Swapped(R, "rail:1", "rail:3")), entry("bench", 1, Done(R, "frame:1", step))
    expected = [("swapped", "rail:1", ("saw", 1), ("bench", 1))]
    assert of_two(swap, glued) == expected
    assert of_two(glued, swap) == expected
    other = entry("bench", 1, Done(R, "other:1", step))
    assert of_two(swap, other) == [("swapped", "rail:3", ("saw", 1), ("bench", 1))]
    assert of_two(entry("saw", 1, Swapped(R, "rail:1", "rail:2")), glued) == [], "both go into the same frame"
    assert of_two(entry("saw", 1, Swapped(R, "rail:3", "rail:4")), glued) == []
    assert of_two(swap, entry("bench", 1, Done(R, "frame:1", step), saw=1)) == []
    assert of_two(swap, entry("saw", 2, Undone("saw", 1), saw=1), glued) == []
    assert of_two(swap, entry("bench", 1, Done(R, "frame:1", "dry fit"))) == []
    assert of_two(entry("saw", 1, Swapped(R, "rail:9", "rail:1")), glued) == [], "the build has no such piece"
    assert of_two(entry("saw", 1, BoardsPlanned(R, ())), glued) == []
