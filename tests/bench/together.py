"""The cost of several tablets, beside bare PostgreSQL with the same rows: `PYTHONPATH=tests:. python -m bench.together
[N]`.

Entries a second up and down beside COPY and SELECT; from a tap to the other tablet's disk; a tablet that joins a shop
with many facts; fifty tablets at once; the load of the thread that owns the record; memory. One machine, so everything
shares its processors.
"""

from __future__ import annotations

import queue
import resource
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import psycopg
from together.cluster import Cluster
from together.shops import fact, prepared, rows_of, shop_of

from tracker.shop import Shop, read_clock
from tracker.shop.together import Together
from tracker.store.rows import Row
from tracker.together import companion
from tracker.together.connection import Connection
from tracker.together.exchange import BATCH_ROWS, exchange

NEW_TABLE = (
    "CREATE TABLE bare (tablet text, count int, seen text, at text, kind text, data text, chain text,"
    " PRIMARY KEY (tablet, count))"
)


@contextmanager
def timed(what: str, number: int) -> Iterator[None]:
    begun, used = time.perf_counter(), time.process_time()
    yield
    took = time.perf_counter() - begun
    print(f"{what:58} {number / took:10,.0f}/s  {took:6.2f} s, {time.process_time() - used:6.2f} s of processor here")


def share(values: Sequence[float], part: float) -> float:
    """A percentile in milliseconds."""
    return 1000 * sorted(values)[min(len(values) - 1, int(part * len(values)))]


def flow(cluster: Cluster, folder: Path, number: int) -> None:
    """Rows up and down, beside bare PostgreSQL."""
    rows = rows_of("aaaa0001", number)
    batches = [rows[at : at + BATCH_ROWS] for at in range(0, number, BATCH_ROWS)]
    [tablet, other] = shop_of(cluster, folder / "flow", ["One", "Two"])
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        db.execute(NEW_TABLE)
        with timed("bare COPY, 500 rows a transaction", number):
            for batch in batches:
                with db.transaction(), db.cursor() as cursor, cursor.copy("COPY bare FROM STDIN") as copy:
                    for row in batch:
                        copy.write_row(row)
        with timed("the hub: give, 500 a transaction, proven", number):
            for batch in batches:
                tablet.hub.give(batch)
        with timed("bare SELECT of all", number):
            db.execute("SELECT * FROM bare").fetchall()
        with timed("the hub: take, pages of 500", number):
            tails: dict[str, tuple[int, str]] = {}
            while page := tablet.hub.take(tails, BATCH_ROWS):
                tails[page[-1].tablet] = (page[-1].count, page[-1].chain)
        ones = rows_of("aaaa0002", 1000)
        with timed("bare INSERT, one a transaction", 1000):
            for row in ones:
                db.execute("INSERT INTO bare VALUES (%s, %s, %s, %s, %s, %s, %s)", row)
        with timed("the hub: give, one a transaction", 1000):
            for row in ones:
                tablet.hub.give([row])
        with timed("into another tablet's log on disk, proven, not folded", number + 1000):
            exchange(other.side, other.hub)
        size = db.execute(
            "SELECT pg_total_relation_size('kerfcard.entries') / count(*) FROM kerfcard.entries"
        ).fetchone()
        print(f"bytes a fact on the hub: {size[0] if size else 0}")
    tablet.close()
    other.close()


class Owner:
    """A thread that owns a shop's record, like the screen's; it records when each question of the companion came and
    how long it took (without the tablet's own taps)."""

    def __init__(self, home: Path) -> None:
        self.calls: queue.Queue[Callable[[], None] | None] = queue.Queue()
        self.took: list[tuple[float, float]] = []
        self.arrived: dict[tuple[str, int], float] = {}
        self.ready = threading.Event()
        self._home = home
        self.thread = threading.Thread(target=self._run, daemon=True)
        self.thread.start()

    def _run(self) -> None:
        self.shop = Shop(self._home, read_clock)
        fold = self.shop.fold

        def noted(entries: Sequence[object]) -> None:
            fold(entries)  # type: ignore[arg-type]
            now = time.monotonic()
            self.arrived.update({entry.id: now for entry in entries})  # type: ignore[attr-defined]

        self.shop.fold = noted  # type: ignore[method-assign,assignment]
        self.together = Together(self.shop, self._asked)
        self.together.start()
        while (call := self.calls.get()) is not None:
            call()
            if self.together.status.state == "together":
                self.ready.set()
        self.together.stop()
        self.shop.close()

    def _asked(self, question: Callable[[], None]) -> None:
        def timed_question() -> None:
            begun = time.perf_counter()
            question()
            self.took.append((begun, time.perf_counter() - begun))

        self.calls.put(timed_question)

    def frames(self, begun: float, ended: float) -> list[float]:
        """The seconds of each frame of a sixtieth of a second spent on the companion's questions."""
        paid = [0.0] * max(1, int((ended - begun) * 60))
        for at, took in self.took:
            if begun <= at < ended:
                paid[min(len(paid) - 1, int((at - begun) * 60))] += took
        return paid

    def tick(self, number: int, marked: dict[tuple[str, int], float]) -> None:
        def mark() -> None:
            begun = time.monotonic()
            entries = self.shop._record.append(self.shop.tablet, read_clock().wall, [fact(number)])
            self.shop._fold(entries)
            marked[entries[0].id] = begun

        self.calls.put(mark)


