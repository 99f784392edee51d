"""Every log of a released version opens, is proven and folded, and can be continued.

`released/NAME.db` was written by the code of its time, and `released/NAME.json` has what that code read in it. Add a
pair when the schema or the kinds of facts change; never edit one.
"""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from tracker.shop import Shop
from tracker.store.log import Log
from tracker.store.recovery import LOG_NAME, open_log
from tracker.store.rows import entry_of
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Do
from tracker.work.facts import Done, Unknown, to_data

RELEASED = sorted((Path(__file__).parent / "released").glob("*.db"))
NOW = datetime(2026, 12, 1, 8, 0, tzinfo=UTC)


@pytest.fixture(params=RELEASED, ids=lambda path: path.stem)
def home(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    shutil.copy(request.param, tmp_path / LOG_NAME)
    shutil.copy(request.param.with_suffix(".json"), tmp_path / "expected.json")
    return tmp_path


def expected(home: Path) -> list[list[Any]]:
    entries: list[list[Any]] = json.loads((home / "expected.json").read_text("utf-8"))
    return entries


def test_it_opens_and_says_what_it_said(home: Path) -> None:
    opened = open_log(home, NOW)
    assert opened.notice == ""
    assert opened.log.why_not == ""
    said = [
        [entry.tablet, entry.count, dict(entry.seen), entry.at.isoformat(), *to_data(entry.fact)]
        for entry in opened.log.entries()
    ]
    assert json.loads(json.dumps(said)) == expected(home)
    opened.log.close()


def test_its_rows_are_copied_as_they_stand(home: Path) -> None:
    """An entry of an old kind may be written differently today; its chain is over the bytes written then."""
    log = Log(home / LOG_NAME)
    rows = list(log.rows())
    other = Log(home / "other.db")
    other.take_in_rows(rows)
    assert list(other.rows()) == rows
    assert [entry_of(row) for row in rows] == other.entries()
    log.close()
    other.close()


def test_its_state_shows_what_was_done_and_work_goes_on(home: Path) -> None:
    shop = Shop(home, lambda: Now(NOW, "a later boot", 100.0))
    assert shop.open(Path(__file__).parents[2] / "sample_projects" / "planter.toml") == ()
    run = shop.run
    assert run is not None
    rows = expected(home)
    undone = {(row[5]["tablet"], row[5]["count"]) for row in rows if row[4] == "undone"}
    spoiled = {row[5]["item"] for row in rows if row[4] == "spoiled"}
    told = [row for row in rows if row[4] == "done" and (row[0], row[1]) not in undone]
    done = {(row[5]["item"], row[5]["step"]) for row in told if row[5]["item"] not in spoiled}
    for item, step in done:
        assert shop.state.is_done(run, run.items[item], step), (item, step)
    assert not any(isinstance(entry.fact, Unknown) and entry.fact.kind == "done" for entry in shop.entries())
    left = [
        (item.key, step.id) for item in run.items.values() for step in item.route if (item.key, step.id) not in done
    ]
    assert any(shop.do(Do(key, step, "checked by hand")) is None for key, step in left)
    last = shop.entries()[-1]
    assert isinstance(last.fact, Done)
    shop.close()
    again = open_log(home, NOW)
    assert again.notice == ""
    assert again.log.entries()[-1] == last
    again.log.close()


def test_there_is_one_of_every_kind_that_was_known(home: Path) -> None:
    kinds = {row[4] for row in expected(home)}
    assert kinds >= {"opened", "done", "undone", "answered", "labelled"}
    fields = {field for row in expected(home) if row[4] == "done" for field in row[5]}
    assert fields >= {"run", "item", "step", "anyway", "against", "wait", "answers"}
