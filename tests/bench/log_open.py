"""How long it takes to open a log, part by part, beside a bare SELECT of the same rows.

    python tests/bench/log_open.py [COUNT ...]

For each count (10,000, 100,000 and 500,000 facts unless others are given): SQLite's quick_check and integrity_check,
the chain over every row, the facts read out of the rows, and the whole opening; all on one file in one run. A log of
some 500,000 facts is decades of work: it is there to show how the time grows.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tracker.store.log import Log
from tracker.store.rows import COLUMNS, Chains, Row, entry_of, row_of
from tracker.work.facts import Done, Entry, Wait

COUNTS = (10_000, 100_000, 500_000)
START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def facts(count: int) -> Iterator[Row]:
    """Rows like those of real work: mostly steps of pieces, a glue-up with its clock now and then."""
    before = ""
    for number in range(1, count + 1):
        wait = (
            Wait("clamp", 3600, "5f0c7b1e-0000-4000-8000-000000000001", 1000.5 + number) if number % 12 == 0 else None
        )
        fact = Done(f"bench#{number // 200}", f"rail:{number % 40}", "trim", wait=wait)
        seen = {"5a31c0de": number - 1} if number > 1 else {}
        row = row_of(Entry("5a31c0de", number, seen, START + timedelta(seconds=40 * number), fact), before)
        before = row.chain
        yield row


def timed(job: Callable[[], Any]) -> float:
    """Processor seconds of the fastest of three: other programs on the machine disturb this less than wall time."""
    best = float("inf")
    for _ in range(3):
        started = time.process_time()
        job()
        best = min(best, time.process_time() - started)
    return best


def measure(path: Path, count: int) -> dict[str, float]:
    log = Log(path)
    log.take_in_rows(facts(count))
    log.close()
    connection = sqlite3.connect(path)
    rows = f"SELECT {COLUMNS} FROM entries NOT INDEXED ORDER BY rowid"

    def read() -> None:
        for _ in connection.execute(rows):
            pass

    def chain() -> None:
        for _ in Chains().follow(connection.execute(rows)):
            pass

    def entries() -> None:
        for row in connection.execute(rows):
            entry_of(row)

    found = {
        "bare SELECT": timed(read),
        "quick_check": timed(lambda: connection.execute("PRAGMA quick_check").fetchall()),
        "integrity_check": timed(lambda: connection.execute("PRAGMA integrity_check").fetchall()),
        "SELECT + chain": timed(chain),
        "SELECT + facts": timed(entries),
    }
    connection.close()
    found["opened"] = timed(lambda: Log(path).close())
    return found


def main() -> None:
    counts = [int(word) for word in sys.argv[1:]] or list(COUNTS)
    with tempfile.TemporaryDirectory() as folder:
        for count in counts:
            path = Path(folder) / f"{count}.db"
            found = measure(path, count)
            print(f"{count:,} facts, {path.stat().st_size / 1e6:.1f} MB")
            for what, seconds in found.items():
                print(f"  {what:<16}{seconds:8.3f} s  {seconds / found['bare SELECT']:6.1f} x the bare SELECT")
            checked = found["integrity_check"] + found["SELECT + chain"]
            print(f"  integrity_check and chain: {checked:.3f} s; the facts on top: {found['opened'] - checked:.3f} s")


if __name__ == "__main__":
    main()
