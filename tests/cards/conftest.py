"""A saw with a small build, for most tests of the boards."""

from __future__ import annotations

import pytest

from tests.cards.board_shop import Saw


@pytest.fixture
def saw() -> Saw:
    return Saw()


@pytest.fixture
def taken(saw: Saw) -> Saw:
    """The same after its plan was accepted."""
    saw.take_plan()
    return saw
