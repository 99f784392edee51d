"""The power of the hub's disk is cut: an ext4 file system in a file, shut down by its own ioctl. Needs root."""

from __future__ import annotations

import contextlib
import fcntl
import os
import random
import shutil
import struct
import tempfile
import threading
import time
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import psycopg
from faults.powercut_ext4 import EXT4_IOC_SHUTDOWN, NO_LOG_FLUSH, new_disk, why_not
from psycopg.sql import SQL, Identifier
from together.cluster import Cluster
from together.shops import prepared, rows_of, shop_of

from tracker.together import connection
from tracker.together.errors import HubError
from tracker.together.membership import Membership

GIVERS = 4
"""The number of threads that give facts to a hub whose power is cut."""


def power(cuts: int, seed: int = 1, careless: int = 0) -> int:
    """Cut the power of the hub's disk: every acknowledged fact is there when it starts again.

    Checked on the hub only, before a tablet could fill it again. `careless` (logins that don't wait for the disk) shows
    that this check can find missing facts.
    """
    if reason := why_not():
        print(f"The power can't be cut here: {reason}.")
        return 1
    chance = random.Random(seed)
    said = lost = 0
    settings = "max_wal_size = 32MB\nmin_wal_size = 32MB\nshared_buffers = 16MB\n"
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        disk = new_disk(Path(name))
        with disk.mounted():
            cluster = Cluster(disk.mount / "server", settings=settings)
            prepared(cluster.make().start())
            [tablet] = shop_of(cluster, Path(name) / "tablet", ["Desk"])
            tablet.close()
            if careless:
                _wait_for_no_disk(cluster)
            cluster.stop()
        for number in range(cuts):
            with disk.mounted(), cut_off(cluster, disk.mount):
                given = _given_until(tablet.membership, number, chance.uniform(0.05, 0.6))
            with disk.mounted():
                cluster.start()
                with psycopg.connect(cluster.admin(), autocommit=True) as db:
                    there = set(db.execute("SELECT tablet, count, chain FROM kerfcard.entries"))
                cluster.stop()
            said += len(given)
            lost += len(given - there)
        shutil.rmtree(cluster.sock, ignore_errors=True)
    print(f"{cuts} power cuts of the hub's disk: {said:,} facts said to be on the hub, {lost:,} lost")
    return lost


def _wait_for_no_disk(cluster: Cluster) -> None:
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        for (login,) in db.execute("SELECT rolname FROM pg_roles WHERE rolcanlogin AND NOT rolsuper").fetchall():
            db.execute(SQL("ALTER ROLE {} SET synchronous_commit = off").format(Identifier(login)))


@contextlib.contextmanager
def cut_off(cluster: Cluster, mount: Path) -> Iterator[None]:
    """Start the hub; afterwards its disk loses everything not yet written, and the hub ends."""
    at = os.open(mount, os.O_RDONLY)
    try:
        cluster.start()
        yield
        fcntl.ioctl(at, EXT4_IOC_SHUTDOWN, struct.pack("I", NO_LOG_FLUSH))
    finally:
        os.close(at)
        cluster.kill()


def _given_until(membership: Membership, number: int, seconds: float) -> set[tuple[str, int, str]]:
    """Give facts from several threads, one to five at a time; returns those that the hub had acknowledged after
    `seconds`."""
    given: list[tuple[str, int, str]] = []

    def give(at: int) -> None:
        rows = iter(rows_of(f"{number % 65536:04x}{at:04x}", 2000))
        with contextlib.suppress(HubError), contextlib.closing(connection.Connection(membership)) as hub:
            while batch := list(islice(rows, 1 + at)):
                hub.give(batch)
                given.extend((row.tablet, row.count, row.chain) for row in batch)

    for at in range(GIVERS):
        threading.Thread(target=give, args=(at,), daemon=True).start()
    until = time.monotonic() + 5
    while not given and time.monotonic() < until:
        time.sleep(0.005)
    time.sleep(seconds)
    return set(given)
