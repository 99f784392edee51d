"""Python's cyclic collector beside a long log: entries hold no cycles, and walking a million of them takes a second."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager

LONG = 20_000
"""From so many entries on they are taken out of the collector's sight: fewer cost it nothing to speak of."""


@contextmanager
def collector_at_rest(length: Callable[[], int]) -> Iterator[None]:
    """Don't collect while a log is read, and don't look through it afterwards when `length()` is long: else every so
    many taps one would wait for the collector."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
        if length() >= LONG:
            gc.freeze()
    finally:
        if was_on:
            gc.enable()
