"""Opening the log, whatever state it is in: a damaged one is set aside, and what can be read of it is taken in."""

from __future__ import annotations

import contextlib
import sqlite3
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from tracker.store.log import DamagedLogError, Log, chain_link, columns_of, read_entry
from tracker.work.facts import Entry

LOG_NAME = "kerfcard.db"
BACKUP_NAME = "kerfcard-backup.db"


@dataclass(frozen=True, slots=True)
class Opened:
    """An open log, and one sentence for the user when something happened to it."""

    log: Log
    notice: str = ""


def open_log(folder: Path, now: datetime) -> Opened:
    """Open the log in `folder` (made if it isn't there); set a damaged one aside, never overwrite it."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / LOG_NAME
    try:
        log = Log(path)
    except DamagedLogError as error:
        return _start_again(folder, path, now, str(error))
    if log.seen:
        with contextlib.suppress(OSError, sqlite3.Error):  # a full disk must not keep the shop from opening
            log.back_up(folder / BACKUP_NAME)
    return Opened(log)


def _start_again(folder: Path, path: Path, now: datetime, why: str) -> Opened:
    aside = folder / f"damaged-{now:%Y%m%d-%H%M%S}"
    aside.mkdir()
    for suffix in ("", "-wal", "-shm"):
        part = path.with_name(path.name + suffix)
        if part.exists():
            part.rename(aside / part.name)
    saved = [*_readable(aside / path.name), *_readable(folder / BACKUP_NAME)]
    log = Log(path)
    kept = log.take_in(sorted({entry.id: entry for entry in saved}.values(), key=lambda entry: entry.id))
    return Opened(
        log, f"The record was damaged ({why}); it was set aside in {aside.name} and {len(kept)} facts were recovered."
    )


def _readable(path: Path) -> list[Entry]:
    """Every entry of a database that can still be read and is as it was written (the chain says so)."""
    entries: list[Entry] = []
    chains: dict[str, str] = {}
    if not path.exists():
        return entries
    with contextlib.suppress(sqlite3.Error, DamagedLogError):
        connection = sqlite3.connect(path)
        try:
            for row in connection.execute(
                "SELECT tablet, count, seen, at, kind, data, chain FROM entries ORDER BY tablet, count"
            ):
                entry, chain = read_entry(row[:6]), row[6]
                if chain == chain_link(chains.get(entry.tablet, ""), *columns_of(entry)):
                    entries.append(entry)
                    chains[entry.tablet] = chain
        finally:
            connection.close()
    return entries
