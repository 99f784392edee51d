"""A fence around the reading of a stranger's file: what it opens or starts, its time and its memory."""

from __future__ import annotations

import contextlib
import resource
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

SECONDS = 2.0
MEMORY = 256 * 1024 * 1024
HARMLESS = frozenset(
    {"compile", "object.__getattr__", "gc.get_objects", "sys._getframe", "time.sleep", "builtins.id", "array.__new__"}
)
"""`compile`: a formula is parsed to a syntax tree. Running the tree would be `exec`, which isn't allowed."""


class TooSlowError(BaseException):
    """Not an Exception, so that no handler on the way treats it as a mistake in the file."""


class EscapeError(BaseException):
    """Something reached outside."""


@dataclass
class Fence:
    """Counts what was read, and stores what went wrong with it."""

    runs: int = 0
    good: int = 0
    """Runs in which something could be read."""
    longest: float = 0.0
    """Seconds of this process's own time."""
    crashes: list[str] = field(default_factory=list)
    escapes: list[str] = field(default_factory=list)
    slow: list[str] = field(default_factory=list)
    inputs: list[bytes] = field(default_factory=list)
    """What went wrong, and with which input."""
    also: frozenset[str] = frozenset()
    """Events that are harmless for this kind of reading."""
    _up: bool = False
    _allowed: str = ""

    def __post_init__(self) -> None:
        sys.addaudithook(self._hear)
        signal.signal(signal.SIGVTALRM, _too_slow)

    def _hear(self, event: str, about: tuple[Any, ...]) -> None:
        if not self._up or event in HARMLESS or event in self.also:
            return
        if event == "open" and str(about[0]) == self._allowed and about[1] in ("r", "rb", None):
            return
        self._up = False
        self.escapes.append(f"{event} {str(about)[:300]}")
        raise EscapeError(event)

    def run(self, data: bytes, read: Callable[[], bool], allowed: Path | None = None) -> None:
        """Read `data` within the fence; `allowed` is the one file that may be opened."""
        self.runs += 1
        before = len(self.crashes) + len(self.escapes) + len(self.slow)
        self._allowed = str(allowed)
        started = time.process_time()
        signal.setitimer(signal.ITIMER_VIRTUAL, SECONDS)
        self._up = True
        try:
            self.good += read()
        except TooSlowError:
            self._up = False
            self.slow.append("".join(traceback.format_exc(limit=-3)))
        except EscapeError:
            pass
        except BaseException:
            self._up = False
            self.crashes.append(traceback.format_exc(limit=-6))
        finally:
            self._up = False
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        self.longest = max(self.longest, time.process_time() - started)
        if len(self.crashes) + len(self.escapes) + len(self.slow) > before:
            self.inputs.append(data)

    def report(self) -> dict[str, Any]:
        return {
            "runs": self.runs,
            "good": self.good,
            "longest": round(self.longest, 3),
            "crashes": self.crashes,
            "escapes": self.escapes,
            "slow": self.slow,
        }


def _too_slow(_signal: int, _frame: FrameType | None) -> None:
    raise TooSlowError


@contextlib.contextmanager
def bounded_memory(more: int = MEMORY) -> Iterator[None]:
    """While this is active, the process may take `more` bytes in addition to what it has; then Python raises
    MemoryError."""
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    before = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (pages * resource.getpagesize() + more, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, before)
