"""A row as stored: its chain is that of `json.dumps` and SHA-256, and what a row can't be is refused in words."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.store.errors import DamagedLogError
from tracker.store.rows import (
    LOST,
    Chains,
    Row,
    chain_after,
    chain_link,
    entry_of,
    first_lost,
    row_of,
    seen_of_others,
)
from tracker.work.facts import Done, Entry, Unknown

AT = datetime(2026, 3, 2, 8, tzinfo=UTC)
TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=12)


def chained(rows: list[Row], kind: str = "done", data: str = "{}", count: int | None = None, **columns: str) -> Row:
    """The next row after others of the tablet `saw`."""
    before = chain_after(rows[-1]) if rows else ""
    number = count if count is not None else (rows[-1].count + 1 if rows else 1)
    row = Row("saw", number, "{}", AT.isoformat(), kind, data, "")._replace(**columns)
    return row._replace(chain=chain_link(before, *row[:6]))


def lost(rows: list[Row], first: object, count: int, chain: str = "f" * 64) -> Row:
    return chained(rows, LOST, json.dumps({"from": first, "chain": chain}), count)


def told(rows: list[Row]) -> str:
    with pytest.raises(DamagedLogError) as refused:
        list(Chains().follow(rows))
    return str(refused.value)


@settings(max_examples=50)
@given(TEXT, TEXT, st.integers(0, 10**9), TEXT, TEXT, TEXT, TEXT)
def test_a_chain_is_the_hash_of_a_json_array(
    before: str, tablet: str, count: int, seen: str, at: str, kind: str, data: str
) -> None:
    words = json.dumps([before, tablet, count, seen, at, kind, data], ensure_ascii=False)
    assert chain_link(before, tablet, count, seen, at, kind, data) == hashlib.sha256(words.encode()).hexdigest()


def test_rows_follow_one_another_for_each_tablet() -> None:
    mine = [chained([])]
    mine.append(chained(mine))
    other = chained([], tablet="bench")
    chains = Chains()
    assert list(chains.follow([mine[0], other, mine[1]])) == [mine[0], other, mine[1]]
    assert chains.tails == {"saw": (2, mine[1].chain), "bench": (1, other.chain)}
    assert told([mine[1]]) == "entry 1 of tablet saw is missing"
    assert told([mine[0], mine[0]]) == "entry 2 of tablet saw is missing"
    assert told([mine[0], other, mine[1]._replace(at="x")]) == (
        "entry 2 of tablet saw was changed after it was written"
    )
    assert told([mine[0], other, chained(mine)]) == "entry 2 of tablet saw is missing"
    assert told([mine[0]._replace(data=7)]).startswith("an entry can't be read (")  # type: ignore[arg-type]
    assert told([mine[0]._replace(count="1")]) == "entry 1 of tablet saw is missing"  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("first", "count", "sound"),
    [(2, 2, True), (2, 5, True), (1, 5, False), (3, 5, False), (0, 5, False), ("2", 5, False), (None, 2, True)],
)
def test_a_row_for_lost_ones_begins_after_the_last_one(first: object, count: int, sound: bool) -> None:
    rows = [chained([])]
    rows.append(lost(rows, first, count))
    if not sound:
        assert told(rows) == "entry 2 of tablet saw is missing"
        return
    rows.append(chained(rows))
    assert list(Chains().follow(rows)) == rows
    assert rows[-1].count == count + 1
    other = [*rows[:2], chained([rows[0]._replace(count=count, chain=rows[1].chain)])]
    assert told(other) == f"entry {count + 1} of tablet saw was changed after it was written"


def test_only_rows_for_lost_ones_may_leave_some_out() -> None:
    rows = [chained([])]
    rows.append(chained(rows, data='{"from": 2, "chain": "a"}', count=4))
    assert told(rows) == "entry 2 of tablet saw is missing"


def test_what_a_row_for_lost_ones_says() -> None:
    row = lost([], 3, 7)
    assert (first_lost(row), chain_after(row)) == (3, "f" * 64)
    for data in ("no json", "[]", "7", "{}", '{"from": "3"}'):
        other = row._replace(data=data)
        assert (first_lost(other), chain_after(other)) == (7, "")
    plain = chained([])
    assert chain_after(plain) == plain.chain


@pytest.mark.parametrize(
    ("seen", "others"),
    [
        ("{}", {}),
        ('{"saw": 4}', {}),
        ('{"saw":4}', {}),
        ('{"bench": 2, "saw": 4}', {"bench": 2}),
        ('{"bench": 2}', {"bench": 2}),
        ('{"saw": 3}', {}),
    ],
)
def test_what_had_been_seen_of_other_tablets(seen: str, others: dict[str, int]) -> None:
    assert seen_of_others(chained([], count=5, seen=seen)) == others


@pytest.mark.parametrize("seen", [{}, {"saw": 1}, {"saw": 1, "bench": 7}, {"saw": 2}, {"bench": 1}])
def test_an_entry_is_read_as_it_was_written(seen: dict[str, int]) -> None:
    entry = Entry("saw", 2, seen, AT, Done("a#1", "rail:1", "cut", anyway="Tested: ready – ¼″"))
    row = row_of(entry, "0" * 64)
    assert entry_of(row) == entry
    assert row.seen == json.dumps(seen, sort_keys=True)
    assert "¼″" in row.data, "people may look at the file"
    assert row.chain == chain_link("0" * 64, *row[:6])


@pytest.mark.parametrize(
    "columns",
    [{"data": "{} {}"}, {"data": "{} "}, {"data": ""}, {"data": "["}, {"at": "yesterday"}, {"seen": "x"},
     {"data": "[" * 100_000}],
)  # fmt: skip
def test_an_entry_that_makes_no_sense_is_named(columns: dict[str, str]) -> None:
    with pytest.raises(DamagedLogError) as refused:
        entry_of(chained([], kind="told")._replace(**columns))
    assert str(refused.value) == "entry 1 of tablet saw can't be read"


def test_the_last_of_lost_rows_is_read_from_within() -> None:
    inside = ['{"saw": 6, "bench": 1}', AT.isoformat(), "told", '{"a": 1}']
    row = chained([], LOST, json.dumps({"from": 3, "chain": "", "row": inside}), 7)
    assert entry_of(row) == Entry("saw", 7, {"saw": 6, "bench": 1}, AT, Unknown("told", {"a": 1}))
    bare = chained([], LOST, '{"from": 3, "chain": ""}', 7)
    assert entry_of(bare).fact == Unknown(LOST, {"from": 3, "chain": ""})
