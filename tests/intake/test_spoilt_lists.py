"""Hostile spreadsheets: `python -m tests.bench.drawings lists COUNT` does the same by the thousand."""

from __future__ import annotations

import random

import pytest
from spoilt_lists import read_or_refused, spoilt


@pytest.mark.parametrize("seed", range(3))
def test_spoilt_lists_are_read_or_refused(seed: int) -> None:
    for number in range(60):
        read_or_refused(spoilt(random.Random(f"{seed}:{number}")))