def latency(cluster: Cluster, folder: Path, count: int, ticks: int, every: float) -> None:
    """The time from a tap until it is on the other tablets' disks and in their state."""
    members = shop_of(cluster, folder / f"of{count}", [f"T{number}" for number in range(count)])
    for each in members:
        each.close()
        for path in each.folder.glob("log.db*"):
            path.unlink()
    owners = [Owner(each.folder) for each in members]
    for each in owners:
        each.ready.wait(60)
    time.sleep(1)
    marked: dict[tuple[str, int], float] = {}
    begun_at = time.perf_counter()
    used = cluster.seconds_used()
    for number in range(ticks):
        owners[number % count].tick(number, marked)
        time.sleep(every)
    ended_at = time.perf_counter()
    wanted = len(marked) * (count - 1)
    until = time.monotonic() + 10
    while time.monotonic() < until and sum(len(marked.keys() & each.arrived.keys()) for each in owners) < wanted:
        time.sleep(0.1)
    used = cluster.seconds_used() - used
    spans = [each.arrived[id_] - begun for each in owners for id_, begun in marked.items() if id_ in each.arrived]
    paid = [span for each in owners for span in each.frames(begun_at, ended_at)]
    asked = [took for each in owners for at, took in each.took if at >= begun_at]
    print(
        f"{count} tablets, {len(marked)} taps: {len(spans)} of {wanted} arrivals, p50 {share(spans, 0.5):.0f} ms, "
        f"p99 {share(spans, 0.99):.0f} ms, most {share(spans, 1):.0f} ms, within a second "
        f"{100 * sum(span < 1 for span in spans) / max(1, wanted):.1f} %; a frame pays p50 {share(paid, 0.5):.2f}, "
        f"p99 {share(paid, 0.99):.2f}, most {share(paid, 1):.2f} ms, a question p50 {share(asked, 0.5):.2f}, "
        f"p99 {share(asked, 0.99):.2f} ms; "
        f"server {1000 * used / len(marked):.1f} ms a tap",
        flush=True,
    )
    for each in owners:
        each.calls.put(None)
    for each in owners:
        each.thread.join(20)


def catch_up(cluster: Cluster, folder: Path, number: int) -> None:
    """A tablet that joins a shop with many facts of four tablets."""
    [first, new] = shop_of(cluster, folder / "catch", ["First", "New"])
    names = [f"cccc000{at}" for at in range(4)]
    ends = dict.fromkeys(names, (0, ""))
    for _ in range(number // 1000):
        for name in names:
            count, chain = ends[name]
            others = {other: end[0] for other, end in ends.items() if other != name and end[0]}
            rows: list[Row] = rows_of(name, 250, count + 1, chain, others)
            first.hub.give(rows)
            ends[name] = (rows[-1].count, rows[-1].chain)
    first.close()
    new.close()
    for path in new.folder.glob("log.db*"):
        path.unlink()
    begun = time.perf_counter()
    owner = Owner(new.folder)
    while not owner.ready.wait(0.05):
        pass
    took = time.perf_counter() - begun
    paid = [took for _, took in owner.took]
    print(
        f"joining a shop with {number:,} facts: {took:.1f} s until they are on the disk and folded; "
        f"the record's thread pays p99 {share(paid, 0.99):.1f}, most {share(paid, 1):.0f} ms a question"
    )
    owner.calls.put(None)
    owner.thread.join(20)


def fifty(cluster: Cluster, folder: Path) -> None:
    """Fifty connections that give single facts at the same time."""
    members = shop_of(cluster, folder / "fifty", [f"F{number}" for number in range(50)])
    hubs = [Connection(each.membership) for each in members]
    spans: list[float] = []

    def give(at: int) -> None:
        for row in rows_of(f"dd{at:06}", 40):
            begun = time.perf_counter()
            hubs[at].give([row])
            spans.append(time.perf_counter() - begun)
            hubs[at].tell(row.tablet, row.count)

    threads = [threading.Thread(target=give, args=(at,)) for at in range(50)]
    with timed("50 tablets, single facts, each told to the others", 50 * 40):
        for each in threads:
            each.start()
        for each in threads:
            each.join()
    print(f"  until on the hub's disk: p50 {share(spans, 0.5):.0f} ms, p99 {share(spans, 0.99):.0f} ms")
    for each in (*hubs, *members):
        each.close()


def main(number: int) -> None:
    """All figures; `number` rows for the flow, twice as many for catching up."""
    companion.CHECK_SECONDS = 5.0
    with tempfile.TemporaryDirectory() as name, Cluster() as cluster:
        prepared(cluster)
        folder = Path(name)
        flow(cluster, folder, number)
        latency(cluster, folder, 2, 200, 0.05)
        latency(cluster, folder, 5, 200, 0.05)
        catch_up(cluster, folder, 2 * number)
        fifty(cluster, folder)
        latency(cluster, folder, 50, 100, 0.5)
    print(f"memory of this process at most: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 50_000)
