"""The entry of a pocket hole in the face: half the thickness over the tangent of 15°, computed by hand."""

from __future__ import annotations

import pytest

from tracker.plan.pocket_holes import pocket_entry


@pytest.mark.parametrize(("thickness", "setback"), [(19.05, 35.55), (25.4, 47.40), (38.1, 71.10)])
def test_where_a_pocket_hole_enters(thickness: float, setback: float) -> None:
    """(T/2) / tan 15°; the angle is common practice, no source."""
    assert pocket_entry(thickness) == pytest.approx(setback, abs=5.5e-3)
