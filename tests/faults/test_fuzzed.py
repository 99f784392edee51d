"""Short counts of `python tests/faults fuzzed`: what strangers send neither stops the app nor reaches outside it."""

from __future__ import annotations

import platform
import subprocess
import sys
from pathlib import Path

import pytest
from faults.fuzzed import fuzz

COUNTS = {
    "build files by hypothesis": 80,
    "pictures": 30,
    "codes": 150,
    "logs": 80,
    "boards": 12,
    "setups": 40,
    "labels": 20,
    "records to put back": 60,
}
if sys.platform == "linux" and platform.machine() == "x86_64":  # there are wheels of Atheris for no other machine
    COUNTS["build files by coverage"] = 80


@pytest.mark.parametrize("kind", COUNTS)
def test_what_strangers_send_does_no_harm(kind: str) -> None:
    report = fuzz(kind, COUNTS[kind], seed=3)
    assert (report["crashes"], report["escapes"], report["slow"]) == ([], [], [])
    assert report["runs"] == COUNTS[kind]
    assert report["good"] > 0


PROOF = """
import os, subprocess, sys
sys.path[:0] = {path!r}
from faults import guard
guard.SECONDS = 0.2
fence = guard.Fence()
fence.run(b"1", lambda: bool(open("/etc/hostname").read()))
fence.run(b"2", lambda: bool(eval("1")))
fence.run(b"3", lambda: os.system("true") == 0)
fence.run(b"4", lambda: bool(subprocess.run(["true"])))
fence.run(b"5", lambda: bool(__import__("this")))
fence.run(b"6", lambda: bool([None for _ in iter(int, 1)]))
fence.run(b"7", lambda: bool(1 / 0))
with guard.bounded_memory(64 * 1024 * 1024):
    fence.run(b"8", lambda: bool(bytes(100 * 1024 * 1024)))
fence.run(b"9", lambda: True)
print(len(fence.escapes), len(fence.slow), len(fence.crashes), fence.good, "MemoryError" in fence.crashes[-1])
"""


def test_the_fence_catches_what_reaches_outside_takes_long_or_takes_the_memory() -> None:
    """In a separate process, because an audit hook can't be removed."""
    source = PROOF.format(path=[str(Path(__file__).parents[1])])
    run = subprocess.run([sys.executable, "-c", source], capture_output=True, text=True, check=False)
    assert run.stdout.split() == ["5", "1", "2", "1", "True"], run.stdout + run.stderr
