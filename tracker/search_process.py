"""A search for better and better answers in its own process: it can be ended at any moment, and its memory is limited.

A thread can only be asked to stop, and it holds up the others while it computes. A process does neither: it can be
ended at any time, the answers received so far remain, and its memory is freed.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from multiprocessing.connection import Connection
from multiprocessing.reduction import ForkingPickler
from threading import Lock
from typing import Any

from msgspec import Struct

GRACE = 1.0
"""Seconds after its time in which a search may still send its result."""
FIRST_ANSWER = 60.0
"""Seconds in which a first answer must come."""
BETWEEN = 0.4
"""Seconds between two answers, so that there is time to draw each one."""
MEGABYTES = 384
"""Bytes that a search may allocate."""


class SearchError(Exception):
    """The search ended before it had any answer; the message says why."""


class _Broken(Struct, frozen=True):
    why: str


def _numbers(fraction: Fraction) -> tuple[type[Fraction], tuple[int, int]]:
    return Fraction, (fraction.numerator, fraction.denominator)


ForkingPickler.register(Fraction, _numbers)  # Python 3.11 pickles them as text, which takes ten times as long


class SearchProcess:
    """Calls `search(*arguments, keep_going=...)`, which yields better and better answers, for this many seconds.

    The function and its arguments must be importable and picklable. `answers` and `end` may be called from different
    threads.
    """

    def __init__(self, search: Callable[..., Iterator[Any]], *arguments: Any, seconds: float) -> None:
        context = multiprocessing.get_context("spawn")
        self._ours, theirs = context.Pipe(duplex=False)
        work = (search, arguments, seconds, theirs)
        self._process = context.Process(target=_work, args=work, name="search", daemon=True)
        self._seconds = seconds
        self._lock = Lock()
        self._ended = False
        self._process.start()
        theirs.close()

    def answers(self) -> Iterator[Any]:
        """Each answer as it comes, until there is no better one, the time is over, or somebody ends it.

        Raises SearchError when the search ends without an answer.
        """
        until = time.monotonic() + FIRST_ANSWER
        answered = False
        try:
            while self._ours.poll(max(0.0, until - time.monotonic())):
                answer = self._ours.recv()
                if isinstance(answer, _Broken):
                    if answered:
                        return
                    raise SearchError(answer.why)
                if not answered:
                    answered, until = True, time.monotonic() + self._seconds + GRACE
                yield answer
        except (EOFError, OSError):  # it has finished, or was ended
            pass
        finally:
            asked = self._ended
            self.end()
            self._ours.close()
            self._process.join(GRACE)
        if not answered and not asked:
            raise SearchError("no answer came in time")

    def end(self) -> None:
        """End it now, without waiting."""
        with self._lock:
            self._ended = True
            if self._process.is_alive():
                self._process.kill()


def _work(
    search: Callable[..., Iterator[Any]], arguments: tuple[Any, ...], seconds: float, answers: Connection
) -> None:
    """In the process: search, and send each answer, but not too often."""
    _limit(seconds)
    outbox = _Outbox(answers)
    until = time.monotonic() + seconds

    def keep_going() -> bool:
        outbox.send_in_time()
        return time.monotonic() < until

    with contextlib.suppress(BrokenPipeError):  # the other side has stopped listening
        try:
            for answer in search(*arguments, keep_going=keep_going):
                outbox.put(answer)
            outbox.send()
        except MemoryError:
            outbox.send()
            answers.send(_Broken("the search took more memory than it may"))
        except Exception as error:
            outbox.send()
            answers.send(_Broken(f"{type(error).__name__}: {error}"))
            raise


def _limit(seconds: float) -> None:
    """Limit its memory and its life time; the caller handles Control-C."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        import resource
    except ImportError:  # Windows: there only the caller ends it
        return
    most = MEGABYTES << 20
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_DATA, (most, most))
    signal.setitimer(signal.ITIMER_REAL, FIRST_ANSWER + seconds)  # its default is to end the process


class _Outbox:
    """Sends answers at once, but not so often that drawing them leaves no time for anything else."""

    def __init__(self, answers: Connection) -> None:
        self._answers, self._sent = answers, -BETWEEN
        self._waiting: list[Any] = []

    def put(self, answer: Any) -> None:
        self._waiting = [answer]
        self.send_in_time()

    def send_in_time(self) -> None:
        """Send the waiting answer, if the last one was long enough ago."""
        if self._waiting and time.monotonic() - self._sent >= BETWEEN:
            self.send()

    def send(self) -> None:
        """Send the waiting answer."""
        if self._waiting:
            self._answers.send(self._waiting.pop())
            self._sent = time.monotonic()
