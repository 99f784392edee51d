"""The runs that have a clock: any number of runs whose clocks have ended cost nothing more."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tracker.shop import Shop, known_runs
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.intents import Answer, Do, Note
from tracker.work.state.state import running_waits

STOOL = Path(__file__).parents[2] / "sample_projects" / "stool.toml"


def named(folder: Path, number: int) -> Path:
    path = folder / f"stool_{number}.toml"
    text = STOOL.read_text(encoding="utf-8")
    path.write_text(text.replace('name = "Kitchen stool"', f'name = "Stool {number}"'), encoding="utf-8")
    return path


def glue_up(shop: Shop, *steps: str) -> None:
    for step in steps:
        assert shop.do(Do("frame:1", step, "Tested: ready")) is None


class Clock:
    """A shop's clock, moved by hand."""

    def __init__(self) -> None:
        self.passed = 0.0

    def __call__(self) -> Now:
        return Now(datetime(2026, 3, 2, 8, tzinfo=UTC) + timedelta(seconds=self.passed), "boot", self.passed)


def test_a_glue_up_that_is_over_is_no_clock_though_nobody_tapped_its_open_and_clamp_time_away(tmp_path: Path) -> None:
    clock = Clock()
    shop = Shop(tmp_path, clock)
    shop.open(named(tmp_path, 1))
    glue_up(shop, "dry fit", "spread", "clamp", "unclamp")
    assert shop.run is not None
    first = shop.run
    (cure,) = running_waits(first, shop.state)
    assert cure.wait.kind == "cure", "the steps ended the open time and the clamp time"
    shop.open(named(tmp_path, 2))
    assert shop.other_clocks() == (first.name,)
    clock.passed = cure.wait.seconds + 1.0
    assert shop.do(Answer(cure.entry.id), first) is None
    assert shop.other_clocks() == ()
    shop.close()


def test_every_state_of_a_run_is_looked_through_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = Shop(tmp_path)
    for number in range(4):
        shop.open(named(tmp_path, number))
        glue_up(shop, "dry fit", "spread", "clamp", "unclamp")
    looked: list[object] = []
    real = known_runs.has_clock
    monkeypatch.setattr(known_runs, "has_clock", lambda item: looked.append(item) or real(item))
    for _ in range(50):
        assert len(shop.runs()) == 4
    assert len(looked) <= 4, "a look each second must not go through every build again"
    before = len(looked)
    assert shop.do(Note("leg:1", "a knot")) is None
    shop.runs()
    assert len(looked) - before <= 2, "only the run that was worked on is looked through again"
    shop.close()
