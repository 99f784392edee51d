"""A file to restore may come from anybody: only its proven rows are copied; nothing else in it runs or is kept."""

from __future__ import annotations

import os
import random
import sqlite3
import time
from pathlib import Path

import pytest
from faults.databases import SCHEMES, stranger
from store.tablet import SAMPLE, Clock, opened, tap

from tracker.shop import Shop
from tracker.store import closed_copy
from tracker.store.recovery import LOG_NAME


@pytest.fixture
def good(tmp_path: Path) -> Path:
    shop = opened(tmp_path / "theirs")
    for _ in range(5):
        tap(shop)
    backup = shop.back_up()
    shop.close()
    return backup


def schema(path: Path) -> list[tuple[str, str]]:
    connection = sqlite3.connect(path)
    found = connection.execute("SELECT type, sql FROM sqlite_master ORDER BY name").fetchall()
    connection.close()
    return found


@pytest.mark.parametrize("scheme", SCHEMES, ids=lambda scheme: scheme[-1][:40])
def test_a_strangers_schema_is_never_taken_over(tmp_path: Path, good: Path, scheme: tuple[str, ...]) -> None:
    file = tmp_path / "stranger.db"
    file.write_bytes(good.read_bytes())
    with sqlite3.connect(file, isolation_level=None) as connection:
        for statement in scheme:
            connection.execute(statement)
    connection.close()
    shop = opened(tmp_path / "home")
    tap(shop)
    before = shop.entries()
    begun = time.process_time()
    said = shop.restore(file)
    assert time.process_time() - begun < 5
    restored = said.startswith("Restored")
    assert restored or said.startswith("Not restored"), said
    if not restored:
        assert shop.entries() == before
    shop.open(SAMPLE)
    kept = len(shop.entries())
    for _ in range(3):
        assert tap(shop) == ""
    assert shop.tablet != "mine"
    assert shop.settings.get("kerf") is None
    shown = shop.entries()
    assert len(shown) == kept + 3
    shop.close()
    again = Shop(tmp_path / "home", Clock())
    assert (again.notice, again.entries()) == ("", shown)  # what was shown as done is on the disk
    again.close()
    ours = opened(tmp_path / "ours")
    ours.close()
    assert schema(tmp_path / "home" / LOG_NAME) == schema(tmp_path / "ours" / LOG_NAME)


def test_a_good_file_is_restored_with_its_settings_and_none_of_its_identity(tmp_path: Path, good: Path) -> None:
    shop = opened(tmp_path / "home")
    shop.beat()
    beats = shop.now().beats
    assert shop.restore(good).startswith("Restored: 6 facts.")
    assert shop.now().beats == beats  # this machine's own
    assert tap_on(shop) == ""
    shop.close()


def tap_on(shop: Shop) -> str:
    shop.open(SAMPLE)
    return tap(shop)


def test_what_is_no_file_or_too_large_or_slow_is_refused(
    tmp_path: Path, good: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = opened(tmp_path / "home")
    os.mkfifo(tmp_path / "pipe.db")
    (tmp_path / "folder.db").mkdir()
    for path in (tmp_path / "pipe.db", tmp_path / "folder.db", tmp_path / "gone.db"):
        assert shop.restore(path).startswith("Not restored")
    for name, most in (("MOST_BYTES", 1000), ("MOST_ROWS", 3)):
        with monkeypatch.context() as patch:
            patch.setattr(closed_copy, name, most)
            assert shop.restore(good).startswith("Not restored")
    monkeypatch.setattr(closed_copy, "_STEPS", 1)
    with pytest.raises(closed_copy.DamagedLogError, match="interrupted"):
        list(closed_copy.proven_rows(good, seconds=-1))
    assert tap(shop) == ""
    shop.close()


def test_bytes_that_were_changed_never_give_a_mark_that_nobody_made(tmp_path: Path, good: Path) -> None:
    truth = {row.id: row for row in closed_copy.proven_rows(good)}
    chance = random.Random(5)
    read = 0
    for _ in range(300):
        stranger(tmp_path / "stranger.db", good.read_bytes(), chance)
        try:
            rows = list(closed_copy.proven_rows(tmp_path / "stranger.db", seconds=5))
        except closed_copy.DamagedLogError:
            continue
        read += 1
        assert all(truth.get(row.id) == row for row in rows)
    assert read > 20
