"""The shop and its record: heartbeats, a full or read-only disk, backups and their restoring, carrying a log over."""

from __future__ import annotations

import dataclasses
import json
import os
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tracker.shop import Shop
from tracker.store import ballast
from tracker.store.errors import FULL, CannotWriteError, cannot_write
from tracker.store.log import Log
from tracker.store.record import RESERVE_IN_USE
from tracker.work.clocks import Now
from tracker.work.decide import Do

SAMPLE = next(iter(sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))))


class Clock:
    """The tablet's clocks, moved by hand."""

    def __init__(self) -> None:
        self.now = Now(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "boot 1", 1000.0)

    def __call__(self) -> Now:
        return self.now

    def wait(self, seconds: float) -> None:
        self.now = dataclasses.replace(
            self.now, wall=self.now.wall + timedelta(seconds=seconds), boot=self.now.boot + seconds
        )

    def restart(self, boot_id: str, off: float) -> None:
        self.now = Now(self.now.wall + timedelta(seconds=off), boot_id, 5.0)


def opened(home: Path, clock: Clock | None = None, reserve: int = 0) -> Shop:
    shop = Shop(home, clock or Clock(), reserve)
    shop.open(SAMPLE)
    return shop


def tap(shop: Shop) -> str:
    """Do the next thing that can be done to any piece; the reason when it was refused."""
    assert shop.run is not None
    for piece in shop.run.pieces:
        for step in piece.route:
            if not shop.state.is_done(shop.run, piece, step.id):
                refusal = shop.do(Do(piece.key, step.id))
                return refusal.reason if refusal else ""
    raise AssertionError("everything is done")


def tend(shop: Shop) -> None:
    """A beat, a backup that it began, and the beat that hears of it."""
    shop.beat()
    shop._record._wait()
    shop.beat()


# -- heartbeats ---------------------------------------------------------------------------------------------------


