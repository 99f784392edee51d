"""A caution belongs to the step, not to the station at which the tablet is."""

from __future__ import annotations

import pytest

from tracker.cards.words import BY_OPERATION, CAUTIONS, step_caution
from tracker.work.operations import steps_for


@pytest.mark.parametrize("operation", ["cut", "rip", "trim", "taper", "drill", "shape", "sand 120", "dry fit", "plug"])
def test_a_guard_is_spoken_of_at_the_saw_alone(operation: str) -> None:
    for step in steps_for(operation):
        said = step_caution(step)
        assert ("uard" in said) == (operation in ("cut", "trim", "rip")), said
        assert ("blade" in said.lower()) == (operation in ("cut", "trim", "taper")), said
        assert ("glove" in said.lower()) == (step.station in ("drill", "bench") and operation != "shape"), said


def test_cautions_have_room_beside_the_queue() -> None:
    """Three lines of about 25 characters."""
    assert all(len(words) <= 72 for words in (*CAUTIONS.values(), *BY_OPERATION.values()))
