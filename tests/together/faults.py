"""Kills, cuts, a restored server, a full disk: every acknowledged fact is kept, and all have the same log in the end.

    PYTHONPATH=tests:. python -m together.faults kills TABLET_KILLS SERVER_KILLS CUTS [seed]
    PYTHONPATH=tests:. python -m together.faults put-back TIMES
    PYTHONPATH=tests:. python -m together.faults full TIMES      (root: a small tmpfs)
    PYTHONPATH=tests:. python -m together.faults power CUTS      (root: ext4 in a file, shut down by its ioctl)
    PYTHONPATH=tests:. python -m together.faults joining TIMES

Each prints its counts, and exits with 1 if a fact is lost or double, or the logs differ.
"""

from __future__ import annotations

import contextlib
import json
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import psycopg
from together.cluster import Cluster
from together.line import BadLine
from together.power import power
from together.shops import invitation, prepared, shop_of
from together.tablet_processes import TabletProcess, Witness, tablets_at

from tracker.store.rows import COLUMNS
from tracker.together import connection
from tracker.together.errors import HubError
from tracker.together.joining import join

HEALS = 120.0
MEAN_BYTES = 5000.0
"""The average number of bytes until something happens to a line: about as many as a connection's start takes."""


def _heads(cluster: Cluster) -> str:
    question = "SELECT DISTINCT ON (tablet) tablet, count, chain FROM kerfcard.entries ORDER BY tablet, count DESC"
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        return json.dumps({row[0]: [row[1], row[2]] for row in db.execute(question)}, sort_keys=True)


def _heal(cluster: Cluster, tablets: Sequence[TabletProcess]) -> float | None:
    """Let all tablets be quiet and exchange; returns the seconds until all had the same, or None if they never had."""
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
    """Print what became of every fact; returns the number of faults."""
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
    """Kill tablets and the server while the line between them fails."""
    chance, witness = random.Random(seed), Witness()
    with tempfile.TemporaryDirectory() as name, Cluster() as cluster:
        prepared(cluster)
        with BadLine(cluster.port, seed, mean=MEAN_BYTES) as line:
            tablets = tablets_at(cluster, Path(name), line.port, witness, seed)
            done = killed = 0
            begun = said = time.monotonic()
            while done < tablet_kills or killed < server_kills or line.fates.total() < cuts:
                time.sleep(chance.uniform(0.05, 0.4))
                luck = chance.random()
                if done < tablet_kills and luck < 0.2:  # each lives long enough to reach the hub
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
    """Restore the server to an earlier moment from a base backup and its archive, while tablets go on."""
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
            tablets = tablets_at(cluster, base / "tablets", cluster.port, witness, 4)
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
    """Fill the server's disk again and again."""
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
                tablets = tablets_at(cluster, Path(name) / "tablets", cluster.port, witness, 9, 3)
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


def joining(times: int) -> int:
    """Let tablets join over a line that breaks, each trying the same invitation until it has joined."""
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
