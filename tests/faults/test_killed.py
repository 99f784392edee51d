"""A short count of tests/faults/killed.py: kill -9 between any two taps loses no tap that was shown as done."""

from __future__ import annotations

import pytest
from faults.killed import SAMPLES, kill_after


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize(("taps", "delay"), [(0, 0.3), (1, 0.0), (2, 0.01), (5, 0.0), (7, 0.03), (9, 0.002)])
def test_a_killed_app_has_kept_every_tap_that_it_showed(sample: str, taps: int, delay: float) -> None:
    kill = kill_after(sample, taps, delay)
    assert len(kill.shown) >= taps
    assert kill.lost == ()
    assert kill.notice == ""
