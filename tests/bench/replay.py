"""Replay of the log beside reading the same rows bare, and what a tap costs on top of a long log.

Run `python -m tests.bench.replay` (10,000, 100,000 and 1,000,000 facts; other counts as arguments). "Bare" steps
through the rows with sqlite3 and looks at nothing; "read" makes entries of them; "replay" folds those into the state;
"proven" is what the shop does at its start: check the database and the chain, read, and replay. Each is the best of a
few rounds in time of the processor, with the cyclic collector at rest as the shop has it then.
"""

from __future__ import annotations

import gc
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from itertools import count, cycle, islice
from pathlib import Path
from statistics import median
from typing import Any

from tracker.shop import Shop
from tracker.store.gc_pause import gc_paused
from tracker.store.log import Log
from tracker.store.recovery import LOG_NAME
from tracker.store.rows import COLUMNS, entry_of, row_of
from tracker.work.decide.decide import Note
from tracker.work.facts import (
    Answered,
    Checked,
    Done,
    Entry,
    Fact,
    Labelled,
    Measured,
    Noted,
    Opened,
    Spoiled,
    Undone,
    Wait,
)
from tracker.work.state.replay import Replay

SAMPLE = Path(__file__).parents[2] / "sample_projects" / "stool.toml"
COUNTS = (10_000, 100_000, 1_000_000)
START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
TO = (("blank", "520"), ("grain", "along"), ("thickness", "20"), ("width", "60"), ("wood", "white ash"))


def a_run(name: str, next_count: Callable[[], int]) -> Iterator[Fact]:
    """The log of a run with 60 pieces and 8 assemblies: about 500 facts."""
    yield Opened(name, "Towel frame", "frame.toml", "A", "0123456789abcdef")
    for piece in range(60):
        key = f"rail:{piece + 1}"
        for step in ("cut", "trim", "drill", "sand 120", "sand 180"):
            yield Done(name, key, step, to=TO if step == "cut" else ())
        if piece % 3 == 0:
            yield Measured(name, key, "length", 160_000, 160_010)
        if piece % 5 == 0:
            yield Undone("saw", next_count() - 1)
            yield Done(name, key, "sand 180")
        if piece % 12 == 0:
            yield Noted(name, key, "knot near end B, keep it inside")
        if piece % 20 == 0:
            yield Spoiled(name, key, "split at the end")
            for step in ("cut", "trim", "drill", "sand 120", "sand 180"):
                yield Done(name, key, step, to=TO if step == "cut" else ())
    yield Labelled(name, tuple(f"rail:{piece + 1}" for piece in range(60)))
    for assembly in range(8):
        key = f"frame:{assembly + 1}"
        for check in ("clamps", "pads", "paper", "fresh", "warm", "squeeze-out"):
            yield Checked(name, key, check)
        for step, kind in (("dry fit", None), ("spread", "open"), ("clamp", "clamp"), ("unclamp", "cure")):
            wait = Wait(kind, 2700, "0b5e8f1c", 8123.25, source="typical for PVA, cross-linking") if kind else None  # type: ignore[arg-type]
            yield Done(name, key, step, wait=wait)
        yield Answered("saw", next_count() - 1)


def facts(next_count: Callable[[], int]) -> Iterator[Fact]:
    for number in count(1):
        yield from a_run(f"towel-frame#{number}", next_count)


def written(path: Path, wanted: int) -> None:
    """A log of two tablets with `wanted` facts, as the shop would have written it."""
    log = Log(path)
    counts = {"saw": 0, "bench": 0}
    chains = {"saw": "", "bench": ""}
    told = facts(lambda: counts["saw"] + 1)
    rows = []
    for at, tablet in zip(range(wanted), cycle(["saw"] * 9 + ["bench"])):
        entry = Entry(
            tablet,
            counts[tablet] + 1,
            {k: v for k, v in counts.items() if v},
            START + timedelta(minutes=at),
            next(told),
        )
        counts[tablet] += 1
        rows.append(row_of(entry, chains[tablet]))
        chains[tablet] = rows[-1][6]
    with log.db.conn:
        log.db.conn.executemany("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?)", rows)
    log.close()


def best(work: Callable[[], Any], rounds: int) -> float:
    """Processor seconds of the fastest round, which depend less on other work on the machine."""
    times = []
    for _ in range(rounds):
        gc.collect()
        with gc_paused(lambda: 0):
            begun = time.process_time()
            kept = work()
            times.append(time.process_time() - begun)
        del kept
    return min(times)


def read_all(path: Path) -> list[Entry]:
    with closing(sqlite3.connect(path)) as db:
        return [entry_of(row) for row in db.execute(f"SELECT {COLUMNS} FROM entries ORDER BY rowid")]


def bare(path: Path) -> int:
    with closing(sqlite3.connect(path)) as db:
        return sum(1 for _ in db.execute(f"SELECT {COLUMNS} FROM entries ORDER BY rowid"))


def proven(path: Path) -> Replay:
    log = Log(path)
    replayed = Replay(log.entries())
    log.close()
    return replayed


def a_tap(replayed: Replay, taps: int = 200) -> float:
    """Seconds in memory for a tap: a new entry folded onto the present state."""
    seen: dict[str, int] = {}
    for entry in replayed.entries:
        seen[entry.tablet] = max(seen.get(entry.tablet, 0), entry.count)
    run = next(iter(replayed.state.runs))
    begun = time.process_time()
    for number in range(taps):
        replayed.take_in([Entry("saw", seen["saw"] + 1, dict(seen), START, Done(run, f"rail:{number % 60}", "plane"))])
        seen["saw"] += 1
    return (time.process_time() - begun) / taps


def whole_taps(homes: tuple[Path, ...], taps: int = 100) -> list[float]:
    """Seconds from the intent to the fact on the disk and the new state, in each shop: the median of many, in turn."""
    shops = [Shop(home) for home in homes]
    times: list[list[float]] = [[] for _ in shops]
    for shop in shops:
        shop.open(SAMPLE)
    for key in islice(cycle(item.key for item in shops[0].run.pieces), taps):  # type: ignore[union-attr]
        for shop, mine in zip(shops, times, strict=True):
            begun = time.perf_counter()
            assert shop.do(Note(key, "knot")) is None
            mine.append(time.perf_counter() - begun)
    for shop in shops:
        shop.close()
    gc.unfreeze()
    return [median(mine) for mine in times]


def measure(wanted: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / LOG_NAME
        written(path, wanted)
        rounds = 5 if wanted < 500_000 else 1
        rows = best(lambda: bare(path), rounds)
        read = best(lambda: read_all(path), rounds)
        entries = read_all(path)
        fold = best(lambda: Replay(entries), rounds)
        start = best(lambda: proven(path), rounds)
        with gc_paused(lambda: wanted):
            replayed = Replay(entries)
        tap = a_tap(replayed)
        print(
            f"{wanted:>9,} facts: bare {rows * 1e3:8.1f} ms; read {read / rows:5.1f}x, replay {fold / rows:5.1f}x, "
            f"both {(read + fold) / rows:5.1f}x; proven, read and replayed {start / rows:5.1f}x "
            f"({start / wanted * 1e6:.1f} us a fact); folding a tap {tap * 1e6:.0f} us"
        )
        entries.clear()
        del replayed
        with tempfile.TemporaryDirectory() as empty:
            short, long = whole_taps((Path(empty), Path(folder)))
        print(f"{'':>9}  a whole tap, to the disk: {long * 1e3:.2f} ms, {long / short:.2f}x that on an empty log")


if __name__ == "__main__":
    for each in [int(count) for count in sys.argv[1:]] or COUNTS:
        measure(each)
