"""A day in the shop for the fault tests: the same taps each time, short enough to be repeated a thousand times."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from tracker.shop import Shop
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Do, Intent, Label, Refusal, UndoLast
from tracker.work.facts import Done, Entry

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"


class HandClock:
    """A shop's clock that advances a minute each time it is read."""

    def __init__(self) -> None:
        self.minutes = 0

    def __call__(self) -> Now:
        self.minutes += 1
        wall = datetime(2026, 3, 2, 8, 0, tzinfo=UTC) + timedelta(minutes=self.minutes)
        return Now(wall, "boot of the day", self.minutes * 60.0)


def taps(shop: Shop, most: int = 1000) -> Iterator[Intent]:
    """Intents to carry out one after the other: labels, the routes of untouched pieces, and sometimes a mistake."""
    assert shop.run is not None
    yield Label(tuple(shop.run.items)[:3])
    given = 1
    for item in shop.run.pieces:
        if shop.state.of(shop.run, item):
            continue
        for number, step in enumerate(item.route):
            if given >= most:
                return
            yield Do(item.key, step.id)
            given += 1
            if number == 0 and item.number == 2:
                yield UndoLast(item.key)
                yield Do(item.key, step.id)


def from_another_tablet(run: str, count: int = 3) -> list[Entry]:
    """Facts that another tablet sends."""
    at = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
    return [
        Entry("other", number, {"other": number - 1} if number > 1 else {}, at, Done(run, f"slat:{number}", "cut"))
        for number in range(1, count + 1)
    ]


Act = Callable[[], Refusal | None]


def acts(shop: Shop, most: int = 24) -> Iterator[Act]:
    """The day as actions, one after the other; each returns the shop's answer."""
    if shop.run is None:
        yield lambda: _open(shop)
    if shop.run is None:
        return
    for number, intent in enumerate(taps(shop, most)):
        yield partial(shop.do, intent)
        if number == most // 3:
            yield lambda: shop.settings.update(station="bench")
        if number == most // 2:
            yield lambda: _take_in(shop)
        if number == most * 2 // 3:
            yield lambda: _keep(shop)


def _open(shop: Shop) -> Refusal | None:
    problems = shop.open(SAMPLES / "planter.toml")
    wrong = [problem.what for problem in problems if problem.kind == "problem"]
    return Refusal(wrong[0]) if wrong else None


def _keep(shop: Shop) -> None:
    shop.beat()
    shop.back_up()
    shop.export()


def _take_in(shop: Shop) -> None:
    assert shop.run is not None
    shop.take_in(from_another_tablet(shop.run.name))
