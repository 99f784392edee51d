"""Reading pictures in a separate process, which is ended when one takes too long or too much memory.

A picture may come from a stranger. A small file can keep a decoder busy for hours (a progressive JPEG of many scans),
and a running decoder can't be stopped from within. So nothing here blocks the program: either the look ends, or the
process does.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import sys
import threading
from collections.abc import Sequence
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from types import TracebackType

from tracker.scan.found import Looked
from tracker.work.codes import Code

SECONDS = 10
"""Seconds of processor time for one picture, where the system can count it (POSIX); an ordinary picture takes a tenth
of a second."""
PATIENCE = 30.0
"""The limit in seconds of elapsed time for one picture, waiting included."""
MOST_MEMORY = 2 * 1024**3
"""Bytes of address space (POSIX); a picture of 8 million pixels takes a tenth of it."""
TOO_LONG = "the picture takes too long to read"
STOPPED = "the picture can't be read: reading it was stopped"


class PictureReader:
    """Reads pictures one after another; its process starts with the first and ends with `close`."""

    def __init__(self) -> None:
        self._open = True
        self._turn = threading.Lock()
        self._process: BaseProcess | None = None
        self._wire: Connection | None = None

    def __enter__(self) -> PictureReader:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def look(self, source: Path | bytes, live: Sequence[Code] = ()) -> Looked:
        """Like `look_at_picture`, within limits. Raises ValueError with a sentence for the user. Call it from a
        worker."""
        with self._turn:
            if not self._open:
                raise ValueError(STOPPED)
            process, wire = self._started()
            answer: Looked | str = TOO_LONG
            try:
                wire.send((source, tuple(live), SECONDS))
                if wire.poll(PATIENCE):
                    answer = wire.recv()
                else:
                    process.kill()
                    process.join()
            except (EOFError, OSError):
                process.join()
                if sys.platform == "win32" or process.exitcode != -signal.SIGXCPU:
                    answer = STOPPED
        if isinstance(answer, str):
            raise ValueError(answer)
        return answer

    def close(self) -> None:
        """End the process at once; a look in progress raises, and so does any later one."""
        self._open = False
        process = self._process
        if process is not None:
            process.kill()
            process.join()

    def _started(self) -> tuple[BaseProcess, Connection]:
        if self._process is not None and self._wire is not None and self._process.is_alive():
            return self._process, self._wire
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=_answer, args=(theirs,), name="pictures", daemon=True)
        process.start()
        theirs.close()
        self._process, self._wire = process, ours
        return process, ours


def _answer(wire: Connection) -> None:
    """The main loop of the process; it ends when no further picture comes."""
    from tracker.scan.reader import look_at_picture

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the program handles Ctrl-C
    with contextlib.suppress(EOFError, OSError):
        while True:
            source, live, seconds = wire.recv()
            _limit(seconds)
            try:
                wire.send(look_at_picture(source, live))
            except ValueError as problem:
                wire.send(str(problem))
            except MemoryError:
                wire.send(TOO_LONG)


def _limit(seconds: int) -> None:
    """Let the system end this process when the next picture takes too much."""
    if sys.platform == "win32":
        return
    import resource

    usage = resource.getrusage(resource.RUSAGE_SELF)
    used = int(usage.ru_utime + usage.ru_stime) + 1
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (used + seconds, hard))
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    with contextlib.suppress(ValueError):  # a system with a lower limit already
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, hard))
