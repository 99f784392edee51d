"""A short count of `python tests/faults killed`: kill -9 at any moment loses no fact that was shown as done."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

FAULTS = Path(__file__).parent


def killed(count: int, *how: str) -> tuple[int, int, int, str]:
    """The exit code, facts shown as done, facts lost, and all output."""
    command = [sys.executable, str(FAULTS), "killed", str(count), *how]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    found = re.search(r"(\d+) facts shown as done, (\d+) lost;", run.stdout)
    assert found, run.stdout + run.stderr
    return run.returncode, int(found[1]), int(found[2]), run.stdout


def test_a_killed_app_has_kept_every_fact_that_it_showed() -> None:
    code, shown, lost, said = killed(12)
    assert (code, lost) == (0, 0), said
    assert shown > 12


def test_a_log_that_only_remembers_is_caught_losing() -> None:
    code, shown, lost, _ = killed(3, "7", "--careless")
    assert code == 1
    assert lost > shown / 2
