"""Short counts of `python tests/faults powercut_model` and `powercut_ext4`: a power cut loses nothing that was shown as
done."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from pathlib import Path

from faults.powercut_ext4 import why_not
from faults.powercut_model import cuts

from tracker.store.recovery import TORN
from tracker.store.wal import ends_whole

FAULTS = Path(__file__).parent


def test_a_disk_that_keeps_only_what_it_must_keeps_every_fact_that_was_shown() -> None:
    found = cuts(150, seed=1)
    assert [each for each in found if each.lost or each.notice not in ("", TORN)] == []
    assert sum(each.told for each in found) > 1000


def test_the_model_catches_a_log_that_does_not_wait_for_the_disk() -> None:
    assert any(each.lost for each in cuts(30, seed=1, careless=True))


def test_the_power_is_cut_under_a_real_file_system_or_it_is_said_why_not() -> None:
    command = [sys.executable, str(FAULTS), "powercut_ext4", "5"]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    if reason := why_not():
        assert run.returncode == 3
        assert reason in run.stderr
    else:
        assert run.returncode == 0, run.stdout + run.stderr
        assert "5 power cuts: " in run.stdout


def test_a_write_ahead_log_that_began_anew_ends_whole_and_any_other_remainder_does_not(tmp_path: Path) -> None:
    """SQLite itself writes the logs: https://www.sqlite.org/wal.html, "The WAL File"."""
    database = sqlite3.connect(tmp_path / "a.db", isolation_level=None)
    database.execute("PRAGMA journal_mode = WAL")
    database.execute("CREATE TABLE facts (words)")
    first = b""
    for count in (30, 20, 1):  # fewer each time: after the new frames come old ones
        for _ in range(count):
            database.execute("INSERT INTO facts VALUES (zeroblob(3000))")
        wal = (tmp_path / "a.db-wal").read_bytes()
        first = first or wal
        assert ends_whole(wal)
        database.execute("PRAGMA wal_checkpoint(RESTART)")
    database.close()
    assert ends_whole(b"")
    for torn in (first[:20], first[:-1], first + b"\0", first[:32] + bytes(5000), bytes(5000)):
        assert not ends_whole(torn)
    for at in range(0, 9000, 7):
        assert not ends_whole(first[:at] + bytes([first[at] ^ 1]) + first[at + 1 :])
