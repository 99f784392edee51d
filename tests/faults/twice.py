"""Start Kerfcard twice at once on a damaged record, and check whether a mark that was shown as done is lost.

    python tests/faults twice [COUNT] [SEED]

damages a record whose last marks are in no backup (a bit of its header flipped, its end cut, its write-ahead log torn)
and starts two processes on it at the same moment, COUNT times. One of them opens it and ticks; the other reports that
it is in use, or opens it after the first is closed. In the end everything that both had shown, and that was intact in
the files, is there.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

from faults.damaged import _fast, make_records, stored
from faults.shown import MORNING
from faults.witness import Say, Witness, as_data, told

from tracker.store.errors import InUseError
from tracker.store.record import Record
from tracker.store.recovery import LOG_NAME
from tracker.work.facts import Done

MARKS = 3


def start(home: Path, say: Say) -> None:
    """The work of one start: open the record, and tick."""
    try:
        record = Record(home, MORNING)
    except InUseError:
        say("in use")
        return
    for number in range(MARKS):
        for entry in record.append(record.tablet, MORNING, [Done("frame#1", f"leg:{number}", "cut")]):
            say(told(entry))
    record.close()


def damage(home: Path, chance: random.Random) -> None:
    """Damage that makes a recovery necessary but destroys no row."""
    path = home / LOG_NAME
    data = bytearray(path.read_bytes())
    how = chance.random()
    if how < 0.5:
        data[chance.randrange(16)] ^= 1 << chance.randrange(8)
    elif how < 0.8:
        data[100:108] = bytes(8)
    else:
        data += chance.randbytes(100)
        data[16] ^= 64
    path.write_bytes(data)


def main(words: list[str]) -> int:
    numbers = [int(each) for each in words]
    count, seed = (numbers + [100, 20260302][len(numbers) :])[:2]
    chance = random.Random(seed)
    lost, shown, both, complaints = 0, 0, 0, list[str]()
    with tempfile.TemporaryDirectory(dir=_fast()) as folder:
        records = [each for each in make_records(Path(folder)) if "alone" in each.name]
        for number in range(count):
            record, home = records[number % len(records)], Path(folder) / "home"
            shutil.copytree(record.folder, home)
            damage(home, chance)
            left = b"".join(path.read_bytes() for path in home.glob(f"{LOG_NAME}*"))
            must = {row.id: record.truth[row.id] for row in record.rows if stored(row) in left}
            starts = []
            for _ in range(2):
                starts.append(Witness(partial(start, home)))
                time.sleep(chance.choice((0, 0, 0.001, 0.01)))
            for each in starts:
                each.wait_for(10_000)
                each.kill()
                must |= each.facts()
                complaints += each.complaints()
            both += all(each.facts() for each in starts)
            last = Record(home, MORNING)
            kept = {entry.id: as_data(entry) for entry in last.log.entries()}
            last.close()
            shown += len(must)
            lost += sum(kept.get(key) != said for key, said in must.items())
            shutil.rmtree(home)
    print(
        f"{count} times started twice during a recovery ({both} times both could mark, one after the other):", end=" "
    )
    print(f"{shown} facts shown or whole in the files, {lost} lost; {len(complaints)} complaints")
    for complaint in complaints[:5]:
        print(complaint, file=sys.stderr)
    return 1 if lost or complaints else 0
