"""A tablet for the tests of the record: its clocks, a tap, and the periodic work."""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from msgspec.structs import replace

from tracker.shop import Shop
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Do

SAMPLE = next(iter(sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))))


class Clock:
    """The tablet's clocks, moved by hand."""

    def __init__(self) -> None:
        self.now = Now(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "boot 1", 1000.0)

    def __call__(self) -> Now:
        return self.now

    def wait(self, seconds: float) -> None:
        self.now = replace(self.now, wall=self.now.wall + timedelta(seconds=seconds), boot=self.now.boot + seconds)

    def restart(self, boot_id: str, off: float) -> None:
        self.now = Now(self.now.wall + timedelta(seconds=off), boot_id, 5.0)


def opened(home: Path, clock: Clock | None = None, reserve: int = 0) -> Shop:
    shop = Shop(home, clock or Clock(), reserve)
    shop.open(SAMPLE)
    return shop


def tap(shop: Shop) -> str:
    """Do the next step of any piece; returns the reason if it was refused."""
    assert shop.run is not None
    for piece in shop.run.pieces:
        for step in piece.route:
            if not shop.state.is_done(shop.run, piece, step.id):
                refusal = shop.do(Do(piece.key, step.id))
                return refusal.reason if refusal else ""
    raise AssertionError("everything is done")


def tend(shop: Shop) -> None:
    """Do a heartbeat, the backup that it began, and the heartbeat that notices the backup."""
    shop.beat()
    shop._record._wait()
    shop.beat()


def without_rights(job: Callable[[], object]) -> str:
    """Run a job as nobody, in a separate process; returns what went wrong."""

    def as_nobody() -> None:
        if os.getuid() == 0:
            os.setgid(65534)
            os.setuid(65534)
        job()

    return apart(as_nobody)


def apart(job: Callable[[], object]) -> str:
    """Run a job in a separate process; returns what went wrong."""
    ear, mouth = os.pipe()
    child = os.fork()
    if child == 0:
        words = ""
        try:
            job()
        except BaseException:
            words = traceback.format_exc()
        os.write(mouth, words.encode())
        os._exit(0)
    os.close(mouth)
    with os.fdopen(ear) as heard:
        words = heard.read()
    os.waitpid(child, 0)
    return words


def written(home: Path, taps: int = 5, clock: Clock | None = None) -> list[tuple[str, int]]:
    """A record with some work, closed; returns its entries."""
    shop = opened(home, clock)
    for _ in range(taps):
        assert tap(shop) == ""
    kept = [entry.id for entry in shop.entries()]
    shop.close()
    return kept


def ids(shop: Shop) -> list[tuple[str, int]]:
    return [entry.id for entry in shop.entries()]
