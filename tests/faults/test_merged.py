"""Short counts of `python tests/faults merged` and `twice`: tablets agree, and nothing that was shown is lost."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from faults.merged import histories


def test_tablets_that_are_copied_restored_and_damaged_agree_in_the_end() -> None:
    found = histories(120, seed=11)
    assert [each.wrong for each in found if each.wrong] == []
    assert sum(len(each.shown) for each in found) > 30


def test_two_starts_at_once_during_a_recovery_lose_nothing() -> None:
    command = [sys.executable, str(Path(__file__).parent), "twice", "8"]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
    assert " 0 lost; 0 complaints" in run.stdout
