"""A fact that leaves out what wasn't said is the same fact when it is read back."""

from __future__ import annotations

import json

import pytest

from tracker.work.facts import Fact, Overruled, Proven, Racked, SetAside, Spoiled, from_data, to_data


@pytest.mark.parametrize(
    "fact",
    [
        Proven("run", "frame:1", "stands flat", True, "", "A. K."),
        Proven("run", "frame:1", "stands flat", False, "", ""),
        Overruled("run", "frame:1", "open", 300, ""),
        Spoiled("run", "rail:1", ""),
        SetAside("run", "rail:1", ""),
        Racked("run", "A3", "ash", 320_000, ""),
    ],
    ids=lambda fact: type(fact).__name__,
)
def test_nothing_said_is_not_a_fact_lost(fact: Fact) -> None:
    kind, data = to_data(fact)
    assert from_data(kind, json.loads(json.dumps(data))) == fact
