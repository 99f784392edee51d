"""Damage the files of the record at random, and check whether an altered fact is accepted or an intact one is lost.

    python tests/faults damaged [COUNT] [SEED]

Makes a record of a hundred and more facts of two tablets in several states (closed; left by a kill with half of it in
the write-ahead log; with and without a backup) and damages a copy of it COUNT times: bits flipped, pages zeroed or
swapped, ends cut off, garbage written into, after or in place of a file, files missing; sometimes the high-water mark
is damaged, too. Each time:

- no fact is in the opened record that differs from what was written, unless the screen names what it is about and says
  that it isn't proven;
- where a fact is missing, a sentence was said;
- every fact whose bytes are still somewhere in the damaged files is kept.

Where the end of the record and the high-water mark are damaged at once nothing is left that could tell: how often that
took facts is reported by itself.
"""

from __future__ import annotations

import json
import random
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from faults.day import HandClock, acts
from faults.shown import MORNING
from faults.witness import as_data

from tracker.shop import Shop
from tracker.store.closed_copy import proven_rows
from tracker.store.log import Log
from tracker.store.recovery import LOG_NAME, backup_paths, open_log
from tracker.store.rows import Row
from tracker.work.facts import EntryId, Unknown

WAL_NAME, MARK_NAME = f"{LOG_NAME}-wal", f"{LOG_NAME}-mark"
PAGE = 4096


@dataclass(frozen=True, slots=True)
class Record:
    """A sound record in a folder: its rows, and their contents."""

    name: str
    folder: Path
    rows: tuple[Row, ...]
    truth: dict[EntryId, Any]
    in_backup: frozenset[EntryId]


def make_records(folder: Path) -> list[Record]:
    """A record in each state in which it may be found."""
    return [
        _make(folder / f"{state}-{'backup' if backup else 'alone'}", state, backup)
        for state in ("closed", "killed")
        for backup in (False, True)
    ]


def _make(folder: Path, state: str, backup: bool) -> Record:
    home = folder.with_name(f"{folder.name}-lived")
    for half in (0, 1):
        shop = Shop(home, HandClock())
        for act in acts(shop, 60):
            act()
        if half == 1 and state == "killed":  # the files as they are at this moment
            _copy(home, folder, backup)
        truth = {entry.id: as_data(entry) for entry in shop.entries()}
        shop.close()
    if state == "closed":
        _copy(home, folder, backup)
    log = Log(home / LOG_NAME)
    rows = tuple(log.rows())
    log.close()
    in_backup = {row.id for path in backup_paths(folder) for row in proven_rows(path)}
    return Record(folder.name, folder, rows, truth, frozenset(in_backup))


def _copy(home: Path, to: Path, backup: bool) -> None:
    without = ("reserve", "builds", "exports", *(() if backup else ("backups",)))
    shutil.copytree(home, to, ignore=shutil.ignore_patterns(*without))


# -- damages ---------------------------------------------------------------------------------------------------------

Damage = Callable[[Path, random.Random], None]


def turn_bits(file: Path, chance: random.Random) -> None:
    data = bytearray(file.read_bytes())
    for _ in range(chance.choice((1, 1, 2, 8))):
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    file.write_bytes(data)


def zero_a_page(file: Path, chance: random.Random) -> None:
    _overwrite(file, _page(file, chance), bytes(PAGE))


def change_two_pages(file: Path, chance: random.Random) -> None:
    data, one, other = file.read_bytes(), _page(file, chance), _page(file, chance)
    _overwrite(file, one, data[other : other + PAGE])
    _overwrite(file, other, data[one : one + PAGE])


def cut_off(file: Path, chance: random.Random) -> None:
    with file.open("rb+") as open_file:
        open_file.truncate(chance.randrange(file.stat().st_size))


def write_garbage(file: Path, chance: random.Random) -> None:
    length = chance.choice((1, 16, 512, 4096, 20_000))
    _overwrite(file, chance.randrange(file.stat().st_size), chance.randbytes(length))


def add_garbage(file: Path, chance: random.Random) -> None:
    file.write_bytes(file.read_bytes() + chance.randbytes(chance.choice((1, 24, 4096, 9000))))


def replace_by_garbage(file: Path, chance: random.Random) -> None:
    file.write_bytes(chance.randbytes(chance.randrange(20_000)))


def remove(file: Path, chance: random.Random) -> None:
    file.unlink()


def leave_a_shared_memory(file: Path, chance: random.Random) -> None:
    file.with_name(f"{LOG_NAME}-shm").write_bytes(chance.randbytes(32_768))


