"""Runs of pytest without the cost of its start: each is forked from a process that has loaded the libraries.

Nothing of the program is loaded before the fork, so each run reads the modules as they are on the disk then.
"""

from __future__ import annotations

import contextlib
import json
import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import NamedTuple

import pytest

LIBRARIES = (
    "click", "hypothesis", "msgspec", "numpy", "PIL.Image", "qrcode", "scipy.optimize", "shapely", "sqlite_utils",
    "time_machine",
)  # fmt: skip
WALL_TIMES = 10
"""A run that waits for ever uses no processor time: it gets this many times its limit by the clock."""


class Outcome(NamedTuple):
    """The exit code of pytest, negative when the run was ended; and the first failed test."""

    code: int
    failed: str


class Runner:
    """Runs tests in one copy of the tree, one run after another."""

    def __init__(self, tree: Path) -> None:
        env = os.environ | {"PYTHONPATH": str(tree), "KERFCARD_TEST_DISPLAY": "null", "OPENBLAS_NUM_THREADS": "1"}
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.bench.forked"],
            cwd=tree,
            env={name: value for name, value in env.items() if name != "PYTHONDONTWRITEBYTECODE"},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def run(self, tests: Sequence[str], seconds: int) -> Outcome:
        """Run these tests until one fails, within `seconds` of processor time."""
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.write(json.dumps([tests, seconds]) + "\n")
        self._process.stdin.flush()
        return Outcome(*json.loads(self._process.stdout.readline()))

    def close(self) -> None:
        """End the process."""
        assert self._process.stdin
        self._process.stdin.close()
        self._process.wait()


class _First:
    """A plugin that keeps the first failure."""

    failed = ""

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed = self.failed or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed = self.failed or report.nodeid


def _in_child(tests: list[str], seconds: int, answer: int) -> None:
    os.setsid()
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    silence = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(silence, stream)
    first = _First()
    code = pytest.main(["-q", "-x", "-n", "0", "-p", "no:cacheprovider", "--tb=no", *tests], plugins=[first])
    os.write(answer, json.dumps([int(code), first.failed]).encode())


def _forked(tests: list[str], seconds: int) -> Outcome:
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            _in_child(tests, seconds, writer)
        finally:
            os._exit(0)
    os.close(writer)
    over = time.monotonic() + WALL_TIMES * seconds
    while os.waitpid(child, os.WNOHANG)[0] == 0:
        if time.monotonic() > over:
            os.kill(child, signal.SIGKILL)
        time.sleep(0.02)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)  # started by a test of an ended run
    with open(reader, "rb") as pipe:  # noqa: PTH123  # a descriptor has no path
        said = pipe.read()
    return Outcome(*json.loads(said)) if said else Outcome(-1, "")


def main() -> None:
    """Answer each line of standard input."""
    for library in LIBRARIES:
        import_module(library)
    for line in sys.stdin:
        print(json.dumps(_forked(*json.loads(line))), flush=True)


if __name__ == "__main__":
    main()
