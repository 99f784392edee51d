"""The record of a tablet: its log, its settings, its heartbeats, its backups and its reserve of disk space.

Anything but the log may fail without making a tap fail.
"""

from __future__ import annotations

import contextlib
import json
import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path

from tracker.store import backups, files, reserve
from tracker.store.backups import Backup
from tracker.store.errors import CannotWriteError, DamagedLogError, cannot_write
from tracker.store.exchange import Offer, Taken, export_log, is_lost, look_into, take_in_export
from tracker.store.heartbeats import Heartbeats
from tracker.store.identity import COPIED, TABLET, new_name, take_name
from tracker.store.lock import FolderLock
from tracker.store.log import Log
from tracker.store.recovery import LOG_NAME, open_log, rejoin_rows
from tracker.store.rows import LOST, Row, first_lost
from tracker.store.settings import Settings, unreadable_sentence
from tracker.work.facts import Entry, Fact

RESERVE_IN_USE = "The tablet's storage is full; Kerfcard's reserve is in use. Finish what is in hand, then make room."
NOT_KEPT = (
    "The record's file is gone, and what is open could not be saved. Leave Kerfcard open, tap More, Backups, `write "
    "to a file`, and keep that file."
)
_BACKED_UP, _FINISHED, _KEPT = "backed up", "finished backup", "backups kept"


