"""What an exported file can't claim even where its chain is whole: each rule of `trouble_of` at its very limit."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from tracker.store import reserve
from tracker.store.exchange_file import MOST_DEPTH, MOST_NUMBER, MOST_TEXT, trouble_of
from tracker.store.rows import LOST, Row
from tracker.work.facts import Done, Entry

AT = datetime(2026, 3, 2, 7, tzinfo=UTC)
CHAIN = "0" * 64


def entry_at(at: datetime = AT) -> Entry:
    return replace(Entry("bench", 5, {"bench": 4}, AT, Done("a#1", "rail:1", "cut")), at=at)


def row(data: Any = None, kind: str = "done", seen: Any = None, count: int = 5) -> Row:
    known = {"bench": 4, "saw": 7} if seen is None else seen
    return Row("bench", count, json.dumps(known), AT.isoformat(), kind, json.dumps(data or {}), CHAIN)


def deep(levels: int) -> Any:
    """A number within so many lists and objects."""
    value: Any = 1
    for level in range(levels):
        value = {"in": value} if (levels - level) % 2 else [value]
    return value


SOUND = {
    "an ordinary entry": row({"item": "rail:1"}),
    "the first entry of a tablet has seen none": row(seen={}, count=1),
    "the largest number": row({"at": MOST_NUMBER, "less": -MOST_NUMBER}),
    "the longest text": row({"t": "x" * MOST_TEXT, "y" * MOST_TEXT: None}),
    "as deep as may be": row(deep(MOST_DEPTH)),
    "true, false and nothing": row({"a": True, "b": False, "c": None}),
    "the build's file": row({"file": "stool.toml"}, "opened"),
    "no file": row({"file": ""}, "opened"),
    "a gap that was seen to its beginning": row({"from": 4, "chain": CHAIN}, LOST, {"bench": 3}),
    "a gap whose last row could be read": row(
        {"from": 4, "chain": CHAIN, "row": ['{"bench": 4}', AT.isoformat(), "done", "{}"]}, LOST, {"bench": 3}
    ),
}
IMPOSSIBLE = {
    "what it had seen makes no sense": [
        row(seen=[]), row(seen={"bench": -1}), row(seen={"bench": 4, "saw": True}), row(seen={"bench": 4.0}),
        row(seen={"bench": 4, "saw": MOST_NUMBER + 1}),
    ],
    "it had not seen the entry before it": [
        row(seen={}), row(seen={"bench": 5}), row(seen={"bench": 3}), row({"from": 4}, LOST, {"bench": 4}),
        row({"from": 4}, "done", {"bench": 3}),
    ],
    "a number or a text in it is too large": [
        row([1]), row({"n": MOST_NUMBER + 1}), row({"n": -MOST_NUMBER - 1}), row({"t": "x" * (MOST_TEXT + 1)}),
        row({"x" * (MOST_TEXT + 1): 1}), row(deep(MOST_DEPTH + 1)), row({"list": [1, {"n": 2 * MOST_NUMBER}]}),
    ],
    "the name of its build file is no file name": [
        row({"file": name}, "opened") for name in ("../a.toml", "/a", "a\\b", "..", ".", "a\0", "c:a", 7)
    ],
    "what it stands for can't be read": [
        row({"from": 4, "row": words}, LOST, {"bench": 3})
        for words in ("no", ["{}", "", "done"], ["{}", "", "done", 1])
    ],
    "it stands for another gap": [row({"from": 4, "row": ["{}", "", LOST, "{}"]}, LOST, {"bench": 3})],
}  # fmt: skip


@pytest.mark.parametrize("name", SOUND)
def test_what_can_be_is_taken(name: str) -> None:
    assert trouble_of(SOUND[name], entry_at()) == ""


@pytest.mark.parametrize(("reason", "claim"), [(why, each) for why, rows in IMPOSSIBLE.items() for each in rows])
def test_what_cannot_be_is_named(reason: str, claim: Row) -> None:
    assert trouble_of(claim, entry_at()) == reason


def test_the_last_row_of_a_gap_is_held_to_the_same_rules() -> None:
    inside = ['{"bench": 2}', AT.isoformat(), "done", "{}"]
    assert trouble_of(row({"from": 4, "row": inside}, LOST, {"bench": 3}), entry_at()) == (
        "it had not seen the entry before it"
    )


@pytest.mark.parametrize(
    ("at", "sound"),
    [
        (datetime(1969, 12, 31, 23, tzinfo=UTC), False),
        (datetime(1970, 1, 1, tzinfo=UTC), True),
        (datetime(2199, 12, 31, tzinfo=UTC), True),
        (datetime(2200, 1, 1, tzinfo=UTC), False),
        (datetime(2026, 3, 2, 7), False),  # a time without its zone could be any
    ],
)
def test_times_are_of_this_age_and_say_their_zone(at: datetime, sound: bool) -> None:
    assert trouble_of(row(), entry_at(at)) == ("" if sound else "its time makes no sense")


@pytest.mark.parametrize(("free", "made"), [(reserve.ROOM * 4096, True), (reserve.ROOM * 4096 - 1, False)])
def test_a_reserve_is_made_only_where_eight_times_its_size_is_free(
    free: int, made: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("shutil.disk_usage", lambda folder: _Usage(free))
    assert reserve.make(tmp_path, 4096) is made
    assert (tmp_path / reserve.NAME).exists() is made
    assert reserve.give_back(tmp_path) is made


class _Usage:
    def __init__(self, free: int) -> None:
        self.free = free
