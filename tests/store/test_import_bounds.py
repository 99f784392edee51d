"""The limits of an untrusted file: nothing under this tablet's name, nothing that doesn't exist, no path, no flood. Its
changes are shown before it is taken in, and a backup is made first."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from store.tablet import Clock, opened, tap

from tracker.cards.settings.take_in import take_in_card, take_in_lines
from tracker.cli.main import commands
from tracker.shop import Shop
from tracker.store.exchange_file import Wrong
from tracker.store.rows import Row, chain_link, row_of
from tracker.work.facts import ClockConfirmed, Done, Entry, Fact, Opened, Spoiled, Undone, Wait

AT = datetime(2026, 3, 2, 7, tzinfo=UTC)


def write(path: Path, rows: Sequence[Row]) -> Path:
    """Write an exported file of these rows, complete in every respect."""
    ends = {row.tablet: [row.count, row.chain] for row in rows}
    head = {"format": "kerfcard log", "version": 1, "entries": len(rows), "ends": ends}
    path.write_text("".join(json.dumps(line, ensure_ascii=False) + "\n" for line in (head, *rows)), "utf-8")
    return path


def rows_of(facts: Sequence[Fact], tablet: str = "bench", at: datetime = AT, before: Sequence[Row] = ()) -> list[Row]:
    rows = list(before)
    for number, fact in enumerate(facts):
        count = len(rows) + 1
        seen = {tablet: count - 1} if count > 1 else {}
        entry = Entry(tablet, count, seen, at + timedelta(minutes=number), fact)
        rows.append(row_of(entry, rows[-1].chain if rows else ""))
    return rows


def changed(row: Row, **columns: str) -> Row:
    """The row with another content, correctly chained."""
    other = row._replace(**columns)
    return other._replace(chain=chain_link("", *other[:6]))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = opened(tmp_path / "home")
    for _ in range(3):
        assert tap(shop) == ""
    return shop


def refused(shop: Shop, file: Path) -> str:
    before, backups = shop.entries(), shop.backups()
    taken = shop.import_from(file)
    assert taken.new == ()
    assert (shop.entries(), shop.backups()) == (before, backups)
    return " / ".join(wrong.what for wrong in taken.problems)


def test_nothing_sorts_last_for_ever(shop: Shop, tmp_path: Path) -> None:
    (row,) = rows_of([Done("planter#1", "side:1", "cut")])
    for seen in ({"x": 10**9}, {shop.tablet: 10**6}, {shop.tablet: len(shop.entries()) + 1}):
        file = write(tmp_path / "f.jsonl", [changed(row, seen=json.dumps(seen))])
        assert "neither in the file nor here" in refused(shop, file)
    file = write(tmp_path / "f.jsonl", [changed(row, seen=json.dumps({shop.tablet: len(shop.entries())}))])
    assert shop.import_from(file).problems == ()
    assert tap(shop) == ""
    assert max(shop.entries(), key=lambda entry: entry.rank) == shop.entries()[-1]
    shop.close()


def test_nobody_else_writes_under_this_tablets_name(shop: Shop, tmp_path: Path) -> None:
    mine = [row for row in shop._log.rows() if row.tablet == shop.tablet]
    forged = rows_of([Done("planter#1", "side:1", "sand 120")], shop.tablet, before=mine)
    assert "claims to be of this tablet" in refused(shop, write(tmp_path / "f.jsonl", forged))
    assert shop.import_from(write(tmp_path / "f.jsonl", mine)).problems == ()  # its own facts may come back
    shop.close()


@pytest.mark.parametrize("name", ["../x.toml", "/etc/passwd", "a/b.toml", "..\\x.toml", "C:x.toml", "..", "a\0b"])
def test_a_build_files_name_leads_out_of_no_folder(shop: Shop, tmp_path: Path, name: str) -> None:
    file = write(tmp_path / "f.jsonl", rows_of([Opened("planter#1", "Planter", name)]))
    assert "no file name" in refused(shop, file)
    shop.close()


CROWDS: dict[str, list[Fact]] = {
    "builds with a clock": [
        Done(f"b{number}#1", "a:1", "clamp", wait=Wait("clamp", 60, f"boot {number}", 1.0)) for number in range(2001)
    ],
    "a clock was right": [ClockConfirmed(f"boot {number}", 1.0) for number in range(2001)],
    "builds": [Opened(f"b{number}#1", "B", "b.toml") for number in range(50_000)],
}


@pytest.mark.parametrize("crowd", CROWDS)
def test_a_flood_is_refused_before_it_drowns_the_tablet(shop: Shop, tmp_path: Path, crowd: str) -> None:
    assert crowd in refused(shop, write(tmp_path / "f.jsonl", rows_of(CROWDS[crowd])))
    shop.close()


def test_a_pipe_is_not_waited_for(shop: Shop, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jsonl")
    assert shop.import_from(tmp_path / "pipe.jsonl").problems == (Wrong(0, "this is no file"),)
    shop.close()


@pytest.mark.parametrize("year", [1970, 1980, 1999, 2000, 2019])
def test_facts_of_a_tablet_whose_clock_had_lost_the_date_are_taken_in_as_they_are(tmp_path: Path, year: int) -> None:
    clock = Clock()
    clock.now = clock.now.__class__(datetime(year, 1, 1, 0, 3, tzinfo=UTC), "boot 1", 180.0)
    old = opened(tmp_path / "old", clock)
    for _ in range(3):
        tap(old)
    old.export_to(tmp_path / "old.jsonl")
    told = old.entries()
    old.close()
    shop = opened(tmp_path / "home")
    offer = shop.look_into(tmp_path / "old.jsonl")
    assert offer.problems == ()
    lines = "\n".join(take_in_lines(take_in_card(shop.state, shop.state_with(offer), offer.new, shop.tablet)))
    assert "can't be right: its clock had lost the date" in lines
    assert shop.take_in_offer(offer).new == told
    shop.close()


# -- what it would change, before it does ------------------------------------------------------------------------------


def undoing(shop: Shop) -> list[Row]:
    """A record that undoes the last entry made here, adds one, and marks a piece as spoiled."""
    last = shop.entries()[-1]
    assert isinstance(last.fact, Done)
    run = last.fact.run
    return rows_of([Undone(*last.id), Done(run, "cleat:1", "cut"), Spoiled(run, "side:2", "split")])


def test_what_would_be_taken_back_is_said_first_and_a_backup_is_made(shop: Shop, tmp_path: Path) -> None:
    last = shop.entries()[-1]
    before = shop.entries()
    offer = shop.look_into(write(tmp_path / "f.jsonl", undoing(shop)))
    card = take_in_card(shop.state, shop.state_with(offer), offer.new, shop.tablet)
    assert card.undoes
    lines = list(take_in_lines(card))
    assert lines[:2] == ["3 new facts.", "What it changes here:"]
    assert isinstance(last.fact, Done)
    name = f"{last.fact.item.replace(':', ' ')} {last.fact.step}"
    assert any("would no longer be done" in line and name in line for line in lines)
    assert "  Takes back 1 mark: 1 made on this tablet" in lines
    assert any("spoiled on another tablet" in line for line in lines)
    assert shop.entries() == before  # looking changes nothing
    assert shop.backups() == ()
    assert len(shop.take_in_offer(offer).new) == 3
    assert [backup.why for backup in shop.backups()] == ["import"]
    shop.restore(shop.backups()[0].path)
    assert shop.entries() == before
    shop.close()


def test_a_record_that_only_adds_says_so(shop: Shop, tmp_path: Path) -> None:
    assert shop.run is not None
    offer = shop.look_into(write(tmp_path / "f.jsonl", rows_of([Done(shop.run.name, "cleat:2", "cut")])))
    card = take_in_card(shop.state, shop.state_with(offer), offer.new, shop.tablet)
    assert not card.undoes
    assert card.rows[0].title == "What it adds"
    again = take_in_card(shop.state, shop.state, (), shop.tablet)
    assert list(take_in_lines(again)) == ["Everything in this file is known here already."]
    shop.close()


def test_the_command_takes_back_nothing_unasked(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = write(tmp_path / "f.jsonl", undoing(shop))
    count = len(shop.entries())
    shop.close()
    monkeypatch.setenv("KERFCARD_HOME", str(tmp_path / "home"))
    asked = CliRunner().invoke(commands, ["import", str(file)])
    assert asked.exit_code == 1
    assert "would no longer be done" in asked.stderr
    assert "Add --yes" in asked.stderr
    assert asked.stdout == ""
    done = CliRunner().invoke(commands, ["import", "--yes", str(file)])
    assert (done.exit_code, done.stdout) == (0, f"{file}: 3 facts that were new.\n")
    again = Shop(tmp_path / "home", Clock())
    assert len(again.entries()) == count + 3
    again.close()


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs a terminal")
@pytest.mark.parametrize("answer", ["y", "n"])
def test_at_a_terminal_it_asks(shop: Shop, tmp_path: Path, answer: str) -> None:
    import subprocess
    import sys

    file = write(tmp_path / "f.jsonl", undoing(shop))
    count = len(shop.entries())
    shop.close()
    ours, theirs = os.openpty()
    command = [sys.executable, "-m", "tracker", "import", str(file)]
    run = subprocess.Popen(command, stdin=theirs, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                           env={**os.environ, "KERFCARD_HOME": str(tmp_path / "home")})  # fmt: skip
    os.write(ours, f"{answer}\n".encode())
    _, said = run.communicate(timeout=60)
    assert "Take it in?" in said
    assert run.returncode == (0 if answer == "y" else 1)
    again = Shop(tmp_path / "home", Clock())
    assert len(again.entries()) == count + (3 if answer == "y" else 0)
    again.close()
