"""A glue-up part by part: the words of each step, which part is marked, and which are there already.

The orders were read off the pieces' places in the build files by hand.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from work.one_tablet import Bench

from tracker.cards.picture.furniture import FurnitureCard, Scenes
from tracker.cards.picture.laying import laying_card
from tracker.design.load import load_build
from tracker.floor.floor import Floor
from tracker.work.decide.decide import Swap
from tracker.work.run import start_run

KEPT = Path(__file__).parents[1] / "samples" / "kept"


def bench_of(name: str) -> Bench:
    loaded = load_build((KEPT / f"{name}.toml").read_bytes())
    assert loaded.build is not None, loaded.problems
    return Bench(start_run(loaded.build))


def laid(bench: Bench, key: str, step: int) -> FurnitureCard:
    floor, (id_, _, number) = Floor(bench.run, bench.state, bench.now), key.partition(":")
    return laying_card(floor, key, Scenes(bench.run.build).order((id_, int(number))), step)


@pytest.mark.parametrize(
    ("build", "key", "step", "title", "said"),
    [
        (
            "stool", "frame:1", 1, "Leg frame 1 of 2: part 1 of 3",
            "From left to right. Leg 1: end B up, bottom face about to the front; either does, they are alike.",
        ),
        (
            "stool", "frame:1", 3, "Leg frame 1 of 2: part 3 of 3",
            "Leg 2: end A up, top face about to the front; its near edge to end B of Rail 1; either does, they are "
            "alike.",
        ),
        (
            "stool", "seat:1", 2, "Seat: part 2 of 3",
            "Seat board 2: top face up, end A left; its near edge to the far edge of Seat board 1; keep to the "
            "numbers: the grain matches.",
        ),
        ("stool", "base:1", 1, "Base: part 1 of 4", "As it goes together. Leg frame 1."),
        (
            "stool", "base:1", 2, "Base: part 2 of 4",
            "Stretcher 1: far edge up, end B about to the front; its end B to the top face of Leg 1 in Leg frame 1; "
            "either does, they are alike.",
        ),
        (
            "stool", "base:1", 3, "Base: part 3 of 4",
            "Leg frame 2: Leg 3's bottom face to end A of Stretcher 1.",
        ),
        (
            "planter", "ring:1", 1, "Ring: part 1 of 6",
            "In two halves, anticlockwise as seen from above. First half. Side 1: far edge up, top face outward; keep "
            "to the numbers: the grain matches.",
        ),
        (
            "planter", "ring:1", 6, "Ring: part 6 of 6",
            "Side 6: far edge up, top face outward; its end B to end A of Side 1 across the seam, its end A to end B "
            "of Side 5; keep to the numbers: the grain matches.",
        ),
        (
            "planter", "planter:1", 2, "Planter: part 2 of 12",
            "Cleat 4: far edge up, end B about to the front; its top face to the bottom face of Side 6 in Ring; any of "
            "the 4 does, they are alike.",
        ),
        (
            "trestle_table", "top:1", 1, "Top: part 1 of 12",
            "In 2 layers, from the bottom up, in 9 rows, from front to back, each from left to right. Layer 1 of 2. "
            "Batten 1: far edge up, end A to the front; either does, they are alike.",
        ),
        (
            "trestle_table", "top:1", 12, "Top: part 12 of 12",
            "Layer 2 of 2, row 9 of 9, from the front. Edge slat 2: bottom face up, end B left; its top face to the "
            "far edge of Middle batten and the far edge of Batten 1; either does, they are alike.",
        ),
        (
            "hall_bench", "field:1", 2, "Chevron field: part 2 of 25",
            "Layer 2 of 2, front row. Strip A 1: top face up, near edge about left; its bottom face to the top face of "
            "Ground; keep to the numbers: the grain matches.",
        ),
    ],
)  # fmt: skip
def test_each_step_says_what_comes_next_and_how_it_lies(build: str, key: str, step: int, title: str, said: str) -> None:
    card = laid(bench_of(build), key, step)
    assert (card.title, card.said, card.step) == (title, said, step)


def test_what_is_there_grows_part_by_part_and_stops_at_both_ends() -> None:
    bench = bench_of("stool")
    cards = [laid(bench, "base:1", step) for step in range(6)]
    assert [card.step for card in cards] == [1, 1, 2, 3, 4, 4]
    assert {card.steps for card in cards} == {4}
    assert cards[1].done == frozenset()
    for before, after in pairwise(cards[1:5]):
        assert before.done is not None
        assert after.done == before.done | before.here
    assert cards[3].here == {("leg", 3), ("leg", 4), ("rail", 2)}


def test_after_a_swap_the_piece_that_is_there_now_is_named() -> None:
    bench = bench_of("stool")
    assert bench.do(Swap("leg:1", "leg:4")) is None
    assert laid(bench, "frame:1", 1).said.startswith("From left to right. Leg 4: ")
    assert laid(bench, "base:1", 3).said == "Leg frame 2: Leg 3's bottom face to end A of Stretcher 1."
    assert "to the top face of Leg 4 in Leg frame 1" in laid(bench, "base:1", 2).said


def test_the_least_clearance_of_a_pieces_screws_is_said() -> None:
    build = bench_of("hall_bench").run.build
    scenes = Scenes(build)
    drilled = [part for part in build.parts if any(hole.fastens for hole in part.holes)]
    assert drilled
    assert all(scenes.screw_words((part.id, 1)) for part in drilled)
    plain = next(part for part in build.parts if not part.holes)
    assert scenes.screw_words((plain.id, 1)) == ""