def _page(file: Path, chance: random.Random) -> int:
    return chance.randrange(max(1, file.stat().st_size // PAGE)) * PAGE


def _overwrite(file: Path, at: int, data: bytes) -> None:
    with file.open("rb+") as open_file:
        open_file.seek(at)
        open_file.write(data)


DAMAGES: tuple[Damage, ...] = (
    turn_bits,
    turn_bits,
    turn_bits,
    zero_a_page,
    change_two_pages,
    cut_off,
    write_garbage,
    write_garbage,
    add_garbage,
    replace_by_garbage,
    remove,
    leave_a_shared_memory,
)


# -- what is left ----------------------------------------------------------------------------------------------------


@dataclass
class Verdict:
    """The result of opening a damaged record."""

    what: str
    notice: str = ""
    changed: list[EntryId] = field(default_factory=list)
    """Accepted as true, but different from what was written."""
    unproven: int = 0
    unnamed: list[str] = field(default_factory=list)
    """Items of unproven facts that the screen doesn't name."""
    lost: list[EntryId] = field(default_factory=list)
    lost_whole: list[EntryId] = field(default_factory=list)
    """Lost, although their bytes are still in the files."""
    silent: bool = False
    """Facts are missing and nothing was reported."""
    crash: str = ""


def damage(record: Record, home: Path, chance: random.Random) -> Verdict:
    """Damage a copy of a record once, or sometimes twice, and open it."""
    shutil.copytree(record.folder, home)
    done = []
    for _ in range(chance.choice((1, 1, 1, 2))):
        names = (LOG_NAME, WAL_NAME) if chance.random() < 0.9 else (MARK_NAME,)
        files = [home / name for name in names if (home / name).exists() and (home / name).stat().st_size]
        if files:
            file, how = chance.choice(files), chance.choice(DAMAGES)
            how(file, chance)
            done.append(f"{how.__name__} {file.name.removeprefix(LOG_NAME) or 'db'}")
    verdict = Verdict(f"{record.name}: {', '.join(done)}")
    left = b"".join(path.read_bytes() for path in (home / LOG_NAME, home / WAL_NAME) if path.exists())
    whole = {row.id for row in record.rows if stored(row) in left} | record.in_backup
    try:
        opened = open_log(home, MORNING)
        _judge(verdict, record, opened.log, whole)
        opened.log.close()
    except Exception as error:
        verdict.crash = repr(error)
        return verdict
    verdict.notice = opened.notice
    if "and others" not in opened.notice:
        verdict.unnamed = [what for what in verdict.unnamed if what not in opened.notice]
    verdict.silent = bool(verdict.lost) and not verdict.notice
    return verdict


def _judge(verdict: Verdict, record: Record, log: Log, whole: set[EntryId]) -> None:
    kept = {row.id: json.loads(row.data).get("row") for row in log.rows() if row.kind == "lost"}
    unproven = {id_: json.loads(row[3]) for id_, row in kept.items() if row}
    verdict.unproven = len(unproven)
    verdict.unnamed = [str(data["item"]).replace(":", " ") for data in unproven.values() if "item" in data]
    found = {entry.id: as_data(entry) for entry in log.entries() if not _stands_for_lost(entry.fact)}
    verdict.changed = [key for key, said in found.items() if record.truth.get(key) != said and key not in unproven]
    verdict.lost = [key for key in record.truth if key not in found]
    verdict.lost_whole = [key for key in verdict.lost if key in whole]


def _stands_for_lost(fact: object) -> bool:
    return isinstance(fact, Unknown) and fact.kind == "lost"


def stored(row: Row) -> bytes:
    """A row as SQLite stores it, header first: https://www.sqlite.org/fileformat2.html#record_format"""
    types, body = b"", b""
    for value in row:
        if isinstance(value, int):
            size = next(size for size in (1, 2, 3, 4) if -(1 << 8 * size - 1) <= value < 1 << 8 * size - 1)
            kind, data = (8 + value, b"") if value in (0, 1) else (size, value.to_bytes(size, "big", signed=True))
        else:
            data = str(value).encode()
            kind = 13 + 2 * len(data)
        types += _varint(kind)
        body += data
    return bytes([len(types) + 1]) + types + body


def _varint(value: int) -> bytes:
    groups = [value & 0x7F]
    while value := value >> 7:
        groups.append(0x80 | value & 0x7F)
    return bytes(reversed(groups))


def verdicts(count: int, seed: int) -> Iterator[Verdict]:
    """COUNT damages, spread over the states of the record."""
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory(dir=_fast()) as folder:
        records = make_records(Path(folder))
        for number in range(count):
            home = Path(folder) / "home"
            yield damage(records[number % len(records)], home, chance)
            shutil.rmtree(home)


def _fast() -> str | None:
    """A folder in memory, if possible: the disk isn't what is tested here."""
    return "/dev/shm" if Path("/dev/shm").is_dir() else None


def traceless(verdict: Verdict) -> bool:
    """Whether the damage included the high-water mark: then nothing in the files can show what is missing."""
    return " -mark" in verdict.what and verdict.what.count(",") > 0


def main(words: list[str]) -> int:
    numbers = [int(each) for each in words]
    count, seed = (numbers + [1000, 20260302][len(numbers) :])[:2]
    total, bad = Counter[str](), 0
    for number, verdict in enumerate(verdicts(count, seed), 1):
        total["said"] += bool(verdict.notice)
        total["lost"] += len(verdict.lost)
        total["changed"] += len(verdict.changed)
        total["unproven"] += verdict.unproven
        total["whole"] += len(verdict.lost_whole)
        total["crashes"] += bool(verdict.crash)
        total["traceless"] += verdict.silent and traceless(verdict)
        total["silent"] += verdict.silent and not traceless(verdict)
        total["unnamed"] += len(verdict.unnamed)
        quiet = verdict.unnamed or (verdict.silent and not traceless(verdict))
        if verdict.changed or verdict.lost_whole or verdict.crash or quiet:
            bad += 1
            if bad <= 20:
                print(verdict, file=sys.stderr)
        if number % 1000 == 0:
            print(number, dict(total), flush=True)
    print(f"{count} damages: {total['said']} told in a sentence; {total['changed']} changed facts taken for true;")
    print(
        f"{total['lost']} facts lost, {total['whole']} of them though their bytes were left; {total['unproven']} kept"
    )
    print(f"as unproven, {total['unnamed']} of them not named; {total['silent']} losses without a word, and")
    print(f"{total['traceless']} where the high-water mark was damaged, too; {total['crashes']} crashes")
    return 1 if bad else 0
