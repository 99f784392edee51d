"""A few hundred random histories of the tablet's clocks; `python -m tests.work.clock_histories 20000` runs more."""

from __future__ import annotations

from work import clock_histories


def test_no_wait_ends_early_and_no_warning_comes_late() -> None:
    seen = clock_histories.run(800)
    for what in ("restart", "sleep", "wall clock changed", "clamp: over", "clamp: past and not yet sure"):
        assert seen[what] > 20, f"too few histories had: {what}"
    for what in ("confirmed: both", "confirmed: only now", "not confirmed: now", "not confirmed: the start"):
        assert seen[what] > 20, f"too few histories had: {what}"
    assert seen["open: over"] > seen["open: warned before it was sure"] > 0
