"""The record without a shop around it: when a backup is due, how many are kept, what replaces what."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from store.made_rows import entry, rows_of, written

from tracker.store import backups, files, reserve
from tracker.store.backups import Backup, backup_files, kept_backups, replaced_records
from tracker.store.errors import FULL, READ_ONLY, CannotWriteError
from tracker.store.exchange import Offer, Taken, look_into, take_in_export
from tracker.store.exchange_file import Wrong
from tracker.store.heartbeats import KEPT_BOOTS, Heartbeat, Heartbeats
from tracker.store.log import Log
from tracker.store.record import RESERVE_IN_USE, Record
from tracker.store.recovery import rejoin_rows
from tracker.store.rows import LOST, Row, row_of
from tracker.work.facts import Done, Entry, Noted

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    record = Record(tmp_path, NOON)
    yield record
    record.close()


def mark(record: Record, at: datetime = NOON) -> None:
    record.append("saw", at, [Noted("a#1", "rail:1", f"at {at}")])


def whys(record: Record) -> list[str]:
    return [each.why for each in record.backups()]


def tend(record: Record, at: datetime, finished: str = "") -> list[str]:
    record.tend(at, finished)
    record._wait()
    return whys(record)


# -- writing -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("error", "kept", "again"),
    [(CannotWriteError(READ_ONLY), True, False), (CannotWriteError(FULL, full=True), False, False),
     (CannotWriteError(FULL, full=True), True, True)],
)  # fmt: skip
def test_a_write_is_tried_again_only_where_the_reserve_makes_room(
    record: Record, monkeypatch: pytest.MonkeyPatch, error: CannotWriteError, kept: bool, again: bool
) -> None:
    assert not kept or reserve.make(record.folder, 4096)
    write, tried = record.log.append, []

    def refuses_once(*arguments: Any) -> list[Entry]:
        tried.append(arguments)
        if len(tried) == 1:
            raise error
        return write(*arguments)

    monkeypatch.setattr(record.log, "append", refuses_once)
    if again:
        mark(record)
    else:
        with pytest.raises(CannotWriteError) as refused:
            mark(record)
        assert refused.value is error
    assert (len(tried), record.log.seen) == ((2, {"saw": 1}) if again else (1, {}))
    assert record.warning == (RESERVE_IN_USE if again else "")
    assert (record.folder / reserve.NAME).exists() is (kept and not again)


# -- when a backup is made ---------------------------------------------------------------------------------------------


def test_one_backup_a_day_and_only_of_something_new(record: Record) -> None:
    assert tend(record, NOON) == [], "there is nothing yet"
    mark(record)
    assert tend(record, NOON) == ["day"]
    assert tend(record, NOON + DAY) == ["day"], "nothing is new"
    mark(record)
    assert tend(record, NOON + HOUR) == ["day"], "there is one of today"
    assert tend(record, NOON + DAY) == ["day", "day"]
    assert [each.made for each in record.backups()] == [NOON + DAY, NOON]
    assert [each.facts() for each in record.backups()] == [2, 1]


def test_closing_waits_for_the_backup_that_is_being_made(tmp_path: Path) -> None:
    record = Record(tmp_path, NOON)
    mark(record)
    record.tend(NOON)
    record.close()
    assert [each.facts() for each in record.backups()] == [1]
    again = Record(tmp_path, NOON)
    assert again.settings["backed up"] == '{"saw": 1}'
    again.close()


def test_a_finished_run_is_backed_up_once(record: Record) -> None:
    mark(record)
    assert tend(record, NOON, "a#1") == ["finished"]
    mark(record)
    assert tend(record, NOON, "a#1") == ["finished"], "and there is one of today"
    assert tend(record, NOON, "b#1") == ["finished", "finished"]
    assert tend(record, NOON, "c#1") == ["finished", "finished"], "nothing is new"
    assert record.settings["finished backup"] == "b#1"
    mark(record)
    assert tend(record, NOON + DAY) == ["day", "finished", "finished"]
    assert record.settings["finished backup"] == "b#1"


@pytest.mark.parametrize(("kept", "count"), [(None, 14), ("7", 7), ("1", 1), ("0", 1), ("-3", 1), ("x", 14), ("", 14)])
def test_how_many_backups_are_kept(record: Record, kept: str | None, count: int) -> None:
    if kept is not None:
        record.settings["backups kept"] = kept
    assert record.keep == count


def test_the_oldest_go_first(record: Record) -> None:
    record.settings["backups kept"] = "3"
    mark(record)
    for number in range(5):
        path = record.back_up(NOON + number * HOUR, f"w{number}")
        assert path.name == f"{number + 1:06}-20260302-{12 + number}0000-w{number}.db"
    assert whys(record) == ["w4", "w3", "w2"]
    assert backups.back_up(record.log, record.folder, NOON, "asked", 0).exists(), "at least the newest is kept"
    assert whys(record) == ["asked"]


def test_a_backup_that_cannot_be_made_is_said(record: Record) -> None:
    mark(record)
    (record.folder / "backups").write_text("in the way")
    record.tend(NOON)
    record._wait()
    assert record.warning.startswith("No backup could be made. The tablet's storage has failed.")
    with pytest.raises(CannotWriteError):
        record.back_up(NOON)
    (record.folder / "backups").unlink()
    assert tend(record, NOON) == ["day"]


def test_a_record_whose_file_was_taken_away_is_saved_once(record: Record) -> None:
    mark(record)
    (record.folder / "kerfcard.db").rename(record.folder / "away.db")
    assert tend(record, NOON) == ["guard"]
    assert [each.facts() for each in record.backups()] == [1]
    assert tend(record, NOON + DAY) == ["guard"]
    with pytest.raises(CannotWriteError, match="was removed or replaced"):
        mark(record)
    assert whys(record) == ["guard"]


def test_only_what_is_named_like_a_backup_is_listed(record: Record) -> None:
    folder = record.folder / "backups"
    folder.mkdir()
    for name in ("000009-20260302-120000-day.db", "000010-20260301-120000-asked.db", "x-20260302-120000-day.db",
                 "000011-yesterday-day.db", "notes.txt"):  # fmt: skip
        (folder / name).write_bytes(b"1234567")
    found = kept_backups(record.folder)
    assert [(each.why, each.made, each.size) for each in found] == [
        ("asked", NOON - DAY, 7), ("day", NOON, 7), ("day", NOON, 7),
    ]  # fmt: skip
    assert [path.name[:6] for path in backup_files(record.folder)] == ["000011", "000010", "000009", "x-2026"]
    assert found[0].facts() is None
    assert Backup(folder / "none", NOON, "day", 0).facts() is None


def test_records_that_were_replaced_are_listed_the_latest_first(record: Record) -> None:
    assert record.replaced() == ()
    mine = ("replaced-260303-0700", "replaced-260302-1205-2", "replaced-260302-1205")
    for name in (*mine, "replaced-x", "damaged-260302-1205"):
        (record.folder / name).mkdir()
        (record.folder / name / "kerfcard.db").write_bytes(b"12345")
    found = replaced_records(record.folder)
    assert [(each.path.parent.name, each.why, each.size) for each in found] == [(name, "replaced", 5) for name in mine]
    assert found[1].made == NOON + timedelta(minutes=5)


# -- one log for another -----------------------------------------------------------------------------------------------


def test_a_restored_backup_replaces_the_log_and_takes_later_backups_away(record: Record) -> None:
    mark(record)
    first = record.back_up(NOON)
    name = record.tablet
    record.settings["theme"] = "dark"
    mark(record)
    record.back_up(NOON + HOUR)
    aside = record.restore(first, NOON + 2 * HOUR)
    assert aside.name == "replaced-260302-1400"
    assert (record.log.seen, record.tablet == name) == ({"saw": 1}, False)
    assert [each.path for each in record.backups()] == [first], "the later one would bring back what was undone"
    assert len(list((aside / files.BACKUPS).iterdir())) == 1
    assert sorted(path.name for path in record.folder.glob("*.unfinished")) == []
    mark(record)
    assert record.log.seen == {"saw": 2}


def test_a_restore_that_fails_leaves_everything_as_it_was(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    mark(record)
    backup, name = record.back_up(NOON), record.tablet
    mark(record)

    def fails(*_: object) -> Path:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(files, "copy_aside", fails)
        with pytest.raises(CannotWriteError) as refused:
            record.restore(backup, NOON)
    assert (str(refused.value), refused.value.full) == (FULL, True)
    assert (record.log.seen, record.tablet, record.replaced()) == ({"saw": 2}, name, ())
    assert list(record.folder.glob("*unfinished*")) == []
    mark(record)


@pytest.mark.parametrize("renew", [True, False])
def test_a_log_goes_on_with_other_rows_under_its_name_or_another(record: Record, renew: bool) -> None:
    mark(record)
    record.settings["theme"] = "dark"
    record.heartbeats.beat("boot", 5.0, NOON)
    name, boots = record.tablet, record.heartbeats.boots
    rows = rows_of([entry(1), entry(2)])
    record.replace_rows(rows, NOON, renew)
    assert list(record.log.rows()) == rows
    assert (record.tablet == name) is not renew
    assert (record.settings["theme"], record.heartbeats.boots) == ("dark", boots)
    assert [each.why for each in record.replaced()] == ["replaced"]
    name = record.tablet
    record.renew_name()
    assert record.tablet != name


GOOD = rows_of([entry(number) for number in range(1, 8)])


def with_a_gap(record: Record) -> list[Row]:
    """Its rows 4 to 6 are lost."""
    kept, _ = rejoin_rows([GOOD[:3]], NOON, ends={"bench": (6, GOOD[5].chain)})
    kept = [*kept, GOOD[6]]
    record.replace_rows(kept, NOON, renew=False)
    return kept


def offer(record: Record, rows: list[Row]) -> Offer:
    return look_into(record.log, written(record.folder / "log.jsonl", rows), record.tablet)


def test_lost_rows_are_found_again_in_a_file_that_has_them(record: Record) -> None:
    kept = with_a_gap(record)
    assert [row.kind == LOST for row in kept] == [False, False, False, True, False]
    assert record.gaps() == [("bench", 4, 6)]
    assert (offer(record, GOOD[:3]).fills_gaps, offer(record, GOOD[:3]).new) == (False, ())
    assert offer(record, GOOD[:4]).fills_gaps
    assert offer(record, kept) == Offer(tuple(kept)), "the gap itself is nothing new"
    whole = offer(record, GOOD)
    assert [each.count for each in whole.new] == [4, 5, 6]
    taken = record.take_in_offer(whole, NOON + HOUR)
    assert ([each.count for each in taken.new], taken.found_again, taken.problems) == ([4, 5, 6], True, ())
    assert list(record.log.rows()) == GOOD
    assert (record.gaps(), whys(record)) == ([], ["import"])


def test_a_file_is_taken_in_after_a_backup_where_there_is_something_to_lose(record: Record) -> None:
    taken = record.take_in_offer(offer(record, GOOD[:2]), NOON)
    assert ([each.count for each in taken.new], taken.found_again, whys(record)) == ([1, 2], False, [])
    assert record.take_in_offer(offer(record, GOOD[:2]), NOON) == Taken()
    assert whys(record) == [], "nothing is new"
    assert [each.count for each in record.take_in_offer(offer(record, GOOD), NOON).new] == [3, 4, 5, 6, 7]
    assert whys(record) == ["import"]
    wrong = (Wrong(3, "x"),)
    assert record.take_in_offer(Offer(problems=wrong), NOON) == Taken(problems=wrong)


def test_another_history_under_the_same_name_is_refused_at_its_first_line(record: Record) -> None:
    record.take_in_offer(offer(record, GOOD[:4]), NOON)
    other = list(GOOD[:2])
    for count in (3, 4):
        fact = Done("a#1", f"stile:{count}", "cut")
        other.append(row_of(Entry("bench", count, {"bench": count - 1}, NOON, fact), other[-1].chain))
    said = "entry 3 of tablet bench is another one in this record: two tablets had one name"
    assert offer(record, other) == Offer(problems=(Wrong(4, said),))
    broken = take_in_export(record.log, [GOOD[5]])
    assert broken.problems == (Wrong(0, "the file doesn't go on from this record: entry 5 of tablet bench is missing"),)
    two = [*other, *rows_of([entry(1, tablet="desk"), entry(2, tablet="desk")])]
    assert len(offer(record, two).problems) == 1, "only the first of a tablet is named"
    out = record.folder / "out.jsonl"
    assert record.export_to(out) == 4
    assert out.stat().st_mode & 0o777 == 0o600
    out.chmod(0o644)
    assert record.export_to(out) == 4
    assert out.stat().st_mode & 0o777 == 0o644, "a file that was there keeps its rights"


# -- heartbeats --------------------------------------------------------------------------------------------------------


def test_the_first_and_the_last_beat_of_each_boot(record: Record) -> None:
    beats = record.heartbeats
    assert beats.beat("a", 1.0, NOON)
    assert beats.beat("b", 2.0, NOON)
    assert beats.beat("a", 3.0, NOON + HOUR)
    expected = (Heartbeat("b", 2.0, NOON, 2.0, NOON), Heartbeat("a", 1.0, NOON, 3.0, NOON + HOUR))
    assert beats.boots == expected
    assert Heartbeats(record.log.db).boots == expected
    other = Heartbeats(record.log.db)
    other.take_over([Heartbeat("a", 9.0, NOON, 9.0, NOON), Heartbeat("c", 4.0, NOON, 4.0, NOON)])
    assert [each.boot_id for each in Heartbeats(record.log.db).boots] == ["b", "a", "c"]
    assert Heartbeats(record.log.db).boots[1] == expected[1], "what is known here stays"


def test_the_oldest_boots_are_forgotten(record: Record) -> None:
    for number in range(KEPT_BOOTS + 2):
        record.heartbeats.beat(f"{number}", 1.0, NOON)
    names = [f"{number}" for number in range(2, KEPT_BOOTS + 2)]
    assert KEPT_BOOTS == 50
    assert [each.boot_id for each in record.heartbeats.boots] == names
    assert [each.boot_id for each in Heartbeats(record.log.db).boots] == names


@pytest.mark.parametrize(
    "change",
    ["last_boot = last_boot + 1", "first_boot = 'x'", "first_wall = '2026-03-02T12:00:00'", "last_wall = 'noon'",
     "boot_id = 'z'", "proof = ''", "boot_id = NULL"],
)  # fmt: skip
def test_a_beat_that_was_changed_is_none(record: Record, change: str) -> None:
    record.heartbeats.beat("a", 1.0, NOON)
    record.heartbeats.beat("b", 1.0, NOON)
    record.log.db.execute(f"UPDATE heartbeats SET {change} WHERE boot_id = 'a'")
    assert [each.boot_id for each in Heartbeats(record.log.db).boots] == ["b"]


def test_a_beat_that_cannot_be_written_is_said_and_forgotten(record: Record) -> None:
    record.log.db.execute("DROP TABLE heartbeats")
    assert not record.heartbeats.beat("a", 1.0, NOON)
    assert record.heartbeats.boots == ()
    assert Heartbeats(record.log.db).boots == ()


def test_settings_that_cannot_be_written_are_kept_for_now(record: Record) -> None:
    record.settings["theme"] = "dark"
    record.log.db.execute("DROP TABLE settings")
    record.settings["theme"] = "light"
    assert record.settings["theme"] == "light"
    del record.settings["theme"]
    assert "theme" not in record.settings
    assert len(record.settings) == len(list(record.settings)) > 0


def test_what_was_read_only_is_closed_and_all_is_on_the_disk(tmp_path: Path) -> None:
    record = Record(tmp_path / "home", NOON)
    mark(record)
    record.settings["theme"] = "dark"
    record.close()
    connection = sqlite3.connect(tmp_path / "home" / "kerfcard.db")
    assert connection.execute("SELECT count(*) FROM entries").fetchone() == (1,)
    assert ("theme", "dark") in connection.execute("SELECT name, value FROM settings").fetchall()
    connection.close()
    assert not (tmp_path / "home" / "kerfcard.db-wal").exists()
    log = Log(tmp_path / "home" / "kerfcard.db")
    assert log.seen == {"saw": 1}
    log.close()
