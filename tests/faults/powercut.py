"""Cut the power under a real file system while the shop works on it: ext4 in a file, shut down in the middle.

    python tests/faults powercut [COUNT] [SEED] [--careless]

Linux, as root, with a loop device and mkfs.ext4; says so and exits 3 where it can't run. Each time a process works the
shop on the file system as fast as it can and tells of each fact that is shown as done; at a random moment the file
system is shut down by its own ioctl without flushing its journal (EXT4_IOC_SHUTDOWN, as file system testers do), which
drops whatever wasn't on the disk. Then it is mounted again and the record is opened: every fact that was told must be
there, word for word, and it must open without a complaint. `--careless` (synchronous=NORMAL) shows that this can fail.
"""

from __future__ import annotations

import contextlib
import fcntl
import json
import os
import random
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from faults.day import SAMPLES, HandClock
from faults.ledger import Ledger, as_data, read_home

from tracker.shop import Shop
from tracker.work.decide import Do, TakeBack

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
    ledger: Ledger = field(default_factory=Ledger)
    complaints: list[str] = field(default_factory=list)

    @contextlib.contextmanager
    def mounted(self) -> Iterator[Path]:
        subprocess.run(["mount", "-o", "loop", self.image, self.mount], check=True, capture_output=True)
        try:
            yield self.mount / "home"
        finally:
            subprocess.run(["umount", self.mount], check=True, capture_output=True)


def why_not() -> str:
    """Why the power can't be cut here, or nothing."""
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


def work(home: Path, mouth: int, careless: bool) -> None:
    """Tap through the build, take everything back, and again, for ever; each fact is told once it is shown as done."""
    shop = Shop(home, HandClock())
    if careless:
        shop._log.db.execute("PRAGMA synchronous = NORMAL")
    if shop.run is None:
        shop.open(SAMPLES / "planter.toml")
    assert shop.run is not None
    told = 0
    os.write(mouth, b'"ready"\n')
    while True:
        for item in shop.run.pieces:
            done = shop.state.of(shop.run, item)
            intents = [TakeBack(item.key)] * len(done) if done else [Do(item.key, step.id) for step in item.route]
            for intent in intents:
                shop.do(intent)
                entries = shop.entries()
                for entry in entries[told:]:
                    os.write(mouth, json.dumps([entry.id, as_data(entry)]).encode() + b"\n")
                told = len(entries)


def cut(disk: Disk, chance: random.Random, careless: bool) -> int:
    """One power cut; how many facts it took."""
    with disk.mounted() as home:
        ear, mouth = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(ear)
            with contextlib.suppress(BaseException):
                work(home, mouth, careless)
            os._exit(0)
        os.close(mouth)
        heard = os.read(ear, 65536)
        time.sleep(chance.random() * LONGEST_WORK)
        at = os.open(disk.mount, os.O_RDONLY)
        fcntl.ioctl(at, EXT4_IOC_SHUTDOWN, struct.pack("I", NO_LOG_FLUSH))
        os.close(at)
        os.kill(child, signal.SIGKILL)
        while more := os.read(ear, 65536):
            heard += more
        os.close(ear)
        os.waitpid(child, 0)
    for line in heard.splitlines(keepends=True):
        if line.endswith(b"\n") and line != b'"ready"\n':
            (tablet, count), fact = json.loads(line)
            disk.ledger.told[tablet, count] = fact
    with disk.mounted() as home:
        entries, notice = read_home(home)
    if notice:
        disk.complaints.append(notice)
    lost = disk.ledger.missing(entries)
    disk.ledger.told = {entry.id: as_data(entry) for entry in entries}
    return len(lost)


def main(words: list[str]) -> int:
    reason = why_not()
    if reason:
        print(
            f"The power can't be cut here: {reason}. `python tests/faults powermodel` runs anywhere.", file=sys.stderr
        )
        return 3
    numbers = [int(each) for each in words if each != "--careless"]
    count, seed = (numbers + [20, 20260302][len(numbers) :])[:2]
    chance = random.Random(seed)
    done = told = lost = 0
    complaints: list[str] = []
    while done < count:
        with tempfile.TemporaryDirectory() as folder:
            disk = new_disk(Path(folder))
            for _ in range(min(CUTS_OF_ONE_DISK, count - done)):
                before = len(disk.ledger.told)
                taken = cut(disk, chance, "--careless" in words)
                told, lost, done = told + len(disk.ledger.told) + taken - before, lost + taken, done + 1
            complaints += disk.complaints
        if done % 100 == 0:
            print(f"{done} power cuts, {told} facts shown as done, {lost} lost", flush=True)
    print(f"{done} power cuts: {told} facts shown as done, {lost} lost; {len(complaints)} records not sound")
    for complaint in complaints[:10]:
        print(complaint)
    return 1 if lost or complaints else 0
