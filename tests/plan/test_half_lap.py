"""The trench of a half-lap, against the lines of the two pieces that cross."""

from __future__ import annotations

import numpy as np
import pytest
from made import mm

from tracker.measure import millimetres
from tracker.plan.laps import half_lap


def test_a_half_lap_square_and_at_60_degrees() -> None:
    """Where two strips 50 and 40 mm wide cross at 60°, the trench is 40 / sin 60° along the edge, shifted 50 / tan 60°:
    the corners of the two strips' parallelogram, found by intersecting their edges (numpy)."""
    square = half_lap(millimetres(50), millimetres(20), millimetres(40))
    assert (square.along, square.shift, square.depth) == (millimetres(40), millimetres(0), millimetres(10))
    direction = np.array([np.cos(np.radians(60)), np.sin(np.radians(60))])
    across_strip = np.array([direction[1], -direction[0]])

    def meets(edge_y: float, offset: float) -> float:
        """The x at which the other strip's edge, `offset` from the origin, crosses the line y = edge_y."""
        matrix = np.column_stack([direction, [-1.0, 0.0]])
        return float(np.linalg.solve(matrix, np.array([0.0, edge_y]) - offset * across_strip)[1])

    lap = half_lap(millimetres(50), millimetres(20), millimetres(40), 60)
    assert mm(lap.along) == pytest.approx(meets(0, 40) - meets(0, 0), abs=1e-9)
    assert mm(lap.shift) == pytest.approx(meets(50, 0) - meets(0, 0), abs=1e-9)
    assert lap.miter == 30


def test_pieces_that_do_not_cross_are_refused() -> None:
    with pytest.raises(ValueError, match="angle"):
        half_lap(millimetres(9), millimetres(9), millimetres(9), 0)
