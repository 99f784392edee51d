"""Make the disk fail at every single change of a day in the shop, and check the record.

    python tests/faults failing [EVERY]

lives a fixed day (a new record, two dozen taps, a second tablet's facts, closing, opening again) once for each of its
writes, syncs, truncations, removals and renames: that one is answered by an I/O error or by "disk full", just once or
from then on. EVERY is 1 for each of them, 7 for each seventh. Whatever fails:

- a fact that was shown as done is in the log afterwards, word for word, and the log is sound;
- a tap that wasn't carried out is reported to the person, and what is shown is what the log says;
- what can't be opened is reported in one sentence, and the next start, on a good disk, opens it without a complaint;
- where the disk failed once, the tap works when it is repeated.
"""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from itertools import count as counting
from itertools import product
from pathlib import Path

from faults.day import Act, HandClock, acts
from faults.disk import FULL, IO_ERROR, OK, Call, disk
from faults.shown import Shown, read_home

from tracker.shop import Shop
from tracker.store.log import CannotWriteError, DamagedLogError
from tracker.store.recovery import LOG_NAME, TORN
from tracker.work.decide.decide import Refusal

_IO = {
    "write": IO_ERROR | 3 << 8,
    "sync": IO_ERROR | 4 << 8,
    "truncate": IO_ERROR | 6 << 8,
    "delete": IO_ERROR | 10 << 8,
}
"""The result codes of a disk's VFS: https://www.sqlite.org/rescode.html#extrc"""


@dataclass(frozen=True, slots=True)
class Fault:
    """Change number `at`, counted from 0, fails; with `full` for lack of space, otherwise with an I/O error."""

    at: int
    full: bool
    lasting: bool


@dataclass
class Life:
    """A day lived under a fault, and the violations of the rules."""

    fault: Fault
    calls: int = 0
    hit: Call | None = None
    shown: Shown = field(default_factory=Shown)
    told: list[str] = field(default_factory=list)
    """The messages to the person."""
    wrong: list[str] = field(default_factory=list)
    late: int = 0
    """Facts that weren't shown as done but are in the log: the failure came after they were written."""

    def judge(self, call: Call) -> int:
        number, self.calls = self.calls, self.calls + 1
        if number < self.fault.at or (number > self.fault.at and not self.fault.lasting):
            return OK
        self.hit = self.hit or call
        return FULL if self.fault.full else _IO.get(call.what, IO_ERROR)

    def start(self, home: Path) -> Shop | None:
        """Open the shop as the app does; a refusal is reported, and on a good disk the second try opens it."""
        for _ in range(2):
            try:
                shop = Shop(home, HandClock())
            except (OSError, DamagedLogError) as error:  # the command reports these in one sentence
                self.told.append(str(error))
                continue
            except Exception as error:
                self.wrong.append(f"not opened, and no sentence: {error!r}")
                continue
            if shop.notice:
                self.told.append(shop.notice)
            return shop
        return None

    def spend(self, shop: Shop) -> None:
        """The taps of the day, each tried twice; an exception is caught by the app, which reports it in its banner."""
        for act in acts(shop):
            unhit = self.hit is None
            refused = self._try(shop, act)
            if refused and unhit and self.hit and not self.fault.lasting and self._try(shop, act):
                self.wrong.append(f"refused again on a good disk: {self.told[-1]}")

    def _try(self, shop: Shop, act: Act) -> bool:
        """Whether the app reported that it didn't work."""
        before = len(self.told)
        try:
            said = act()
        except (OSError, CannotWriteError, DamagedLogError) as error:
            self.told.append(str(error))
        except Exception as error:  # the app catches it and reports a bug, which it shouldn't have to
            self.told.append(repr(error))
            self.wrong.append(f"an exception: {error!r}")
        else:
            if isinstance(said, Refusal):
                self.told.append(said.reason)
        if not self.shown.hear(shop) and self.hit and len(self.told) == before and act_writes(act):
            self.wrong.append("a tap did nothing, and nothing was said")
        return len(self.told) > before


def act_writes(act: Act) -> bool:
    """Whether a successful action adds facts to the log."""
    return isinstance(act, partial)


def live(fault: Fault, home: Path) -> Life:
    """A day under a fault, the next morning, and then a check of the log on a good disk."""
    life = Life(fault)
    with disk(life.judge):
        for _ in range(2):
            shop = life.start(home)
            if shop is not None:
                life.spend(shop)
                with contextlib.suppress(OSError, sqlite3.Error):
                    shop.close()
    _look(life, home)
    return life


def _look(life: Life, home: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:  # a copy, because SQLite removes the write-ahead log when it closes
        for path in home.glob(f"{LOG_NAME}*"):
            shutil.copy(path, folder)
        database = sqlite3.connect(Path(folder) / LOG_NAME)
        sound = database.execute("PRAGMA integrity_check").fetchone()[0]
        database.close()
    if sound != "ok":
        life.wrong.append(f"the database is corrupt: {sound}")
    entries, notice = read_home(home)
    if notice not in ("", TORN):
        life.wrong.append(f"opening it says: {notice}")
    for tablet, count in life.shown.missing(entries):
        life.wrong.append(f"lost: fact {count} of {tablet}")
    life.late = len(entries) - len(life.shown.told)


def every_fault(every: int) -> Iterator[Life]:
    """The day under each fault in turn, until there is no change with that number."""
    for full, lasting in product((False, True), (False, True)):
        for at in counting(0, every):
            with tempfile.TemporaryDirectory() as folder:
                life = live(Fault(at, full, lasting), Path(folder) / "home")
            if life.hit is None:
                break
            yield life


def main(words: list[str]) -> int:
    every = int(words[0]) if words else 1
    lives, wrong, late, told = Counter[tuple[bool, bool, str]](), 0, 0, 0
    for life in every_fault(every):
        assert life.hit is not None
        lives[life.fault.full, life.fault.lasting, life.hit.what] += 1
        late, told = late + life.late, told + bool(life.told)
        for what in life.wrong:
            print(f"{life.fault} {life.hit.what} {Path(life.hit.path).name}: {what}")
        wrong += len(life.wrong)
    for (full, lasting, what), number in sorted(lives.items()):
        print(f"{'no space' if full else 'I/O error'}, {'lasting' if lasting else 'once'}, {what}: {number} days")
    print(f"{lives.total()} days, {told} with a message; {wrong} things wrong; {late} facts written though refused")
    return 1 if wrong else 0
