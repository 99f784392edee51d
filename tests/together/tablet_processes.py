"""Tablets in separate processes that can be killed, and the facts that they reported as kept."""

from __future__ import annotations

import contextlib
import random
import subprocess
import sys
import threading
from pathlib import Path

from msgspec.structs import replace
from together.cluster import Cluster
from together.shops import shop_of

from tracker.together.membership import write_membership

TABLETS = 4
EVERY = 0.12
"""The seconds between two ticks of a tablet."""


class Witness:
    """The facts that tablets reported as kept."""

    def __init__(self) -> None:
        self.here: set[str] = set()
        self.on_hub: set[str] = set()


class TabletProcess:
    """A tablet in a separate process, started again after each kill."""

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


def tablets_at(
    cluster: Cluster, folder: Path, port: int, witness: Witness, seed: int, count: int = TABLETS
) -> list[TabletProcess]:
    """Tablets that joined a shop over a line without faults and from now on reach the hub at `port`."""
    found = []
    members = shop_of(cluster, folder, [f"T{number}" for number in range(count)])
    for number, tablet in enumerate(members):
        tablet.close()
        for path in tablet.folder.glob("log.db*"):
            path.unlink()
        write_membership(tablet.folder, replace(tablet.membership, port=port))
        found.append(TabletProcess(tablet.folder, f"t{number}", seed + number, witness))
    return found