class Record:
    """The open record in a folder.

    `notice` tells what happened when it was opened, `warning` what the person should know now; both may be empty.
    Raises NoRecordError or OSError when no record can be read and none can be kept.
    """

    def __init__(self, folder: Path, now: datetime, reserve: int = 0) -> None:
        self.folder = folder
        self.warning = ""
        self._reserve = reserve
        self._thread: threading.Thread | None = None
        self._made: Callable[[], None] | None = None
        self._open(now)

    def _open(self, now: datetime, lock: FolderLock | None = None) -> None:
        opened = open_log(self.folder, now, lock)
        self.log: Log = opened.log
        self.settings = Settings(self.log.db)
        self.heartbeats = Heartbeats(self.log.db)
        copied = take_name(self.settings, self.folder)
        said = (opened.notice, unreadable_sentence(self.settings.unreadable), COPIED if copied else "")
        self.notice = " ".join(filter(None, said))
        self._displaced = False

    @property
    def tablet(self) -> str:
        """The name under which this tablet writes; a new one after a recovery, a restore or a copy."""
        return self.settings[TABLET]

    # -- facts -------------------------------------------------------------------------------------------------

    def append(self, tablet: str, at: datetime, facts: Iterable[Fact]) -> list[Entry]:
        """Write facts of this tablet; they are on the disk when this returns. Raises CannotWriteError."""
        facts = list(facts)
        return self._guarded(at, lambda: self.log.append(tablet, at, facts))

    def take_in(self, entries: Iterable[Entry]) -> list[Entry]:
        """Write entries of other tablets; returns the new ones. Raises CannotWriteError."""
        entries = list(entries)
        at = max((entry.at for entry in entries), default=datetime.now(UTC))
        return self._guarded(at, lambda: self.log.take_in(entries))

    def take_in_proven(self, rows: Sequence[Row], tails: Mapping[str, tuple[int, str]], at: datetime) -> None:
        """Write rows of other tablets that were proven to continue from `tails`. Raises CannotWriteError,
        DamagedLogError."""

        def write() -> list[Entry]:
            self.log.take_in_proven(rows, tails)
            return []

        self._guarded(at, write)

    def gaps(self) -> list[tuple[str, int, int]]:
        """The tablet, and the first and last count, of rows that this log has lost."""
        return [(row.tablet, first_lost(row), row.count) for row in self.log.rows_of_kind(LOST)]

    def renew_name(self) -> None:
        """Write under a new name from now on, because somebody else writes under the old one."""
        self.settings[TABLET] = new_name()

    def replace_rows(self, rows: Iterable[Row], now: datetime, renew: bool) -> None:
        """Replace the log by these rows, keeping the old log beside it; with `renew` under a new name of the tablet, in
        one step that no crash can divide. Raises CannotWriteError; then everything is as before."""
        self._rewrite(rows, now, {TABLET: new_name()} if renew else {})

    def restore_rows(self, rows: Iterable[Row], now: datetime) -> None:
        """Join the log again with rows that it had lost; the log with the gaps is kept. Raises CannotWriteError."""
        self._rewrite(rejoin_rows([self.log.rows(), rows], now)[0], now)

    def _rewrite(self, rows: Iterable[Row], now: datetime, settings: Mapping[str, str] | None = None) -> None:
        unfinished = self.folder / f"{LOG_NAME}.unfinished"
        try:
            files.remove_database(unfinished)
            with contextlib.closing(Log(unfinished)) as joined:
                joined.take_in_rows(rows)
                Settings(joined.db).update({**self.settings, **(settings or {})})
                Heartbeats(joined.db).take_over(self.heartbeats.boots)
        except OSError as error:
            raise cannot_write(error) from error
        self._replace_by(unfinished, now)

    def export_to(self, path: Path) -> int:
        """Write the whole log to one file; returns the number of entries."""
        return export_log(self.log, path)

    def look_into(self, path: Path) -> Offer:
        """What a file of another tablet's log would bring, or its problems; nothing is taken in."""
        return look_into(self.log, path, self.tablet)

    def take_in_offer(self, offer: Offer, now: datetime) -> Taken:
        """Take in what a file offers, all of it or nothing, after a backup.

        Raises CannotWriteError, DamagedLogError.
        """
        if offer.problems:
            return Taken(problems=offer.problems)
        if self.log.seen and offer.new and not self.log.why_not:
            self.back_up(now, "import")
        if offer.fills_gaps and not self.log.why_not:
            return self._fill_gaps(offer.rows, now)
        return take_in_export(self.log, offer.rows)

    def _fill_gaps(self, rows: Iterable[Row], now: datetime) -> Taken:
        """Join the log again with rows that it had lost; returns what was found."""
        known = {entry.id for entry in self.log.entries() if not is_lost(entry)}
        self.restore_rows(rows, now)
        new = tuple(entry for entry in self.log.entries() if entry.id not in known and not is_lost(entry))
        return Taken(new, found_again=True)

    def _replace_by(self, unfinished: Path, now: datetime) -> Path:
        """Close the log, replace it by a finished one, and open that; returns the folder with the replaced log.

        Raises CannotWriteError; then the log is open as before.
        """
        self._wait()
        lock = self.log.keep_lock(None)
        self.log.close()
        path = self.folder / LOG_NAME
        try:
            aside = files.copy_aside(path, self.folder, "replaced", now)
            files.put_in_place(unfinished, path)
        except OSError as error:
            raise cannot_write(error) from error
        finally:
            self._open(now, lock)
        return aside

    def _guarded(self, now: datetime, write: Callable[[], list[Entry]]) -> list[Entry]:
        """Run a write. If the disk is full the reserve is released first; if the record's file is gone, everything is
        saved."""
        try:
            return write()
        except CannotWriteError as error:
            if not self.log.look_at_its_place():
                self._keep_what_is_open(now)
            if not (error.full and reserve.give_back(self.folder)):
                raise
        self.warning = RESERVE_IN_USE
        return write()

    def _keep_what_is_open(self, now: datetime) -> None:
        """The record's file was deleted or renamed: back it up while it is open, for the next opening to use."""
        if self._displaced:
            return
        self._displaced = True
        try:
            self.folder.mkdir(mode=files.OUR_FOLDER, parents=True, exist_ok=True)
            backups.back_up(self.log, self.folder, now, "guard", self.keep)
        except (OSError, CannotWriteError, DamagedLogError) as error:
            self.warning = f"{NOT_KEPT} {error}"

    # -- every few seconds -------------------------------------------------------------------------------------

    def tend(self, now: datetime, finished: str = "") -> None:
        """Make a backup when one is due, and the reserve when there is room. `finished` names a run that has just been
        finished."""
        if self._thread is not None and not self._thread.is_alive():
            self._wait()
        if not self.log.look_at_its_place():
            self._keep_what_is_open(now)
        if self.log.why_not:
            return
        if self._reserve and reserve.make(self.folder, self._reserve) and self.warning == RESERVE_IN_USE:
            self.warning = ""
        why = self._due(now, finished)
        if why and self._thread is None:
            self._thread = threading.Thread(target=self._back_up, args=(now, why, finished), name="kerfcard-backup")
            self._thread.start()

    def _due(self, now: datetime, finished: str) -> str:
        if not self.log.seen or self.settings.get(_BACKED_UP) == self._words():
            return ""
        if finished and self.settings.get(_FINISHED) != finished:
            return "finished"
        latest = self.backups()[:1]
        today = now.astimezone().date()
        return "" if latest and latest[0].made.astimezone().date() == today else "day"

    def _words(self) -> str:
        return json.dumps(self.log.seen, sort_keys=True)

    def _back_up(self, now: datetime, why: str, finished: str) -> None:
        words = self._words()
        try:
            backups.back_up(self.log, self.folder, now, why, self.keep)
        except (CannotWriteError, DamagedLogError) as error:
            self.warning = f"No backup could be made. {error}"
            return
        self._made = lambda: self.settings.update({_BACKED_UP: words, **({_FINISHED: finished} if finished else {})})

    # -- backups -----------------------------------------------------------------------------------------------

    @property
    def keep(self) -> int:
        """How many backups are kept."""
        with contextlib.suppress(ValueError):
            return max(1, int(self.settings.get(_KEPT, backups.KEPT)))
        return backups.KEPT

    def backups(self) -> tuple[Backup, ...]:
        """Every backup that is kept, the latest first."""
        return backups.kept_backups(self.folder)

    def replaced(self) -> tuple[Backup, ...]:
        """The records that a restored one replaced, the latest first."""
        return backups.replaced_records(self.folder)

    def back_up(self, now: datetime, why: str = "day") -> Path:
        """Make a backup now. Raises CannotWriteError, DamagedLogError."""
        self._wait()
        return backups.back_up(self.log, self.folder, now, why, self.keep)

    def restore(self, backup: Path, now: datetime) -> Path:
        """Replace the log by a backup; returns the folder with the replaced log.

        Afterwards the tablet has no identity. Raises DamagedLogError or CannotWriteError; then everything is as before.
        """
        unfinished = self.folder / f"{LOG_NAME}.unfinished"
        try:
            ends = backups.write_restored(backup, unfinished, self.heartbeats.boots)
            aside = self._replace_by(unfinished, now)
            backups.leave_behind(self.folder, ends, aside)
        except OSError as error:
            raise cannot_write(error) from error
        finally:
            with contextlib.suppress(OSError):
                files.remove_database(unfinished)
        return aside

    def close(self) -> None:
        """Close the record after the backup in progress."""
        self._wait()
        self.settings.forget_unreadable()
        self.log.close()

    def _wait(self) -> None:
        """Wait for the backup in progress; it is then recorded on this thread."""
        if self._thread is not None:
            self._thread.join()
            self._thread = None
        if self._made is not None:
            self._made()
            self._made = None
