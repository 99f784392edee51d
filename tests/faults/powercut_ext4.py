"""Cut the power under a real file system while the shop is working on it: ext4 in a file, shut down in the middle.

    python tests/faults powercut_ext4 [COUNT] [SEED] [--careless]

Linux, as root, with a loop device and mkfs.ext4; reports and exits 3 where it can't run. Each time a process works the
shop on the file system as fast as it can and reports each fact that is shown as done; at a random moment the file
system is shut down by its own ioctl without flushing its journal (EXT4_IOC_SHUTDOWN, as file system testers do), which
drops everything that wasn't on the disk. Then it is mounted again and the record is opened: every reported fact must be
there, word for word, and it must open without a complaint. `--careless` (synchronous=NORMAL) shows that this can fail.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import random
import shutil
import struct
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from faults.day import SAMPLES, HandClock
from faults.shown import Shown, read_home
from faults.witness import Say, Witness, as_data, told

from tracker.shop import Shop
from tracker.store.recovery import TORN
from tracker.work.decide.decide import Do, UndoLast

EXT4_IOC_SHUTDOWN = 0x8004587D
"""`_IOR('X', 125, __u32)`: fs/ext4 in the Linux sources, and `man 2 ioctl_xfs_goingdown` for the flags."""
NO_LOG_FLUSH = 2
CUTS_OF_ONE_DISK = 20
IMAGE_MB = 320
LONGEST_WORK = 0.15


@dataclass
class Disk:
    """A file system in a file, and what the shop on it has shown as done."""

    image: Path
    mount: Path
    shown: Shown = field(default_factory=Shown)
    complaints: list[str] = field(default_factory=list)
    cuts: int = 0
    told: int = 0
    lost: int = 0
    told_late: int = 0
    """Facts reported while the power failed: the process continues for a moment, as it wouldn't in a shop."""
    lost_late: int = 0

    @contextlib.contextmanager
    def mounted(self) -> Iterator[Path]:
        subprocess.run(["mount", "-o", "loop", self.image, self.mount], check=True, capture_output=True)
        try:
            yield self.mount / "home"
        finally:
            subprocess.run(["umount", self.mount], check=True, capture_output=True)


def why_not() -> str:
    """Why the power can't be cut here; empty if it can."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return "only root may mount a file system"
    if not Path("/dev/loop-control").exists():
        return "there are no loop devices here"
    missing = [tool for tool in ("mkfs.ext4", "mount", "umount") if not shutil.which(tool)]
    if missing:
        return f"{', '.join(missing)} isn't installed"
    try:
        with tempfile.TemporaryDirectory() as folder, new_disk(Path(folder)).mounted():
            return ""
    except subprocess.CalledProcessError as error:
        return str(error.stderr, "utf-8", "replace").strip() or str(error)


def new_disk(folder: Path) -> Disk:
    disk = Disk(folder / "disk.img", folder / "mount")
    disk.mount.mkdir()
    with disk.image.open("wb") as file:
        file.truncate(IMAGE_MB * 1024 * 1024)
    subprocess.run(["mkfs.ext4", "-q", "-F", disk.image], check=True, capture_output=True)
    return disk


def work(home: Path, say: Say, careless: bool) -> None:
    """Tap through the build, undo everything, and repeat for ever; each fact is reported when it is shown as done."""
    shop = Shop(home, HandClock())
    if careless:
        shop._log.db.execute("PRAGMA synchronous = NORMAL")
    if shop.run is None:
        shop.open(SAMPLES / "planter.toml")
    assert shop.run is not None
    number = 0
    say("ready")
    while True:
        for item in shop.run.pieces:
            done = shop.state.of(shop.run, item)
            intents = [UndoLast(item.key)] * len(done) if done else [Do(item.key, step.id) for step in item.route]
            for intent in intents:
                shop.do(intent)
                entries = shop.entries()
                for entry in entries[number:]:
                    say(told(entry))
                number = len(entries)


def cut(disk: Disk, chance: random.Random, careless: bool) -> None:
    """One power cut, and a check of what was lost."""
    with disk.mounted() as home:
        shop = Witness(lambda say: work(home, say, careless))
        shop.wait_for(1)
        time.sleep(chance.random() * LONGEST_WORK)
        at = os.open(disk.mount, os.O_RDONLY)
        shop.catch_up()
        before, complaints = shop.facts(), shop.complaints()
        fcntl.ioctl(at, EXT4_IOC_SHUTDOWN, struct.pack("I", NO_LOG_FLUSH))
        os.close(at)
        shop.kill()
    late = {key: fact for key, fact in shop.facts().items() if key not in before}
    with disk.mounted() as home:
        entries, notice = read_home(home)
    disk.complaints += [*complaints, *([notice] if notice not in ("", TORN) else [])]
    disk.cuts += 1
    disk.told += len(before)
    disk.told_late += len(late)
    disk.shown.told.update(before)
    disk.lost += len(disk.shown.missing(entries))
    disk.lost_late += len(Shown(late).missing(entries))
    disk.shown.told = {entry.id: as_data(entry) for entry in entries}


def main(words: list[str]) -> int:
    reason = why_not()
    if reason:
        print(
            f"The power can't be cut here: {reason}. `python tests/faults powercut_model` runs anywhere.",
            file=sys.stderr,
        )
        return 3
    numbers = [int(each) for each in words if each != "--careless"]
    count, seed = (numbers + [20, 20260302][len(numbers) :])[:2]
    chance = random.Random(seed)
    disks: list[Disk] = []
    while (done := sum(disk.cuts for disk in disks)) < count:
        with tempfile.TemporaryDirectory() as folder:
            disks.append(new_disk(Path(folder)))
            for _ in range(min(CUTS_OF_ONE_DISK, count - done)):
                cut(disks[-1], chance, "--careless" in words)
        if len(disks) % 5 == 0:
            print(_sentence(disks), flush=True)
    print(_sentence(disks))
    complaints = [complaint for disk in disks for complaint in disk.complaints]
    for complaint in complaints[:10]:
        print(complaint)
    return 1 if complaints or any(disk.lost for disk in disks) else 0


def _sentence(disks: list[Disk]) -> str:
    def total(name: str) -> int:
        return sum(getattr(disk, name) for disk in disks)

    return (
        f"{total('cuts')} power cuts: {total('told')} facts shown as done before them, {total('lost')} lost; "
        f"{total('told_late')} while the power went, {total('lost_late')} lost; "
        f"{sum(len(disk.complaints) for disk in disks)} records not sound"
    )
