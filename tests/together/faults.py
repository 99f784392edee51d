"""Kills, cuts, a server put back, its disk full: what was said to be kept is kept, and all have the same in the end.

    PYTHONPATH=tests:. python -m together.faults kills TABLET_KILLS SERVER_KILLS CUTS [seed]
    PYTHONPATH=tests:. python -m together.faults put-back TIMES
    PYTHONPATH=tests:. python -m together.faults full TIMES      (root: a small tmpfs)
    PYTHONPATH=tests:. python -m together.faults power CUTS      (root: ext4 in a file, shut down by its ioctl)
    PYTHONPATH=tests:. python -m together.faults joining TIMES

Each prints what it counted, and exits 1 when anything is lost, twice or not the same.
"""

from __future__ import annotations

import contextlib
import fcntl
import json
import os
import random
import shutil
import struct
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path

import psycopg
from faults.powercut import EXT4_IOC_SHUTDOWN, NO_LOG_FLUSH, new_disk, why_not
from msgspec.structs import replace
from psycopg.sql import SQL, Identifier
from together.cluster import Cluster
from together.line import BadLine
from together.shops import invitation, prepared, rows_of, shop_of

from tracker.store.rows import COLUMNS
from tracker.together import connection
from tracker.together.errors import HubError
from tracker.together.joining import join
from tracker.together.membership import Membership, write_membership

TABLETS = 4
EVERY = 0.12
"""Seconds between two ticks of a tablet."""
HEALS = 120.0
MEAN_BYTES = 5000.0
"""After so many bytes something happens to a line, on average: about as many as it takes to say hello."""


class Witness:
    """What tablets said is kept."""

    def __init__(self) -> None:
        self.here: set[str] = set()
        self.on_hub: set[str] = set()


