"""The record by command: copied to another tablet, backed up, and restored from a backup."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tracker.cli.main import commands
from tracker.shop import Shop
from tracker.store.log import Log
from tracker.work.decide.decide import Do

SAMPLE = Path(__file__).parent.parent.parent / "sample_projects" / "stool.toml"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KERFCARD_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def kerfcard(*words: str | Path) -> Result:
    return CliRunner().invoke(commands, [str(word) for word in words])


def work(home: Path, pieces: int) -> int:
    """Do the first step of `pieces` pieces that don't have it yet; returns the number of facts."""
    shop = Shop(home)
    shop.open(SAMPLE)
    assert shop.run is not None
    left = [piece for piece in shop.run.pieces if not shop.state.of(shop.run, piece)]
    for piece in left[:pieces]:
        assert shop.do(Do(piece.key, piece.route[0].id)) is None
    count = len(shop.entries())
    shop.close()
    return count


def test_the_drill_a_backup_is_made_the_record_is_lost_and_the_backup_put_back(home: Path) -> None:
    count = work(home, 3)
    made = kerfcard("backup")
    assert made.exit_code == 0, made.output
    work(home, 2)
    listed = json.loads(kerfcard("restore", "--json").stdout)
    assert [(row["facts"], row["why"]) for row in listed] == [(count, "asked")]
    restored = kerfcard("restore", listed[0]["name"])
    assert restored.exit_code == 0, restored.output
    assert f"Restored: {count} facts." in restored.stdout
    shop = Shop(home)
    assert len(shop.entries()) == count
    shop.close()
    assert work(home, 1) > count
    replaced = Log(next(home.glob("replaced-*")) / "kerfcard.db")
    assert replaced.length > count
    replaced.close()


def test_a_record_goes_to_another_tablet_as_one_file(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    count = work(home, 3)
    file = tmp_path / "log.jsonl"
    assert kerfcard("export", file).stdout == f"{file}: {count} facts.\n"
    monkeypatch.setenv("KERFCARD_HOME", str(tmp_path / "other"))
    assert kerfcard("import", file).stdout == f"{file}: {count} facts that were new.\n"
    assert kerfcard("import", file).stdout == f"{file}: 0 facts that were new.\n"
    shop = Shop(tmp_path / "other")
    assert len(shop.entries()) == count
    shop.close()


def test_a_forged_file_is_refused_with_its_line(home: Path, tmp_path: Path) -> None:
    work(home, 3)
    file = tmp_path / "log.jsonl"
    kerfcard("export", file)
    lines = file.read_text().splitlines(keepends=True)
    row = json.loads(lines[2])
    row[5] = row[5].replace("cut", "out")
    file.write_text("".join([*lines[:2], json.dumps(row) + "\n", *lines[3:]]))
    refused = kerfcard("import", file)
    assert refused.exit_code == 1
    assert refused.stdout == ""
    assert refused.stderr.startswith(f"{file}:3: entry 2 of tablet ")
    assert "was changed after it was written (nothing was taken in)" in refused.stderr


def test_what_is_no_backup_is_not_put_back(home: Path, tmp_path: Path) -> None:
    count = work(home, 2)
    assert "no such backup" in kerfcard("restore", "nothing.db").stderr
    stranger = tmp_path / "stranger.db"
    stranger.write_bytes(b"SQLite format 3\0" + b"\xff" * 5000)
    refused = kerfcard("restore", stranger)
    assert refused.exit_code == 1
    assert "the backup is damaged" in refused.stderr
    shop = Shop(home)
    assert len(shop.entries()) == count
    shop.close()


def test_two_at_once_are_told_in_one_sentence(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tracker.store.log.WAIT_SECONDS", 0.01)
    shop = Shop(home)
    refused = kerfcard("backup")
    assert refused.exit_code == 1
    assert "open in another window or command" in refused.stderr
    shop.close()
