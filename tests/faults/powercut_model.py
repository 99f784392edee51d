"""Cut the power at any change of a day in the shop, on a model of a disk that keeps only what it must.

    python tests/faults powercut_model [COUNT] [SEED] [--careless]

simulates one day, records every write, sync, truncation, removal and renaming in order, and then COUNT times
reconstructs what a disk may contain when the power fails at a random one of them: everything that was synced, and of
the rest any part: a write may be there, be missing, or be torn at a sector; a removal or a renaming may have come
through. Each time the record is opened: every fact that was shown as done before is in it, and it opens without a
complaint. Runs anywhere; `powercut_ext4` cuts a real file system. `--careless` (synchronous=NORMAL) shows that this can
fail.
"""

from __future__ import annotations

import random
import sys
import tempfile
from bisect import bisect_right
from dataclasses import dataclass, field
from pathlib import Path

from faults.day import HandClock, acts
from faults.disk import OK, Call, disk
from faults.shown import Shown, read_home

from tracker.shop import Shop
from tracker.store.recovery import TORN
from tracker.work.facts import EntryId

SECTOR = 512


@dataclass
class Recording:
    """A day's changes of the disk in order, and after which of them each fact was shown as done."""

    home: Path
    calls: list[Call] = field(default_factory=list)
    told_at: list[int] = field(default_factory=list)
    shown: Shown = field(default_factory=Shown)

    def judge(self, call: Call) -> int:
        self.calls.append(call)
        return OK


def record(home: Path, careless: bool = False) -> Recording:
    """Two days with a night in between."""
    recording = Recording(home)
    with disk(recording.judge):
        for _ in range(2):
            shop = Shop(home, HandClock())
            if careless:
                shop._log.db.execute("PRAGMA synchronous = NORMAL")
            for act in acts(shop):
                act()
                recording.told_at += [len(recording.calls)] * recording.shown.hear(shop)
            shop.close()
    return recording


@dataclass
class _Kept:
    """One file on the model's disk: what is certain, and the later writes that may be lost."""

    certain: bytearray | None = None
    """None: the file may not even exist."""
    uncertain: list[Call] = field(default_factory=list)
    before: bytes | None = None
    """The file with this name before an uncertain removal or renaming."""

    def sync(self) -> None:
        self.certain = self._with(self.uncertain)
        self.uncertain, self.before = [], None

    def after_cut(self, chance: random.Random, share: float) -> bytes | None:
        if self.before is not None and chance.random() < 0.5:
            return self.before
        if self.certain is None and (not self.uncertain or chance.random() < 0.5):
            return None
        return bytes(self._with([_torn(each, chance) for each in self.uncertain if chance.random() < share]))

    def _with(self, calls: list[Call]) -> bytearray:
        held = bytearray(self.certain or b"")
        for call in calls:
            if call.what == "truncate":
                held = held[: call.at] + bytes(max(0, call.at - len(held)))
            else:
                held += bytes(max(0, call.at - len(held)))
                held[call.at : call.at + len(call.data)] = call.data
        return held


def _torn(call: Call, chance: random.Random) -> Call:
    """Sometimes only the first sectors of a write of several sectors reach the disk."""
    if call.what != "write" or len(call.data) <= SECTOR or chance.random() < 0.8:
        return call
    return Call("write", call.path, call.at, call.data[: SECTOR * chance.randrange(1, len(call.data) // SECTOR + 1)])


def after_cut(calls: list[Call], chance: random.Random) -> dict[str, bytes]:
    """What the disk may contain after a power cut following these changes, by path."""
    files: dict[str, _Kept] = {}
    for call in calls:
        if call.what == "sync folder":  # it makes the renamings in the folder durable
            for path, renamed in files.items():
                if str(Path(path).parent) == call.path:
                    renamed.before = None
            continue
        kept = files.setdefault(call.path, _Kept())
        if call.what == "sync":
            kept.sync()
        elif call.what == "delete":
            gone = None if call.at or kept.certain is None else bytes(kept.certain)
            files[call.path] = _Kept(before=gone)
        elif call.what == "replace":
            old = files.get(call.to, _Kept()).certain
            files[call.to] = _Kept(kept.certain, kept.uncertain, None if old is None else bytes(old))
            files[call.path] = _Kept()
        else:
            kept.uncertain.append(call)
    share = chance.choice((0.0, 0.5, 0.9, 1.0))
    found = {path: kept.after_cut(chance, share) for path, kept in files.items()}
    return {path: data for path, data in found.items() if data is not None}


@dataclass(frozen=True, slots=True)
class Cut:
    """What a cut after change number `at` lost."""

    at: int
    told: int
    lost: tuple[EntryId, ...]
    notice: str


def cut(recording: Recording, at: int, chance: random.Random) -> Cut:
    """Cut the power after change number `at`, and open what is left of the record."""
    told = bisect_right(recording.told_at, at)
    shown = Shown(dict(list(recording.shown.told.items())[:told]))
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        for path, data in after_cut(recording.calls[:at], chance).items():
            file = home / Path(path).relative_to(recording.home)
            file.parent.mkdir(exist_ok=True)
            file.write_bytes(data)
        entries, notice = read_home(home)
    return Cut(at, told, tuple(shown.missing(entries)), notice)


def cuts(count: int, seed: int, careless: bool = False) -> list[Cut]:
    """COUNT cuts of one day."""
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        recording = record(Path(folder) / "home", careless)
    return [cut(recording, chance.randint(0, len(recording.calls)), chance) for _ in range(count)]


def main(words: list[str]) -> int:
    numbers = [int(each) for each in words if each != "--careless"]
    count, seed = (numbers + [1000, 20260302][len(numbers) :])[:2]
    found = cuts(count, seed, "--careless" in words)
    lost = [each for each in found if each.lost]
    complaints = [each for each in found if each.notice not in ("", TORN)]
    torn = sum(each.notice == TORN for each in found)
    print(f"{count} power cuts: {sum(each.told for each in found)} facts shown as done before them,", end=" ")
    print(f"{sum(len(each.lost) for each in lost)} lost, {len(complaints)} records not sound;", end=" ")
    print(f"{torn} said that a write was broken off")
    for each in [*lost[:5], *complaints[:5]]:
        print(each, file=sys.stderr)
    return 1 if lost or complaints else 0
