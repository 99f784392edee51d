"""`python tests/faults full`: without room or permissions the app opens, shows everything, and says what it can't
do."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def test_without_room_or_rights_the_app_shows_everything_and_says_what_it_cannot_do() -> None:
    command = [sys.executable, str(Path(__file__).parent), "full"]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
    fills, grow, reads = run.stdout.splitlines()
    assert "storage is full" in fills or "can't be tried here" in fills
    assert "storage" in grow
    assert "nothing can be marked" in reads