class TabletProcess:
    """A tablet in a process of its own, started again after each kill."""

    def __init__(self, home: Path, name: str, seed: int, witness: Witness) -> None:
        self._home, self._name, self._chance, self._witness = home, name, random.Random(seed), witness
        self.tails: str | None = None
        self.kills = 0
        self.start()

    def start(self) -> None:
        with (self._home / "errors").open("ab") as errors:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "together.tablet_process", str(self._home), self._name, str(EVERY),
                 str(self._chance.randrange(10**9))],
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=errors, text=True,
            )  # fmt: skip
        threading.Thread(target=self._hear, args=(self._process,), daemon=True).start()

    def _hear(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        for line in process.stdout:
            what, _, words = line.strip().partition(" ")
            if not line.endswith("\n"):
                return
            if what == "L":
                self._witness.here.add(words)
            elif what == "H":
                self._witness.on_hub.add(words)
            elif what == "T":
                self.tails = words

    def kill(self) -> None:
        self._process.kill()
        self._process.wait()
        self.kills += 1

    def restart_if_ended(self) -> None:
        if self._process.poll() is not None:
            print(f"{self._name} ended by itself:", (self._home / "errors").read_text()[-1500:])
            self.start()

    def order(self, word: str) -> None:
        with contextlib.suppress(OSError):
            assert self._process.stdin is not None
            self._process.stdin.write(f"{word}\n")
            self._process.stdin.flush()

    def end(self) -> None:
        self.order("end")
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(15)
        self._process.kill()
        self._process.wait()


def _tablets(
    cluster: Cluster, folder: Path, port: int, witness: Witness, seed: int, count: int = TABLETS
) -> list[TabletProcess]:
    """Tablets that joined a shop over a sound line and from now on speak to the hub at `port`."""
    found = []
    members = shop_of(cluster, folder, [f"T{number}" for number in range(count)])
    for number, tablet in enumerate(members):
        tablet.close()
        for path in tablet.folder.glob("log.db*"):
            path.unlink()
        write_membership(tablet.folder, replace(tablet.membership, port=port))
        found.append(TabletProcess(tablet.folder, f"t{number}", seed + number, witness))
    return found


def _heads(cluster: Cluster) -> str:
    question = "SELECT DISTINCT ON (tablet) tablet, count, chain FROM kerfcard.entries ORDER BY tablet, count DESC"
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        return json.dumps({row[0]: [row[1], row[2]] for row in db.execute(question)}, sort_keys=True)


def _heal(cluster: Cluster, tablets: Sequence[TabletProcess]) -> float | None:
    """Let all be quiet and meet; after how many seconds all had the same, None when they never had."""
    for tablet in tablets:
        tablet.order("quiet")
    begun = time.monotonic()
    time.sleep(1)
    for tablet in tablets:
        tablet.tails = None
    while time.monotonic() - begun < HEALS:
        time.sleep(0.2)
        ends = {tablet.tails for tablet in tablets}
        if len(ends) == 1 and None not in ends and ends == {_heads(cluster)}:
            return time.monotonic() - begun
    return None


def _account(cluster: Cluster, witness: Witness, healed: float | None) -> int:
    """Say what became of every fact; how many things are wrong."""
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        kept = Counter(
            json.loads(data).get("board")
            for (data,) in db.execute("SELECT data FROM kerfcard.entries WHERE kind = 'done'")
        )
    lost_here = [word for word in witness.here if not kept[word]]
    lost_there = [word for word in witness.on_hub if not kept[word]]
    twice = [word for word, count in kept.items() if count > 1]
    same = "never the same" if healed is None else f"all the same {healed:.1f} s later"
    print(
        f"{len(witness.here):,} facts said to be kept here: {len(lost_here)} lost; "
        f"{len(witness.on_hub):,} said to be on the hub: {len(lost_there)} lost; {len(twice)} twice; {same}"
    )
    return len(lost_here) + len(lost_there) + len(twice) + (healed is None)


def kills(tablet_kills: int, server_kills: int, cuts: int, seed: int = 1) -> int:
    """Tablets and the server are killed while the line between them goes wrong."""
    chance, witness = random.Random(seed), Witness()
    with tempfile.TemporaryDirectory() as name, Cluster() as cluster:
        prepared(cluster)
        with BadLine(cluster.port, seed, mean=MEAN_BYTES) as line:
            tablets = _tablets(cluster, Path(name), line.port, witness, seed)
            done = killed = 0
            begun = said = time.monotonic()
            while done < tablet_kills or killed < server_kills or line.fates.total() < cuts:
                time.sleep(chance.uniform(0.05, 0.4))
                luck = chance.random()
                if done < tablet_kills and luck < 0.2:  # each lives long enough to meet the hub
                    tablet = chance.choice(tablets)
                    tablet.kill()
                    tablet.start()
                    done += 1
                elif killed < server_kills and luck < 0.25:
                    cluster.kill()
                    time.sleep(chance.uniform(0, 0.4))
                    cluster.start()
                    killed += 1
                for tablet in tablets:
                    tablet.restart_if_ended()
                if time.monotonic() - said > 60:
                    said = time.monotonic()
                    print(
                        f"{said - begun:.0f} s: {done}, {killed}, {line.fates.total()}, {len(witness.here)}", flush=True
                    )
            line.mend()
            healed = _heal(cluster, tablets)
            for tablet in tablets:
                tablet.end()
        fates = ", ".join(f"{word} {count}" for word, count in sorted(line.fates.items()))
        print(f"seed {seed}: {done} kills of tablets, {killed} of the server, {line.fates.total():,} cuts ({fates})")
        rows = set()
        with psycopg.connect(cluster.admin(), autocommit=True) as db:
            rows = {tuple(row) for row in db.execute(f"SELECT {COLUMNS} FROM kerfcard.entries")}  # type: ignore[call-overload]
        print(f"{len(rows):,} rows, in {time.monotonic() - begun:.0f} s")
        return _account(cluster, witness, healed)


def put_back(times: int) -> int:
    """The server is put back to an earlier moment from a base backup and its archive, while tablets go on."""
    witness, chance = Witness(), random.Random(4)
    with tempfile.TemporaryDirectory() as name:
        base = Path(name)
        base.chmod(0o755)
        archive = base / "archive"
        archive.mkdir()
        archive.chmod(0o777)
        keep = f"archive_mode = on\narchive_command = 'test ! -f {archive}/%f && cp %p {archive}/%f'\n"
        with Cluster(base / "server", settings=f"{keep}wal_level = replica\nmax_wal_senders = 4\n") as cluster:
            prepared(cluster)
            tablets = _tablets(cluster, base / "tablets", cluster.port, witness, 4)
            for number in range(times):
                copy = cluster.folder / f"base{number}"
                cluster.run("pg_basebackup", "-D", str(copy), "-h", str(cluster.sock), "-p", str(cluster.port),
                            "-U", "admin",
                            "-X", "fetch", "--checkpoint=fast", "--no-sync", PGPASSWORD=cluster.password)  # fmt: skip
                time.sleep(chance.uniform(1, 4))
                moment, then = _moment(cluster)
                time.sleep(chance.uniform(2, 5))
                _, before = _moment(cluster)
                cluster.kill()
                for path in (cluster.data / "pg_wal").glob("0*"):
                    if not (archive / path.name).exists():
                        shutil.copy(path, archive / path.name)
                shutil.rmtree(cluster.data)
                copy.rename(cluster.data)
                with (cluster.data / "postgresql.auto.conf").open("a") as conf:
                    conf.write(f"restore_command = 'cp {archive}/%f %p'\nrecovery_target_lsn = '{moment}'\n")
                    conf.write("recovery_target_action = 'promote'\n")
                (cluster.data / "recovery.signal").touch()
                subprocess.run(["chmod", "-R", "a+rX", str(archive)], check=True)
                cluster.own(cluster.data, archive)
                cluster.start()
                begun = time.monotonic()
                while _moment(cluster)[1] < before and time.monotonic() - begun < HEALS:
                    time.sleep(0.05)
                print(
                    f"put back from {before:,} facts to {then:,}; "
                    f"all there again after {time.monotonic() - begun:.1f} s"
                )
            healed = _heal(cluster, tablets)
            for tablet in tablets:
                tablet.end()
            return _account(cluster, witness, healed)


def _moment(cluster: Cluster) -> tuple[str, int]:
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        row = db.execute("SELECT pg_current_wal_lsn()::text, (SELECT count(*) FROM kerfcard.entries)").fetchone()
        assert row is not None
        db.execute("SELECT pg_switch_wal()")
        return row[0], row[1]


def full(times: int) -> int:
    """The server's disk is full again and again."""
    witness = Witness()
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        mount = Path(name) / "disk"
        mount.mkdir()
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=96m,mode=755", "tmpfs", str(mount)], check=True)
        small = "max_wal_size = 32MB\nmin_wal_size = 32MB\nshared_buffers = 16MB\ncheckpoint_timeout = 30s\n"
        try:
            with Cluster(mount / "server", settings=small) as cluster:
                prepared(cluster)
                tablets = _tablets(cluster, Path(name) / "tablets", cluster.port, witness, 9, 3)
                for number in range(times):
                    time.sleep(3)
                    filler, leave = mount / "filler", (0, 40_000, 300_000, 2_000_000)[number % 4]
                    free = shutil.disk_usage(mount).free
                    with filler.open("wb") as file, contextlib.suppress(OSError):
                        file.write(b"x" * max(0, free - leave))
                    here, there = len(witness.here), len(witness.on_hub)
                    time.sleep(6)
                    print(
                        f"{leave:,} bytes left: {len(witness.here) - here} more kept here, "
                        f"{len(witness.on_hub) - there} on the hub; "
                        f"the server {'is up' if cluster.is_up else 'has ended'}"
                    )
                    filler.unlink()
                    if not cluster.is_up:
                        cluster.kill()
                        cluster.start()
                healed = _heal(cluster, tablets)
                for tablet in tablets:
                    tablet.end()
                return _account(cluster, witness, healed)
        finally:
            subprocess.run(["umount", "-l", str(mount)], check=False)


GIVERS = 4
"""Threads that hand facts to a hub whose power is cut."""


def power(cuts: int, seed: int = 1, careless: int = 0) -> int:
    """The power of the hub's disk is cut: what it had acknowledged is there when it starts again.

    Judged on the hub alone, before a tablet could fill it again. `careless` (logins that wait for no disk) shows that
    facts can be missing here.
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
    """Start the hub; afterwards its disk forgets whatever wasn't written to it, and the hub ends."""
    at = os.open(mount, os.O_RDONLY)
    try:
        cluster.start()
        yield
        fcntl.ioctl(at, EXT4_IOC_SHUTDOWN, struct.pack("I", NO_LOG_FLUSH))
    finally:
        os.close(at)
        cluster.kill()


def _given_until(membership: Membership, number: int, seconds: float) -> set[tuple[str, int, str]]:
    """Facts that several threads give, one to five at a time; those that the hub had acknowledged after `seconds`."""
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


def joining(times: int) -> int:
    """Tablets join over a line that breaks, each trying the same code until it is in."""
    connection.ANSWER_SECONDS = 2.0
    joined = tries = 0
    with tempfile.TemporaryDirectory() as name, Cluster() as cluster:
        prepared(cluster)
        folder = Path(name)
        [keeper] = shop_of(cluster, folder, ["Keeper"])
        fates = ("fin", "rst", "half", "drop", "flip", "dup", "fin", "rst")
        with BadLine(cluster.port, 5, fates, 6000.0) as line:
            for number in range(times):
                found = invitation(cluster, *keeper.hub.invite(f"New {number}"), port=line.port)
                for _ in range(100):
                    tries += 1
                    with contextlib.suppress(HubError):
                        join(folder / f"new{number}", found, f"New {number}")
                        joined += 1
                        break
        print(f"{times} codes over a bad line: {joined} joined after {tries} tries, {line.fates.total()} cuts")
        keeper.close()
    return times - joined


COUNTS = {"kills": kills, "put-back": put_back, "full": full, "power": power, "joining": joining}

if __name__ == "__main__":
    sys.exit(1 if COUNTS[sys.argv[1]](*map(int, sys.argv[2:])) else 0)
