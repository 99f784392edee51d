"""Every picture shows the nearest piece at each of its points, by a depth buffer that knows nothing of the order."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from place.depth_buffer import heap, wrong_pixels

from tracker.cards.picture import View, pulled_apart
from tracker.design.load import load_build
from tracker.plan.place import Placed, Placer

SAMPLES = Path(__file__).parents[2] / "sample_projects"
WHOLE = {"planter": "planter", "stool": "stool", "hall_bench": "bench"}


def placed(name: str) -> tuple[Placed, ...]:
    build = load_build((SAMPLES / f"{name}.toml").read_bytes()).build
    assert build is not None
    return Placer(build).placed(WHOLE[name])


@pytest.mark.parametrize("name", WHOLE)
@pytest.mark.parametrize("apart", [False, True], ids=["closed", "apart"])
def test_no_point_of_a_sample_shows_a_piece_that_is_hidden(name: str, apart: bool) -> None:
    pieces = pulled_apart(placed(name)) if apart else placed(name)
    for azimuth in range(-180, 180, 60):
        for height in (-20, 12, 50):
            wrong, covered = wrong_pixels(pieces, View(azimuth + 7, height), 300, 240)
            assert covered > 5_000
            assert wrong == 0, (azimuth, height)


def test_heaps_of_timbers_that_lie_every_way() -> None:
    """At most 0.002 % wrong: three timbers that cover one another in a ring have no order at all."""
    like = placed("planter")[0]
    chance = random.Random(5)
    wrong = covered = 0
    for _ in range(20):
        pieces = heap(chance, chance.randint(5, 20), like)
        bad, seen = wrong_pixels(pieces, View(chance.uniform(-180, 180), chance.uniform(-60, 80)), 300, 240)
        wrong, covered = wrong + bad, covered + seen
    assert covered > 100_000
    assert wrong <= covered * 2e-5


def test_the_judge_sees_a_wrong_order(monkeypatch: pytest.MonkeyPatch) -> None:

    from tracker.cards.picture import visible_faces

    right = visible_faces.back_to_front
    monkeypatch.setattr(visible_faces, "back_to_front", lambda bodies, view: right(bodies, view)[::-1])
    wrong, covered = wrong_pixels(placed("stool"), View(), 300, 240)
    assert wrong > covered / 20
