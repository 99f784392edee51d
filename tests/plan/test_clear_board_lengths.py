"""The clear stretches of a board, by the rules of the build file: trims, defects, and the kerf that a narrow defect
takes."""

from __future__ import annotations

import pytest

from tracker.measure import inches
from tracker.plan.clear_board_lengths import clear_stretches

CASES = {
    "no defects": ([], [("1/2", "51 3/4")]),
    "one defect": ([("10", "12 1/2")], [("1/2", "10"), ("12 1/2", "51 3/4")]),
    "narrower than the kerf": ([("20", "20 1/16")], [("1/2", "20"), ("20 1/8", "51 3/4")]),
    "a mere line": ([("20", "20")], [("1/2", "20"), ("20 1/8", "51 3/4")]),
    "as wide as the kerf": ([("20", "20 1/8")], [("1/2", "20"), ("20 1/8", "51 3/4")]),
    "in any order, overlapping": ([("30", "34"), ("10", "12"), ("11", "15")], [
        ("1/2", "10"), ("15", "30"), ("34", "51 3/4"),
    ]),
    "one inside the other": ([("10", "20"), ("12", "14")], [("1/2", "10"), ("20", "51 3/4")]),
    "two lines within a kerf": ([("20", "20"), ("20 1/16", "20 1/16")], [("1/2", "20"), ("20 3/16", "51 3/4")]),
    "inside the trim": ([("0", "1/4")], [("1/2", "51 3/4")]),
    "across the trim": ([("0", "2")], [("2", "51 3/4")]),
    "at the far end": ([("50", "52 1/4")], [("1/2", "50")]),
    "beginning in the far trim": ([("52", "52 1/4")], [("1/2", "51 3/4")]),
    "all of it": ([("0", "52 1/4")], []),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_clear_stretches(case: str) -> None:
    defects, clear = CASES[case]
    found = clear_stretches(
        inches("52 1/4"), inches("1/2"), [(inches(a), inches(b)) for a, b in defects], inches("1/8")
    )
    assert [(s.start, s.end) for s in found] == [(inches(a), inches(b)) for a, b in clear]


def test_nothing_is_clear_where_the_trims_meet() -> None:
    assert clear_stretches(inches(1), inches("1/2"), [], inches("1/8")) == ()
    assert clear_stretches(inches(1), inches(2), [], inches("1/8")) == ()
