"""A saw with a small build, as most tests of the boards want it."""

from __future__ import annotations

import pytest

from tests.cards.board_shop import Saw


@pytest.fixture
def saw() -> Saw:
    return Saw()


@pytest.fixture
def taken(saw: Saw) -> Saw:
    """The same when its plan was taken."""
    saw.take_plan()
    return saw
