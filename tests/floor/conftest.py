"""The saw with the board of `one_board`."""

from __future__ import annotations

import pytest

from tests.cards.board_shop import Saw
from tests.floor.one_board import BUILD, PLAN
from tracker.work.decide.intents import KeepBoards


@pytest.fixture
def saw() -> Saw:
    saw = Saw(BUILD)
    saw.must(KeepBoards((PLAN,)))
    return saw