def test_the_last_heartbeat_of_every_boot_is_remembered_over_a_restart(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    for _ in range(6):
        shop.beat()
        clock.wait(10)
    shop.close()
    clock.restart("boot 2", 3600)
    shop = opened(tmp_path, clock)
    shop.beat()
    assert [(beat.boot_id, beat.boot) for beat in shop.now().beats] == [("boot 1", 1060.0), ("boot 2", 5.0)]
    shop.close()


def test_heartbeats_of_fifty_boots_are_kept_and_the_present_one_even_by_a_wrong_wall_clock(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    for boot in range(70):
        clock.restart(f"boot {boot}", -86_400 if boot == 69 else 60)
        shop.beat()
    beats = shop.now().beats
    assert [beat.boot_id for beat in beats] == [f"boot {boot}" for boot in range(20, 70)]
    shop.close()


# -- a disk that says no --------------------------------------------------------------------------------------------


def full_after(log: Log, pages: int = 0) -> None:
    """SQLite answers 'database or disk is full' beyond this many pages (https://www.sqlite.org/pragma.html)."""
    now = log.db.execute("PRAGMA page_count").fetchone()[0]
    log.db.execute(f"PRAGMA max_page_count = {now + pages}")


def tap_until_refused(shop: Shop) -> str:
    for _ in range(400):
        before = shop.entries()
        state = shop.state
        if reason := tap(shop):
            assert shop.entries() == before
            assert shop.state == state
            return reason
    raise AssertionError("the disk was never full")


def test_on_a_full_disk_a_tap_is_refused_with_a_sentence_and_nothing_is_lost(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    full_after(shop._log)
    reason = tap_until_refused(shop)
    assert reason == f"Not marked. {FULL}"
    shop.beat()
    shop.settings["station"] = "drill"
    kept = shop.entries()
    shop.close()
    shop = Shop(tmp_path, Clock())
    assert shop.entries() == kept
    assert shop.notice == ""
    shop.close()


def test_the_reserve_lets_the_shift_be_closed_and_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = opened(tmp_path, reserve=1_000_000)
    shop.beat()
    assert (tmp_path / ballast.NAME).stat().st_size == 1_000_000
    full_after(shop._log)
    give_back = ballast.give_back

    def more_room(folder: Path) -> bool:
        shop._log.db.execute("PRAGMA max_page_count = 4294967294")
        return give_back(folder)

    monkeypatch.setattr(ballast, "give_back", more_room)
    for _ in range(40):
        assert tap(shop) == ""
    assert shop.warning == RESERVE_IN_USE
    assert not (tmp_path / ballast.NAME).exists()
    shop.beat()
    assert shop.warning == ""
    assert (tmp_path / ballast.NAME).exists()
    shop.close()


def test_no_reserve_is_made_where_it_would_fill_the_disk(tmp_path: Path) -> None:
    assert not ballast.make(tmp_path, 1 << 60)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a process of its own to give its rights away")
@pytest.mark.parametrize("left_over", [False, True], ids=["closed", "killed"])
def test_in_a_folder_that_only_reads_everything_is_shown_and_nothing_is_marked(tmp_path: Path, left_over: bool) -> None:
    shop = opened(tmp_path)
    for _ in range(3):
        tap(shop)
    kept = shop.entries()
    home = tmp_path
    if left_over:  # the last facts stand in the write-ahead log alone
        home = tmp_path / "killed"
        home.mkdir()
        for suffix in ("", "-wal"):
            (home / f"kerfcard.db{suffix}").write_bytes((tmp_path / f"kerfcard.db{suffix}").read_bytes())
    shop.close()
    before = {path.name: path.read_bytes() for path in home.iterdir() if path.is_file()}

    def look() -> str:
        shop = Shop(home, Clock())
        assert shop.entries() == kept
        assert "can't be written" in shop.notice
        shop.open(SAMPLE)
        assert "Not marked" in tap(shop)
        shop.settings["station"] = "drill"
        shop.beat()
        shop.close()
        return ""

    for path in (*home.iterdir(), home):
        path.chmod(0o555 if path.is_dir() else 0o444)
    for parent in list(home.parents)[:4]:
        if parent.stat().st_uid == os.getuid() and parent != Path("/"):
            parent.chmod(parent.stat().st_mode | 0o005)
    trouble = without_rights(look)
    home.chmod(0o755)
    assert trouble == ""
    assert {path.name: path.read_bytes() for path in home.iterdir() if path.is_file()} == before


def without_rights(job: object) -> str:
    """Run a job as nobody, in a process of its own; what went wrong."""
    import traceback

    ear, mouth = os.pipe()
    child = os.fork()
    if child == 0:
        words = ""
        try:
            if os.getuid() == 0:
                os.setgid(65534)
                os.setuid(65534)
            job()  # type: ignore[operator]
        except BaseException:
            words = traceback.format_exc()
        os.write(mouth, words.encode())
        os._exit(0)
    os.close(mouth)
    with os.fdopen(ear) as heard:
        words = heard.read()
    os.waitpid(child, 0)
    return words


def test_an_error_of_the_disk_is_said_and_a_lasting_one_says_what_to_do() -> None:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = sqlite3.SQLITE_IOERR_FSYNC
    assert "copy its folder" in str(cannot_write(error))


# -- backups ----------------------------------------------------------------------------------------------------------


def test_a_backup_is_made_once_a_day_and_so_many_are_kept(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    shop.settings["backups kept"] = "3"
    for _ in range(6):
        tap(shop)
        tend(shop)
        clock.wait(3600)
        tap(shop)
        tend(shop)
        clock.wait(23 * 3600)
    backups = shop.backups()
    assert [f"{each.made:%d}" for each in backups] == ["07", "06", "05"]
    shop.close()


def test_no_backup_is_made_of_what_is_backed_up_already(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    tend(shop)
    clock.wait(86_400)
    tend(shop)
    assert len(shop.backups()) == 1
    shop.close()


def test_a_backup_is_made_when_a_build_is_finished(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = opened(tmp_path)
    tend(shop)
    tap(shop)
    monkeypatch.setattr(type(shop.state), "finished", lambda *_: True)
    tend(shop)
    tap(shop)
    tend(shop)
    assert sorted(each.why for each in shop.backups()) == ["day", "finished"]
    shop.close()


def test_restoring_takes_the_record_back_keeps_the_other_and_gives_the_tablet_a_new_name(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    tap(shop)
    tend(shop)
    then, name = shop.entries(), shop.tablet
    tap(shop)
    whole = shop.entries()
    heard: list[int] = []
    shop.listen(lambda: heard.append(len(shop.entries())))
    said = shop.restore(shop.backups()[0].path)
    assert said.startswith(f"Restored: {len(then)} facts.")
    assert shop.entries() == then
    assert heard == [len(then)]
    assert shop.tablet != name
    tap(shop)
    assert shop.entries()[-1].id == (shop.tablet, 1)
    shop.close()
    replaced = Log(next(tmp_path.glob("replaced-*")) / "kerfcard.db")
    assert tuple(replaced.entries()) == whole
    replaced.close()


def test_what_was_taken_back_by_restoring_does_not_return_with_a_recovery(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    tap(shop)
    tend(shop)
    then = shop.entries()
    first = shop.backups()[0].path
    clock.wait(86_400)
    tap(shop)
    tend(shop)
    more = shop.entries()
    shop.restore(first)
    assert [each.why for each in shop.backups()] == ["restored", "day", "replaced"]
    shop.close()
    (tmp_path / "kerfcard.db").write_bytes(b"rust" * 5000)
    shop = Shop(tmp_path, clock)
    assert shop.entries() == then
    shop.restore(shop.backups()[-1].path)  # and if it was the wrong one, the replaced record can be put back
    assert shop.entries() == more
    shop.close()


def test_a_damaged_backup_is_not_restored(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    tap(shop)
    tend(shop)
    kept, name, backup = shop.entries(), shop.tablet, shop.backups()[0].path
    data = bytearray(backup.read_bytes())
    data[data.index(b'"step"') + 3] ^= 4
    backup.write_bytes(data)
    assert "the backup is damaged" in shop.restore(backup)
    assert (shop.entries(), shop.tablet) == (kept, name)
    assert tap(shop) == ""
    shop.close()


def test_taps_go_on_while_a_backup_is_made(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    for _ in range(5):
        tap(shop)
    shop.beat()
    for _ in range(10):
        assert tap(shop) == ""
    tend(shop)
    assert len(shop.backups()) == 1
    shop.close()


# -- the whole log as one file --------------------------------------------------------------------------------------


@pytest.fixture
def exported(tmp_path: Path) -> Path:
    shop = opened(tmp_path / "one")
    for _ in range(4):
        tap(shop)
    shop.export_to(tmp_path / "log.jsonl")
    shop.close()
    return tmp_path / "log.jsonl"


def test_an_exported_log_is_taken_in_whole_and_twice_is_harmless(tmp_path: Path, exported: Path) -> None:
    shop = Shop(tmp_path / "two", Clock())
    taken = shop.import_from(exported)
    assert (len(taken.new), taken.problems) == (5, ())
    assert shop.import_from(exported).new == ()
    shop.export_to(tmp_path / "again.jsonl")
    assert (tmp_path / "again.jsonl").read_text() == exported.read_text()
    shop.close()


def lines_of(path: Path) -> list[str]:
    return path.read_text("utf-8").splitlines(keepends=True)


def changed(line: str, at: int, value: object) -> str:
    row = json.loads(line)
    row[at] = value
    return json.dumps(row) + "\n"


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda lines: lines[:2] + lines[3:], "is missing"),
        (lambda lines: lines[:-1], "isn't whole"),
        (lambda lines: [*lines[:-1], lines[-1][:-20]], "isn't whole"),
        (lambda lines: [*lines, lines[-1]], "is missing"),
        (lambda lines: [*lines[:2], changed(lines[2], 5, "{}"), *lines[3:]], "was changed"),
        (lambda lines: [*lines[:2], changed(lines[2], 1, True), *lines[3:]], "no entry"),
        (lambda lines: [*lines[:2], changed(lines[2], 0, "../../x"), *lines[3:]], "no entry"),
        (lambda lines: [*lines[:2], "[" * 100_000 + "\n"], "no entry"),
        (lambda lines: [*lines[:2], '"' + "x" * 2_000_000 + '"\n'], "no entry"),
        (lambda lines: ["[]\n"], "no record"),
        (lambda lines: ["\x00\n"], "no record"),
        (lambda lines: [], "no record"),
        (lambda lines: [lines[0].replace('"version": 1', '"version": 2')], "later version"),
        (lambda lines: [lines[0].replace('"entries": 5', '"entries": NaN'), *lines[1:]], "no record"),
    ],
)  # fmt: skip
def test_a_file_that_was_changed_cut_or_made_up_is_refused_in_words(
    tmp_path: Path, exported: Path, spoil: object, words: str
) -> None:
    exported.write_text("".join(spoil(lines_of(exported))), "utf-8")  # type: ignore[operator]
    shop = Shop(tmp_path / "two", Clock())
    taken = shop.import_from(exported)
    assert taken.new == ()
    assert shop.entries() == ()
    assert words in taken.problems[0].what
    shop.close()


def test_facts_that_a_damage_took_come_back_from_a_file_that_has_them(tmp_path: Path, exported: Path) -> None:
    path = tmp_path / "one" / "kerfcard.db"
    data = path.read_bytes()
    at = data.rindex(b'"step"', 0, data.rindex(b'"step"'))  # not the last fact: a page is filled from its end
    path.write_bytes(data[:at] + b'"stop"' + data[at + 6 :])
    shop = Shop(tmp_path / "one", Clock())
    assert "and 1 lost" in shop.notice
    assert tap(shop) == ""
    name, before = shop.tablet, shop.entries()
    taken = shop.import_from(exported)
    assert (len(taken.new), taken.problems) == (1, ())
    assert shop.tablet == name
    assert len(shop.entries()) == len(before)  # what was lost stands where the gap was
    assert tap(shop) == ""
    kept = shop.entries()
    assert shop.import_from(exported).new == ()
    shop.close()
    shop = Shop(tmp_path / "one", Clock())
    assert (shop.notice, shop.entries()) == ("", kept)
    assert not [entry for entry in kept if getattr(entry.fact, "kind", "") == "lost"]
    shop.close()


def test_two_histories_under_one_name_are_not_mixed(tmp_path: Path) -> None:
    clock = Clock()
    for place in ("one", "two"):
        shop = Shop(tmp_path / place, clock)
        shop.tablet = "same"
        shop.open(SAMPLE)
        clock.wait(1)
        tap(shop)
        shop.export_to(tmp_path / f"{place}.jsonl")
        shop.close()
    shop = Shop(tmp_path / "three", clock)
    assert shop.import_from(tmp_path / "one.jsonl").problems == ()
    taken = shop.import_from(tmp_path / "two.jsonl")
    assert "two tablets had one name" in taken.problems[0].what
    assert shop.import_from(tmp_path / "none.jsonl").problems[0].line == 0
    shop.close()


def test_an_export_that_does_not_fit_leaves_no_half_file(tmp_path: Path) -> None:
    shop = opened(tmp_path / "one")
    with pytest.raises(CannotWriteError):
        shop.export_to(tmp_path / "no folder" / "log.jsonl")
    shop.close()


def test_the_state_is_held_to_what_the_log_says(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    tap(shop)
    assert shop.hold_to_the_log()
    state = shop.state
    shop._ledger = type(shop._ledger)(shop.entries()[:1])
    assert not shop.hold_to_the_log()
    assert shop.state == state
    shop.close()
