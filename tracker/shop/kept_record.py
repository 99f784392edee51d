"""The record of this shop in memory: what was done, and how it is kept, exchanged and restored."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Mapping, MutableMapping, Sequence
from pathlib import Path

from msgspec.structs import replace

from tracker.design.tables.shop_defaults import unreadable_defaults
from tracker.store.backups import Backup
from tracker.store.errors import CannotWriteError, DamagedLogError
from tracker.store.exchange import Offer, Taken, export_name
from tracker.store.gc_pause import gc_paused
from tracker.store.log import Log
from tracker.store.record import Record
from tracker.store.rows import Row
from tracker.store.settings import unreadable_sentence
from tracker.work.clocks.elapsed import Beat, Now, Sighting
from tracker.work.facts import Entry
from tracker.work.state.replay import Replay, replay
from tracker.work.state.state import State


class KeptRecord:
    """The log, folded to a state. Listeners are called without arguments after every change."""

    def __init__(self, home: Path, clock: Callable[[], Now], reserve: int) -> None:
        """`reserve`: how many bytes to hold back for a full disk. Raises OSError when no record can be read or kept."""
        self.home = home
        self._clock = clock
        self._listeners: list[Callable[[], None]] = []
        self.sightings: tuple[Sighting, ...] = ()
        """The known boot clocks of other tablets, for the clocks that those started."""
        with gc_paused(lambda: len(self._replay)):
            self._record = Record(home, clock().wall, reserve)
            self._read_record()

    def _read_record(self) -> None:
        """Called when a record was opened, or another one was put in its place."""
        self.tablet = self._record.tablet
        self._replay = Replay(self._log.entries())

    @property
    def _log(self) -> Log:
        return self._record.log

    @property
    def settings(self) -> MutableMapping[str, str]:
        """This tablet's settings."""
        return self._record.settings

    @property
    def notice(self) -> str:
        """What happened when the record was opened, and what can't be read in it; empty when it is sound."""
        unread = unreadable_sentence(unreadable_defaults(self.settings))
        return " ".join(filter(None, (self._record.notice, unread)))

    @property
    def warning(self) -> str:
        """What the person should know now: no room, no backup, nothing can be marked. Empty when all is well."""
        return self._record.warning or self._log.why_not

    def now(self) -> Now:
        """The time on this tablet, with its heartbeats and a person's confirmations of its clock."""
        beats = tuple(Beat(boot.boot_id, boot.last_boot, boot.last_wall) for boot in self._record.heartbeats.boots)
        confirmed = tuple(self.state.confirmed.values())
        return replace(self._clock(), beats=beats, confirmed=confirmed, sightings=self.sightings)

    def take_in(self, entries: Iterable[Entry]) -> int:
        """Take in another tablet's entries; returns how many were new. Repeating it is harmless."""
        new = self._record.take_in(entries)
        self._fold(new)
        return len(new)

    # -- for the hub's side, on the record's thread --------------------------------------------------------

    def tails(self) -> dict[str, tuple[int, str]]:
        """Each tablet's last count, and the chain that continues from it."""
        return self._log.tails

    def page(self, tablet: str, after: int, most: int) -> list[Row]:
        """Up to `most` rows of a tablet after a count."""
        return self._log.page(tablet, after, most)

    def chain_at(self, tablet: str, count: int) -> str | None:
        """The chain after a row; None where there is no such row."""
        return self._log.chain_at(tablet, count)

    def gaps(self) -> list[tuple[str, int, int]]:
        """The tablet, and the first and last count, of rows that the record has lost."""
        return self._record.gaps()

    def take_in_proven(self, rows: Sequence[Row], tails: Mapping[str, tuple[int, str]]) -> None:
        """Write rows that were proven to continue from `tails`; they are folded later. Raises CannotWriteError,
        DamagedLogError."""
        self._record.take_in_proven(rows, tails, self._clock().wall)

    def fold(self, entries: Sequence[Entry]) -> None:
        """Fold entries that are already written."""
        self._fold(list(entries))

    def take_over(self, folded: Replay, known: int) -> None:
        """Replace the log in memory by one that was folded elsewhere when this one had `known` entries."""
        folded.take_in(self._replay.entries[known:])
        self._replay = folded
        self._tell()

    def restore_rows(self, rows: Sequence[Row]) -> None:
        """Join the record again with rows that it had lost. Raises CannotWriteError."""
        self._record.restore_rows(rows, self._clock().wall)
        self._read_record()
        self._tell()

    def replace_rows(self, rows: Sequence[Row], tails: Mapping[str, tuple[int, str]], renew: bool) -> bool:
        """Replace the record by these rows, which were derived from it when it ended in `tails`; False if it has
        changed since. With `renew` the tablet writes under a new name. Raises CannotWriteError."""
        if self._log.tails != tails:
            return False
        self._record.replace_rows(rows, self._clock().wall, renew)
        self._read_record()
        self._tell()
        return True

    def renew_name(self) -> None:
        """Write under a new name from now on, because somebody else writes under the old one."""
        self._record.renew_name()
        self.tablet = self._record.tablet

    def export(self) -> Path:
        """Write the whole log to a new file in the shop's folder. Raises CannotWriteError."""
        path = self.home / export_name(self._clock().wall.astimezone())
        self.export_to(path)
        return path

    def export_to(self, path: Path) -> int:
        """Write the whole log to one file; returns the number of entries. Raises CannotWriteError."""
        return self._record.export_to(path)

    def look_into(self, path: Path) -> Offer:
        """What an exported log would bring, or what is wrong with it; nothing is taken in."""
        return self._record.look_into(path)

    def state_with(self, offer: Offer) -> State:
        """The state after taking in an offer, without taking it in."""
        return replay((*offer.new, *self.entries()))

    def import_from(self, path: Path) -> Taken:
        """Take in an exported log, all of it or nothing. Raises CannotWriteError, DamagedLogError."""
        return self.take_in_offer(self.look_into(path))

    def take_in_offer(self, offer: Offer) -> Taken:
        """Take in what `look_into` returned, after a backup. Raises CannotWriteError, DamagedLogError."""
        taken = self._record.take_in_offer(offer, self._clock().wall)
        if taken.found_again:
            self._replay = Replay(self._log.entries())
            self._tell()
        else:
            self._fold(list(taken.new))
        return taken

    def backups(self) -> tuple[Backup, ...]:
        """What can be restored: every backup that is kept, then every record that a restored one replaced, the latest
        first."""
        return (*self._record.backups(), *self._record.replaced())

    def back_up(self) -> Path:
        """Make a backup now. Raises CannotWriteError, DamagedLogError."""
        return self._record.back_up(self._clock().wall, "asked")

    def restore(self, backup: Path) -> str:
        """Replace the log by a backup; returns one sentence about the result.

        The replaced log is kept, and the tablet writes under a new name, so that no count is written twice.
        """
        now = self._clock().wall
        try:
            aside = self._record.restore(backup, now)
        except DamagedLogError as error:
            return f"Not restored: the backup is damaged ({error})."
        except CannotWriteError as error:
            return f"Not restored. {error}"
        self._read_record()
        with contextlib.suppress(CannotWriteError, DamagedLogError):
            self._record.back_up(now, "restored")
        self._tell()
        count = len(self.entries())
        facts = "1 fact" if count == 1 else f"{count} facts"
        return f"Restored: {facts}. The record as it was is kept in the folder {aside.name}."

    def refold(self) -> bool:
        """Fold the log again; returns whether the state was correct. It is correct afterwards."""
        replayed = Replay(self._log.entries())
        same = replayed.state == self.state
        self._replay = replayed
        return same

    def entries(self) -> tuple[Entry, ...]:
        """The whole log."""
        return self._replay.entries

    @property
    def state(self) -> State:
        """What has been done, according to the log."""
        return self._replay.state

    def _fold(self, new: list[Entry]) -> None:
        self._replay.take_in(new)
        self._tell()

    def _tell(self) -> None:
        for listener in tuple(self._listeners):
            if listener in self._listeners:  # an earlier listener may have removed it
                listener()

    def listen(self, listener: Callable[[], None]) -> Callable[[], None]:
        """Call `listener` after every change; returns the function that stops this."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def close(self) -> None:
        """Write the last heartbeat and close the record."""
        now = self._clock()
        self._record.heartbeats.beat(now.boot_id, now.boot, now.wall)
        self._record.close()
