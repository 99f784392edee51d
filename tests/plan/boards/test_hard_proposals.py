"""Boards that are filled to the last unit: proposals that are put aside as hard, and asked again with more patience."""

from __future__ import annotations

import pytest
from board_checker import faults_of_cutting
from board_shop import tight_request

from tracker.plan.boards import cut
from tracker.plan.boards.solver import solve


@pytest.mark.parametrize("seed", [1, 3, 7, 11, 12, 14, 15, 17, 21, 22, 23, 26, 34, 36, 37, 38])
def test_with_little_patience_for_each_proposal_the_same_in_the_end(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    request = tight_request(seed)
    whole = cut(request, lambda: True)
    for name in ("FIRST_NODES", "SECOND_NODES", "THIRD_NODES", "FIRST_TRIES", "SECOND_TRIES"):
        monkeypatch.setattr(solve, name, 1)
    for way in ("try_quickly", "dive"):
        monkeypatch.setattr(solve.Packer, way, lambda *_: None)
    found = cut(request, lambda: True)
    assert faults_of_cutting(request, whole) == faults_of_cutting(request, found) == []
    assert (found.price, found.length, len(found.boards)) == (whole.price, whole.length, len(whole.boards))
    assert found.proof.price
    assert whole.proof.price
