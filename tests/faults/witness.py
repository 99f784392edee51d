"""A process that works in the shop and may be killed at any moment: its reports until then are known outside."""

from __future__ import annotations

import json
import os
import select
import signal
import traceback
from collections.abc import Callable
from typing import Any

from tracker.work.facts import Entry, EntryId, to_data

Say = Callable[[object], None]
"""Reports one thing: a fact (`told`), a `complaint`, or a word."""


def told(entry: Entry) -> object:
    """A fact shown as done, in the form in which it is reported."""
    return {"fact": [*entry.id, as_data(entry)]}


def as_data(entry: Entry) -> Any:
    """The contents of an entry as they come back from JSON."""
    return json.loads(json.dumps([dict(entry.seen), entry.at.isoformat(), to_data(entry.fact)], default=str))


class Witness:
    """Forks a process that does `job`; an exception of the job is reported as a complaint."""

    def __init__(self, job: Callable[[Say], None]) -> None:
        self._ear, mouth = os.pipe()
        self._heard = b""
        self._child = os.fork()
        if self._child == 0:
            os.close(self._ear)
            _do(job, mouth)
        os.close(mouth)

    def wait_for(self, lines: int) -> None:
        """Wait until it has reported this many lines, or has ended."""
        while self._heard.count(b"\n") < lines and (more := os.read(self._ear, 65536)):
            self._heard += more

    def catch_up(self) -> None:
        """Read what it has reported so far."""
        while select.select([self._ear], [], [], 0)[0] and (more := os.read(self._ear, 65536)):
            self._heard += more

    def kill(self) -> None:
        """Kill it with SIGKILL at any point; then read its last reports."""
        os.kill(self._child, signal.SIGKILL)
        while more := os.read(self._ear, 65536):
            self._heard += more
        os.close(self._ear)
        os.waitpid(self._child, 0)

    def heard(self) -> list[Any]:
        """Everything that was reported completely, without the report that the kill interrupted."""
        return [json.loads(line) for line in self._heard.splitlines(keepends=True) if line.endswith(b"\n")]

    def facts(self) -> dict[EntryId, Any]:
        """The facts that were reported."""
        return {(said["fact"][0], said["fact"][1]): said["fact"][2] for said in self._dicts() if "fact" in said}

    def complaints(self) -> list[str]:
        """The errors that it reported."""
        return [said["complaint"] for said in self._dicts() if "complaint" in said]

    def _dicts(self) -> list[dict[str, Any]]:
        return [said for said in self.heard() if isinstance(said, dict)]


def _do(job: Callable[[Say], None], mouth: int) -> None:
    def say(what: object) -> None:
        os.write(mouth, (json.dumps(what, ensure_ascii=False) + "\n").encode())

    try:
        job(say)
    except BaseException:  # the process ends here, without any handler of the process it was forked from
        say({"complaint": traceback.format_exc()})
    os._exit(0)
