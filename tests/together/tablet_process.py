"""A tablet as a process that may be killed at any moment: the shop's record, and the thread that exchanges with the
hub.

    python -m together.tablet_process HOME NAME SECONDS_BETWEEN_TICKS SEED

Prints what was acknowledged: `L word` is stored here, `H word` is on the hub, `T tails` after the last tick. `quiet` on
standard input ends the ticking, anything else ends the process in order.
"""

from __future__ import annotations

import json
import os
import queue
import random
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

from together.shops import fact

from tracker.shop import Shop, read_clock
from tracker.shop.together import Together
from tracker.together import companion, connection
from tracker.work.facts import Undone


def main(home: Path, name: str, every: float, seed: int) -> None:
    connection.ANSWER_SECONDS = 3.0
    companion.CHECK_SECONDS, companion.BACKOFF = 1.0, (0.02, 0.4)
    chance = random.Random(seed)
    calls: queue.Queue[Callable[[], None]] = queue.Queue()
    shop = Shop(home, read_clock)
    together = Together(shop, calls.put)
    together.start()
    orders: list[str] = []
    threading.Thread(target=_hear, args=(orders,), daemon=True).start()
    stamp, count, tick_at, said_at = f"{name}.{os.getpid()}.{time.monotonic_ns()}", 0, time.monotonic(), 0.0
    waiting: list[tuple[str, int, str]] = []
    while not [order for order in orders if order != "quiet"]:
        now = time.monotonic()
        if not orders and now >= tick_at:
            tick_at = now + chance.expovariate(1 / every)
            word = f"{stamp}.{count}"
            marked = [fact(count, word)]
            known = shop._log.seen.get(shop.tablet, 0)
            entries = shop._record.append(
                shop.tablet, read_clock().wall, [*marked, *([Undone(shop.tablet, known)] if count % 11 == 10 else [])]
            )
            say(f"L {word}")
            shop._fold(entries)
            waiting.append((entries[0].tablet, entries[0].count, word))
            count += 1
        given = together._companion.given if together._companion else {}
        while waiting and given.get(waiting[0][0], 0) >= waiting[0][1]:
            say(f"H {waiting.pop(0)[2]}")
        if orders and now - said_at > 0.3:
            said_at = now
            say(f"T {json.dumps(shop.tails(), sort_keys=True)}")
        try:
            calls.get(timeout=0.01)()
        except queue.Empty:
            continue
    together.stop()
    shop.close()


def _hear(orders: list[str]) -> None:
    for line in sys.stdin:
        orders.append(line.strip())
    orders.append("end")  # the parent process has ended


def say(words: str) -> None:
    os.write(1, f"{words}\n".encode())


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], float(sys.argv[3]), int(sys.argv[4]))
