"""Pausing Python's cyclic collector while a long log is read: entries have no cycles, and each pass over a million of
them takes a second."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager

LONG = 20_000
"""From this many entries up they are frozen, out of the collector's sight; fewer cost next to nothing."""


def pause() -> bool:
    """Stop collecting; returns whether it was on, for `resume`."""
    was_on = gc.isenabled()
    gc.disable()
    return was_on


def resume(was_on: bool, freeze: bool = False) -> None:
    """Collect again if it was on. With `freeze`, what exists now is never scanned again."""
    if freeze:
        gc.freeze()
    if was_on:
        gc.enable()


@contextmanager
def gc_paused(length: Callable[[], int] = lambda: 0) -> Iterator[None]:
    """Pause the collector while a log is read. If `length()` entries make it long they are frozen afterwards; otherwise
    a tap now and then would wait for the collector."""
    was_on = pause()
    long = False
    try:
        yield
        long = length() >= LONG
    finally:
        resume(was_on, long)
