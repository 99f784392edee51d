"""What is joined from damaged rows, as a table in a short notation.

Rows of one tablet come from several sources, with `|` between them; the first is the record itself. `4` is row 4; `4'`
is row 4 of another history, which left the first one after row 3. The damage: `d` its data were changed, `c`
its chain, `s` what it had seen, `t` its time, `u` it can't be read, `k` its data aren't as we write them. In the
result `<4-6>` is a row for lost ones, `<4-6=d>` one of which the last could be read, though not proven, with its
damage. Then: how many are kept, which are reported as lost, and where other histories begin and end.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest

from tracker.store.recovery import rejoin_rows
from tracker.store.rows import LOST, Chains, Row, chain_after, entry_of, first_lost, row_of
from tracker.work.facts import Done, Entry

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)


def history(mark: str, before: tuple[Row, ...] = ()) -> tuple[Row, ...]:
    rows = list(before)
    for count in range(len(rows) + 1, 13):
        seen = {"saw": count - 1} if count > 1 else {}
        entry = Entry("saw", count, seen, NOW, Done("frame#1", f"rail:{count}{mark} ½", "cut"))
        rows.append(row_of(entry, rows[-1].chain if rows else ""))
    return tuple(rows)


OURS = history("")
THEIRS = history("'", OURS[:3])
DAMAGE = {
    "": {}, "c": {"chain": "0" * 64}, "s": {"seen": '{"saw": 99}'}, "u": {"data": "rust"}, "t": {"at": "noon"},
}  # fmt: skip


def damaged(row: Row, how: str) -> Row:
    if how == "d":
        return row._replace(data=row.data.replace("rail", "hail"))
    if how == "k":
        return row._replace(data=row.data.replace(": ", ":"))
    return row._replace(**DAMAGE[how])


def rows(words: str) -> list[Row]:
    found = []
    for word in words.split():
        first, last, mark, how = re.fullmatch(r"(\d+)(?:-(\d+))?('?)([a-z]?)", word).groups()  # type: ignore[union-attr]
        for count in range(int(first), int(last or first) + 1):
            found.append(damaged((THEIRS if mark else OURS)[count - 1], how))
    return found


def _known(row: Row) -> str:
    """The word of a row without its chain."""
    for mark, each in (("", OURS), ("'", THEIRS if row.count > 3 else ())):
        for how in ("", "d", "s", "u", "k", "t"):
            if row.count <= len(each) and damaged(each[row.count - 1], how)[:6] == row[:6]:
                return f"{mark}{how}"
    raise AssertionError(row)


def said(kept: list[Row]) -> Iterator[str]:
    for row in kept:
        if row.kind != LOST:
            yield f"{row.count}{_known(row)}"
            continue
        data = json.loads(row.data)
        last = ""
        if "row" in data:
            seen, at, kind, words = data["row"]
            last = "=" + (_known(Row(row.tablet, row.count, seen, at, kind, words, "")) or "whole")
        yield f"<{first_lost(row)}-{row.count}{last}>"


def result(sources: str, end: int = 0) -> str:
    """`end`: the last row that the record is known to have had."""
    ends = {"saw": (end, OURS[end - 1].chain)} if end else None
    kept, tablets = rejoin_rows([rows(each) for each in sources.split("|")], NOW, ends=ends)
    assert list(Chains().follow(kept)) == kept, "what is joined is a sound log"
    assert all("½" in row.data for row in kept if "item" in row.data), "written as we write rows"
    assert [entry_of(row).count for row in kept] == [row.count for row in kept]
    again, _ = rejoin_rows([kept], NOW, ends=ends)
    assert again == kept, "joining it once more changes nothing"
    if not tablets:
        assert kept == []
        return "nothing"
    (saw,) = tablets
    assert saw.lost_count == sum(last - first + 1 for first, last in saw.lost)
    assert [row.count for row in saw.unproven] == [row.count for row in kept if '"row": [' in row.data]
    lost = ",".join(f"{first}-{last}" for first, last in saw.lost if first <= last) or "none"
    forks = "".join(f"; another {fork.first}-{fork.rows[-1].count}" for fork in saw.forks)
    return f"{' '.join(said(kept))}; kept {saw.kept}; lost {lost}{forks}"


TABLE = [
    ("1-6", "1 2 3 4 5 6; kept 6; lost none"),
    ("6 5 4 3 2 1", "1 2 3 4 5 6; kept 6; lost none"),
    ("1-3 5-6", "1 2 3 <4-5=whole> 6; kept 5; lost 4-4"),
    ("1-3 6 7", "1 2 3 <4-6=whole> 7; kept 5; lost 4-5"),
    ("1-3 6", "1 2 3 <4-6=whole>; kept 4; lost 4-5"),
    ("1 3", "1 <2-3=whole>; kept 2; lost 2-2"),
    ("2 3", "<1-2=whole> 3; kept 2; lost 1-1"),
    ("3", "<1-3=whole>; kept 1; lost 1-2"),
    ("1-3 4d 5 6", "1 2 3 <4-4> 5 6; kept 5; lost 4-4"),
    ("1-3 4d", "1 2 3; kept 3; lost 4-4"),
    ("1-3 4d 5d 6 7", "1 2 3 <4-5=d> 6 7; kept 6; lost 4-4"),
    ("1-3 4c 5 6", "1 2 3 4 5 6; kept 6; lost none"),
    ("1-3 4c", "1 2 3; kept 3; lost 4-4"),
    ("1-3 4c 5c 6", "1 2 3 <4-5=whole> <6-6=whole>; kept 5; lost 4-4"),
    ("1-3 4s 5 6", "1 2 3 <4-4> 5 6; kept 5; lost 4-4"),
    ("1-3 4u 5 6", "1 2 3 <4-4> 5 6; kept 5; lost 4-4"),
    ("1-3 4k 5 6", "1 2 3 <4-4> 5 6; kept 5; lost 4-4"),
    ("1d 2 3", "<1-1> 2 3; kept 2; lost 1-1"),
    ("1c 2 3", "1 2 3; kept 3; lost none"),
    ("1s 2", "<1-1> 2; kept 1; lost 1-1"),
    ("1u 2 3", "<1-1> 2 3; kept 2; lost 1-1"),
    ("1-3 5d 6", "1 2 3 <4-5=d> 6; kept 5; lost 4-4"),
    ("1-3 5c 6", "1 2 3 <4-5=whole> <6-6=whole>; kept 5; lost 4-4"),
    ("1-3 5s 6 7", "1 2 3 <4-5> 6 7; kept 5; lost 4-5"),
    ("1-3 5u 6 7", "1 2 3 <4-5> 6 7; kept 5; lost 4-5"),
    ("1-3 5k 6 7", "1 2 3 <4-5> 6 7; kept 5; lost 4-5"),
    ("1-3 5d", "1 2 3 <4-5=d>; kept 4; lost 4-4"),
    ("1-3 5u", "1 2 3; kept 3; lost 4-5"),
    ("1-3 5s", "1 2 3; kept 3; lost none"),
    ("1-3 5 6d", "1 2 3 <4-5=whole> <6-6=d>; kept 5; lost 4-4"),
    ("1-3 5d 6d 7d", "1 2 3 <4-5=d> <6-6=d> <7-7=d>; kept 6; lost 4-4"),
    ("1-3 5c 6c 7c", "1 2 3 <4-5=whole> <6-6=whole> <7-7=whole>; kept 6; lost 4-4"),
    ("1-3 5 7 9", "1 2 3 <4-5=whole> <6-7=whole> <8-9=whole>; kept 6; lost 4-4,6-6,8-8"),
    ("1-3 5 7d 9", "1 2 3 <4-5=whole> <6-7=d> <8-9=whole>; kept 6; lost 4-4,6-6,8-8"),
    ("1-3 4d 5|4", "1 2 3 4 5; kept 5; lost none"),
    ("1-3 4d 5|1-6", "1 2 3 4 5 6; kept 6; lost none"),
    ("1-3|1-6", "1 2 3 4 5 6; kept 6; lost none"),
    ("1-3 4d 5 6|1-3 4-6'", "1 2 3 <4-4> 5 6; kept 5; lost 4-4; another 4-6"),
    ("1-5|1-3 4-7'", "1 2 3 4 5; kept 5; lost none; another 4-7"),
    ("1-3|1-3 4-7'", "1 2 3 4' 5' 6' 7'; kept 7; lost none"),
    ("1-3 5 6|1-3 4-7'", "1 2 3 <4-5=whole> 6; kept 5; lost 4-4; another 4-7"),
    ("1-3 5|1-3 4'", "1 2 3 4'; kept 4; lost 5-5"),
    ("1-3 5d|4-6'", "1 2 3 4' 5' 6'; kept 6; lost none"),
    ("1-2 5 6|1-3 4-7'", "1 2 <3-5=whole> 6; kept 4; lost 3-4; another 3-7"),
    ("1-3 4d|4'", "1 2 3 4'; kept 4; lost none"),
    ("1-3|4' 5'", "1 2 3 4' 5'; kept 5; lost none"),
    ("1-3 4d 5d 6|4-6'", "1 2 3 <4-5=d> 6; kept 5; lost 4-4; another 4-6"),
    ("4 5 6|1-3 4'", "1 2 3 4 5 6; kept 6; lost none; another 4-4"),
    ("1-5 4' 5'", "1 2 3 4 5; kept 5; lost none; another 4-5"),
    ("1-3 4' 4 5 5'", "1 2 3 4' 5'; kept 5; lost none; another 4-5"),
    ("1-4 5'", "1 2 3 4; kept 4; lost 5-5"),
    ("1-3 4-6'|1-6", "1 2 3 4' 5' 6'; kept 6; lost none; another 4-6"),
    ("1-3 5-6' 5 6", "1 2 3 <4-5='> 6'; kept 5; lost 4-4"),
    ("1-3|4d|4", "1 2 3 4; kept 4; lost none"),
    ("1-3|4 5d|5 6", "1 2 3 4 5 6; kept 6; lost none"),
    ("1-3 5|1-3 4' 5' 6'|4", "1 2 3 4 5; kept 5; lost none; another 4-6"),
    ("1 2 3d 4d 5d 6 7", "1 2 <3-4=d> <5-5=d> 6 7; kept 6; lost 3-3"),
    ("1-3 4u 5u 6u 7 8", "1 2 3 <4-6> 7 8; kept 5; lost 4-6"),
    ("1-3 8 9|1-3 4-9'", "1 2 3 <4-8=whole> 9; kept 5; lost 4-7; another 4-9"),
    ("1-6 5d 6d", "1 2 3 4 5 6; kept 6; lost none"),
    ("1-6 6d|6' 7'", "1 2 3 4 5 6; kept 6; lost 7-7"),
    ("1-3 6-7'|1-5", "1 2 3 4 5 <6-6> 7'; kept 6; lost 6-6"),
    ("1-3 6-7|4-7'", "1 2 3 <4-6=whole> 7; kept 5; lost 4-5; another 4-7"),
    ("1-3 4d 5c|4-6'", "1 2 3 4' 5' 6'; kept 6; lost none"),
    ("1-2 4' 5'", "1 2 <3-4='> 5'; kept 4; lost 3-3"),
    ("1-3 5' 6'", "1 2 3 <4-5='> 6'; kept 5; lost 4-4"),
    ("1-3 4 6' 7'", "1 2 3 4 <5-6='> 7'; kept 6; lost 5-5"),
    ("1-4 6|1-3 4-8'", "1 2 3 4 <5-6=whole>; kept 5; lost 5-5; another 4-8"),
    ("1-4|5d 6|1-3 4-8'", "1 2 3 4 <5-5> 6; kept 5; lost 5-5; another 4-8"),
    ("2d 3d 4d", "<1-2=d> <3-3=d> <4-4=d>; kept 3; lost 1-1"),
    ("1-3 7d 8d 9", "1 2 3 <4-7=d> <8-8=d> 9; kept 6; lost 4-6"),
    ("1-3 7s 8 9", "1 2 3 <4-7> 8 9; kept 5; lost 4-7"),
    ("1-3 7s 8s", "1 2 3; kept 3; lost none"),
    ("1-3 6|5' 6'|5", "1 2 3 <4-5=whole> 6; kept 5; lost 4-4"),
    ("1-3 5t 6 7", "1 2 3 <4-5> 6 7; kept 5; lost 4-5"),
    ("1-3 5t", "1 2 3; kept 3; lost 4-5"),
    ("1-3 7u 8s 9d", "1 2 3 <4-9=d>; kept 4; lost 4-8"),
]


@pytest.mark.parametrize(("sources", "joined"), TABLE)
def test_what_is_joined(sources: str, joined: str) -> None:
    assert result(sources) == joined


BY_THE_MARK = [
    ("1-3", 5, "1 2 3 <4-5>; kept 3; lost 4-5"),
    ("1-3", 3, "1 2 3; kept 3; lost none"),
    ("1-3", 2, "1 2 3; kept 3; lost none"),
    ("1-5 ", 6, "1 2 3 4 5 <6-6>; kept 5; lost 6-6"),
    ("1-3 5", 7, "1 2 3 <4-5=whole> <6-7>; kept 4; lost 4-4,6-7"),
    ("", 4, "<1-4>; kept 0; lost 1-4"),
    ("1-3 4d", 4, "1 2 3 <4-4>; kept 3; lost 4-4"),
    ("1-3 4d", 5, "1 2 3 <4-5>; kept 3; lost 4-5"),
    ("1-3 5d", 5, "1 2 3 <4-5=d>; kept 4; lost 4-4"),
    ("1-3 4c 5c", 6, "1 2 3 <4-5=whole> <6-6>; kept 4; lost 4-4,6-6"),
    ("1-3 4-6'", 6, "1 2 3 4' 5' 6'; kept 6; lost none"),
    ("1-3|1-3 4-6'", 6, "1 2 3 4' 5' 6'; kept 6; lost none"),
]


@pytest.mark.parametrize(("sources", "end", "joined"), BY_THE_MARK)
def test_what_is_joined_where_the_last_row_is_known(sources: str, end: int, joined: str) -> None:
    assert result(sources, end) == joined


@pytest.mark.parametrize("chain", [OURS[4].chain, ""])
def test_the_rows_that_the_mark_knew_of_go_on_with_its_chain(chain: str) -> None:
    kept, _ = rejoin_rows([rows("1-3")], NOW, ends={"saw": (5, chain)})
    assert (chain_after(kept[-1]), kept[-1].at) == (chain, NOW.isoformat())
    assert json.loads(kept[-1].seen) == {"saw": 3}
    found, (saw,) = rejoin_rows([kept, rows("6")], NOW)
    assert [row.count for row in found] == ([1, 2, 3, 5, 6] if chain else [1, 2, 3, 5])
    assert saw.lost == (((4, 5),) if chain else ((4, 5), (6, 6))), "without the chain nothing proves it"


def test_two_tablets_are_joined_each_by_itself() -> None:
    other = [row._replace(tablet="bench") for row in rows("1 2")]
    kept, tablets = rejoin_rows([[*other, *rows("2 1")]], NOW)
    assert [(each.tablet, each.kept) for each in tablets] == [("saw", 2)], "under another name nothing fits"
    assert kept == rows("1 2")
