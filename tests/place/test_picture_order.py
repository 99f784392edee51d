"""Every picture shows the nearest piece at each point, checked with a depth buffer that doesn't use the order."""

from __future__ import annotations

import pytest
from place.depth_buffer import WHOLE, judged_heaps, sample, wrong_pixels

from tracker.cards.picture import View, pulled_apart


@pytest.mark.parametrize("name", WHOLE)
@pytest.mark.parametrize("apart", [False, True], ids=["closed", "apart"])
def test_no_point_of_a_sample_shows_a_piece_that_is_hidden(name: str, apart: bool) -> None:
    pieces = pulled_apart(sample(name)) if apart else sample(name)
    for azimuth in range(-180, 180, 60):
        for height in (-20, 12, 50):
            wrong, covered = wrong_pixels(pieces, View(azimuth + 7, height), 300, 240)
            assert covered > 5_000
            assert wrong == 0, (azimuth, height)


def test_heaps_of_timbers_that_lie_every_way() -> None:
    """At most 0.002 % wrong: three timbers that cover one another in a ring have no order at all.
    `python -m tests.place.depth_buffer 300` is the whole count."""
    wrong, covered = judged_heaps(20, 5)
    assert covered > 100_000
    assert wrong <= covered * 2e-5


def test_the_judge_sees_a_wrong_order(monkeypatch: pytest.MonkeyPatch) -> None:

    from tracker.cards.picture import visible_faces

    right = visible_faces.back_to_front
    monkeypatch.setattr(visible_faces, "back_to_front", lambda bodies, view: right(bodies, view)[::-1])
    wrong, covered = wrong_pixels(sample("stool"), View(), 300, 240)
    assert wrong > covered / 20
