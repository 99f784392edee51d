"""The test files themselves: pytest imports each by its bare name, so two files of one name stop the whole run."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

TESTS = Path(__file__).parents[1]


def test_no_two_test_files_share_a_name() -> None:
    names = Counter(path.name for path in TESTS.rglob("test_*.py"))
    assert [name for name, count in names.items() if count > 1] == []
