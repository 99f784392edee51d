"""A short count of `python tests/faults damaged`: no altered fact is accepted, and no intact one is lost."""

from __future__ import annotations

from faults.damaged import traceless, verdicts


def test_no_changed_fact_is_taken_for_true_and_no_whole_one_is_lost() -> None:
    found = list(verdicts(150, seed=7))
    assert [each for each in found if each.changed or each.lost_whole or each.crash or each.unnamed] == []
    assert [each for each in found if each.silent and not traceless(each)] == []
    assert sum(bool(each.notice) for each in found) > 60
    assert any(each.lost for each in found)
