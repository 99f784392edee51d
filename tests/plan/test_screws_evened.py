"""The screws of a row are evenly spaced, the outer ones as far out as allowed, if nothing is in their way."""

from __future__ import annotations

import pytest

from tracker.plan.screws import choose, evened

PLACES = [10.0 * at for at in range(11)]


@pytest.mark.parametrize(("count", "wanted"), [(2, (0, 10)), (3, (0, 5, 10)), (6, (0, 2, 4, 6, 8, 10))])
def test_screws_along_a_clear_rail_are_spread_evenly(count: int, wanted: tuple[int, ...]) -> None:
    clear = [8.0] * len(PLACES)
    found = choose(clear, PLACES, count, 5.0, 4.0)
    assert found is not None
    even = evened(clear, PLACES, 5.0, 4.0, found)
    assert even.marks == wanted
    assert even.clearance == pytest.approx(min(8.0, 100 / (count - 1) - 4.0))


def test_a_screw_that_would_meet_a_mortise_is_not_moved_into_it() -> None:
    mortised = [8.0] * 4 + [-3.0] * 3 + [8.0] * 4
    found = choose(mortised, PLACES, 3, 5.0, 4.0)
    assert found is not None
    even = evened(mortised, PLACES, 5.0, 4.0, found)
    assert all(mortised[at] > 0 for at in even.marks)
    assert even.clearance > 0


def test_one_screw_is_where_it_has_most_room() -> None:
    room = [1.0, 2.0, 9.0, 2.0, 1.0]
    found = choose(room, PLACES[:5], 1, 5.0, 4.0)
    assert found is not None
    assert evened(room, PLACES[:5], 5.0, 4.0, found).marks == (2,)
