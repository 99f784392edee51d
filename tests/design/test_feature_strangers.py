"""Fuzzed files with the keys for features, own steps, mates and copies."""

from __future__ import annotations

from design.feature_fuzz import count


def test_whatever_is_in_them_loading_answers() -> None:
    """`PYTHONPATH=tests python -m design.feature_fuzz 6000 SEED` counts many; this is a small sample by the same
    code."""
    longest, loaded, right = count(150, seed=3)
    assert loaded > 50  # a file that is refused at its first key tests little
    assert right > 15
    assert longest < 10  # processor seconds: a guard against hours
