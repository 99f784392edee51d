"""The saw's work on a piece: which end is cut first, which setups a step needs, where the stop is used."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cards.board_shop import Saw
from tracker.floor import saw_cuts
from tracker.floor.saw_cuts import (
    blank_step,
    cuts_of,
    is_planned,
    next_step,
    pass_of,
    passes_left,
    plan_saw_work,
    setups_of,
    setups_of_build,
)
from tracker.work.facts import Done
from tracker.work.run import Item

SAMPLES = Path(__file__).parents[2] / "sample_projects"
NAMES = ("hall_bench", "planter", "stool")


@pytest.fixture(scope="module", params=NAMES)
def text(request: pytest.FixtureRequest) -> str:
    return (SAMPLES / f"{request.param}.toml").read_text("utf-8")


@pytest.fixture
def saw(text: str) -> Saw:
    return Saw(text)


def trimmed(saw: Saw) -> list[Item]:
    return [item for item in saw.run.pieces if sum(bool(step.end) for step in item.route) == 2]


def tick(saw: Saw, item: Item, *steps: str) -> None:
    for step in steps:
        saw.write(Done(saw.run.name, item.key, step))


def test_the_end_whose_setup_comes_first_is_cut_first(saw: Saw) -> None:
    plan = setups_of_build(saw.run.build)
    for item in trimmed(saw):
        before = item.route[: [step.end for step in item.route].index("A")]
        tick(saw, item, *(step.id for step in before))

    def turn(item: Item, end: str) -> tuple[int, int]:
        setup = plan.of(item.id, item.number, end)  # type: ignore[arg-type]
        assert setup is not None
        cuts = [(cut.part, cut.piece, cut.end) for cut in setup.cuts]
        return setup.order, cuts.index((item.id, item.number, end))  # type: ignore[arg-type]

    firsts = set()
    for item in trimmed(saw):
        step = next_step(saw.floor, item)
        assert step is not None
        assert step.end == min("AB", key=lambda end: turn(item, end)), item.key
        firsts.add(step.end)
        (setup,) = setups_of(saw.floor, item, step)
        assert setup == plan.of(item.id, item.number, step.end or None)
    assert firsts, "some pieces have two ends to trim"


def test_the_first_end_has_no_stop_and_the_second_one_does(saw: Saw) -> None:
    for item in trimmed(saw)[:12]:
        first = next(step for step in item.route if step.end)
        second = next(step for step in item.route if step.end and step is not first)
        cuts = cuts_of(saw.floor, item)
        assert passes_left(saw.floor, item, first) == (first, second)
        assert pass_of(saw.floor, item, first) == cuts.end(first.end, ())  # type: ignore[arg-type]
        assert pass_of(saw.floor, item, second) == cuts.end(second.end, ())  # type: ignore[arg-type]
        tick(saw, item, first.id)
        assert passes_left(saw.floor, item, second) == (second,)
        assert pass_of(saw.floor, item, second) == cuts.end(second.end, [first.end])  # type: ignore[arg-type, list-item]


def test_a_blank_needs_its_own_setup_and_those_of_its_ends_where_it_isnt_trimmed(saw: Saw) -> None:
    plan = setups_of_build(saw.run.build)
    for item in saw.run.pieces:
        step = item.step(blank_step(item))
        if step is None:
            continue
        ends = (None,) if item.does("trim") else (None, "A", "B")
        needed = {setup.order: setup for end in ends if (setup := plan.of(item.id, item.number, end))}  # type: ignore[arg-type]
        assert setups_of(saw.floor, item, step) == tuple(needed[order] for order in sorted(needed))
        made = pass_of(saw.floor, item, step)
        assert made is None or (made.end is None and made in cuts_of(saw.floor, item).of("cut"))
        other = next(
            (each for each in item.route if not each.end and each.id != step.id and each.station != "saw"), None
        )
        if other:
            assert setups_of(saw.floor, item, other) == ()
            assert pass_of(saw.floor, item, other) is None


def test_what_was_computed_is_kept_for_the_same_build(text: str) -> None:
    saw_cuts._KEPT.clear()
    saw, again = Saw(text), Saw(text)
    assert not is_planned(saw.run.build)
    plan_saw_work(saw.run)
    assert is_planned(saw.run.build)
    assert not is_planned(again.run.build), "by identity"
    item = next(iter(saw.run.pieces))
    assert cuts_of(saw.floor, item) is cuts_of(saw.floor, item)
    assert setups_of_build(saw.run.build) is setups_of_build(saw.run.build)
    builds = [Saw(text).run.build for _ in range(4)]
    for build in builds:
        setups_of_build(build)
    assert [is_planned(build) for build in (saw.run.build, *builds)] == [False, True, True, True, True]
