"""An exported file at its limits: as much as is allowed is read, one more is refused and says where."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from store.made_rows import AT, entry, rows_of, written

from tracker.store import backups, exchange_file, files, log, reserve
from tracker.store.exchange import export_name
from tracker.store.exchange_file import Wrong, read_file
from tracker.store.rows import Row, chain_link
from tracker.work.facts import Done, Unknown

PAGE = Path(__file__).parents[2] / ".docs" / "nothing_lost.md"
NO_ENTRY = "this line is no entry, or it isn't whole"
GOOD = rows_of([entry(number) for number in (1, 2, 3)])


def read(path: Path, known: dict[str, int] | None = None) -> tuple[int, tuple[Wrong, ...]]:
    rows, problems = read_file(path, known or {}, "saw")
    return len(rows), problems


def test_the_limits_are_those_that_the_page_promises() -> None:
    words = PAGE.read_text("utf-8")
    most = exchange_file.MOST_BYTES / 2**20, exchange_file.MOST_ENTRIES, exchange_file.MOST_LINE / 2**20
    assert "exported record has at most {:g} MB, {:,} facts and {:g} MB a line".format(*most) in words
    assert f"a reserve of {reserve.BYTES / 2**20:g} MB is released" in words
    assert "the second process waits two seconds" in words
    assert log.WAIT_SECONDS == 2
    assert "fourteen\nare kept" in words
    assert backups.KEPT == 14
    modes = f"(mode {files.OUR_FOLDER:o}, files {files.OURS_ALONE:o})"
    assert modes in words


def long_row(length: int) -> list[Row]:
    """A row whose line has this many bytes."""

    def of(words: int) -> list[Row]:
        texts = ["x" * 19_500] * 53 + ["y" * words]
        return rows_of([entry(1, fact=Unknown("told", {"t": texts}))])

    own = len(json.dumps(of(0)[0])) + 1
    return of(length - own)


def test_a_line_of_a_megabyte_is_read_and_none_longer(tmp_path: Path) -> None:
    assert read(written(tmp_path / "log", long_row(2**20))) == (1, ())
    assert read(written(tmp_path / "log", long_row(2**20 + 1))) == (0, (Wrong(2, NO_ENTRY),))


def test_a_file_of_as_many_entries_as_may_be_and_one_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = written(tmp_path / "log", GOOD)
    monkeypatch.setattr(exchange_file, "MOST_ENTRIES", 3)
    assert read(file) == (3, ())
    monkeypatch.setattr(exchange_file, "MOST_ENTRIES", 2)
    assert read(file) == (0, (Wrong(4, "the file is larger than 128 MB or 2 entries"),))


def test_a_file_of_as_many_bytes_as_may_be_and_one_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = written(tmp_path / "log", GOOD)
    first = len(file.read_bytes().splitlines(keepends=True)[0])
    monkeypatch.setattr(exchange_file, "MOST_BYTES", file.stat().st_size - first)
    assert read(file) == (3, ())
    monkeypatch.setattr(exchange_file, "MOST_BYTES", file.stat().st_size - first - 1)
    assert read(file) == (0, (Wrong(4, "the file is larger than 0 MB or 500,000 entries"),))


@pytest.mark.parametrize(
    ("at", "value", "sound"),
    [
        (0, "", False), (0, "a" * 32, True), (0, "a" * 33, False), (0, "aZ_-9", True), (0, "b ench", False),
        (0, "bänch", False), (0, 7, False), (1, 10**9, True), (1, 10**9 + 1, False), (1, 0, False), (1, -1, False),
        (1, "1", False), (1, 1.0, False), (1, True, False), (2, {}, False), (3, None, False), (4, 1, False),
        (5, {}, False), (6, "0" * 64, True), (6, "0" * 63, False), (6, "0" * 65, False), (6, "A" * 64, False),
        (6, 1, False),
    ],
)  # fmt: skip
def test_each_column_of_a_line_is_held_to_its_kind(at: int, value: Any, sound: bool, tmp_path: Path) -> None:
    """A sound line is then held to the chain: that it is refused there shows that it came so far."""
    columns: list[Any] = list(GOOD[0])
    columns[at] = value
    _, (problem,) = read(written(tmp_path / "log", [Row._make(columns)], ends={}))
    assert problem.line == 2
    assert (problem.what != NO_ENTRY) is sound


@pytest.mark.parametrize(
    "change", [lambda row: [*row, ""], lambda row: list(row)[:6], lambda row: dict(enumerate(row))]
)
def test_a_line_of_more_or_fewer_columns_is_none(change: Callable[[Row], Any], tmp_path: Path) -> None:
    def put(lines: list[str]) -> None:
        lines[1] = json.dumps(change(GOOD[0])) + "\n"

    assert read(written(tmp_path / "log", GOOD, put)) == (0, (Wrong(2, NO_ENTRY),))


def test_numbers_that_are_none_are_refused(tmp_path: Path) -> None:
    for word in ("NaN", "Infinity", "-Infinity"):
        row = GOOD[0]._replace(data=f'{{"x": {word}}}')
        row = row._replace(chain=chain_link("", *row[:6]))
        _, (problem,) = read(written(tmp_path / "log", [row]))
        assert problem == Wrong(2, "entry 1 of tablet bench: a number or a text in it is too large")


@pytest.mark.parametrize("entries", [19, 20, 21, 30])
def test_no_more_than_twenty_problems_are_listed(entries: int, tmp_path: Path) -> None:
    rows = rows_of([entry(number, {"desk": 5}) for number in range(1, entries + 1)])
    _, problems = read(written(tmp_path / "log", rows))
    assert [each.line for each in problems] == list(range(2, 2 + min(entries, 20)))
    assert problems[0].what == (
        "entry 1 of tablet bench has seen entry 5 of tablet desk, which is neither in the file nor here: take in a "
        "record of that tablet first"
    )


def test_two_problems_of_one_entry_are_both_named(tmp_path: Path) -> None:
    rows = rows_of([entry(1, {"desk": 5, "lathe": 2}, tablet="saw")])
    _, problems = read_file(written(tmp_path / "log", rows), {"lathe": 1}, "saw")
    assert [problem.line for problem in problems] == [2, 2, 2]


def test_too_much_work_is_a_problem_of_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exchange_file, "MOST_RUNS", 1)
    rows = rows_of([entry(1), entry(2, fact=Done("b#1", "rail:1", "cut"))])
    assert read(written(tmp_path / "log", rows)) == (0, (Wrong(0, "it has 2 builds; Kerfcard takes in at most 1"),))


def test_what_cannot_be_read_is_said(tmp_path: Path) -> None:
    assert read(tmp_path) == (0, (Wrong(0, "this is no file"),))
    assert read(tmp_path / "none") == (0, (Wrong(0, "the file can't be read: No such file or directory"),))
    os.mkfifo(tmp_path / "pipe")
    assert read(tmp_path / "pipe") == (0, (Wrong(0, "this is no file"),))


def test_the_name_of_an_exported_file_has_its_time_to_the_second() -> None:
    assert export_name(AT) == "kerfcard-20260302-070000.jsonl"
