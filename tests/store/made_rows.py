"""Entries of another tablet, their rows, and an exported file of them, for the tests of what comes from elsewhere."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from tracker.store.rows import Row, row_of
from tracker.work.facts import Done, Entry

AT = datetime(2026, 3, 2, 7, tzinfo=UTC)


def entry(number: int, seen: dict[str, int] | None = None, fact: Any = None, tablet: str = "bench") -> Entry:
    known = ({tablet: number - 1} if number > 1 else {}) | (seen or {})
    return Entry(tablet, number, known, AT + timedelta(minutes=number), fact or Done("a#1", f"rail:{number}", "cut"))


def rows_of(entries: Sequence[Entry]) -> list[Row]:
    rows: list[Row] = []
    for each in entries:
        before = next((row.chain for row in reversed(rows) if row.tablet == each.tablet), "")
        rows.append(row_of(each, before))
    return rows


def written(
    path: Path, rows: Sequence[Row], change: Callable[[list[str]], None] = lambda lines: None, **head: Any
) -> Path:
    ends = {row.tablet: [row.count, row.chain] for row in rows}
    first = {"format": "kerfcard log", "version": 1, "entries": len(rows), "ends": ends} | head
    lines = [json.dumps(line, ensure_ascii=False) + "\n" for line in (first, *rows)]
    change(lines)
    path.write_text("".join(lines), "utf-8")
    return path
