"""The shop floor behind the screens: the run in hand, what was done, and the taps that are carried out.

A tap is an intent: `do` asks `decide`, writes the facts to the log, and only then folds them into the state.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, MutableMapping
from pathlib import Path

from msgspec.structs import replace

from tracker.design.problems import Problem
from tracker.shop.clock import read_clock
from tracker.shop.known_runs import KnownRuns
from tracker.shop.library import BuildFile, Library
from tracker.store import reserve
from tracker.store.backups import Backup
from tracker.store.errors import CannotWriteError, DamagedLogError
from tracker.store.exchange import Offer, Taken, export_name
from tracker.store.gc_pause import gc_paused
from tracker.store.log import Log
from tracker.store.record import Record
from tracker.work.clocks.elapsed import Beat, Now
from tracker.work.decide.decide import Intent, OpenBuild, Refusal, decide
from tracker.work.facts import Entry
from tracker.work.run import Run
from tracker.work.state.replay import Replay, replay
from tracker.work.state.state import State

LAST_BUILD = "build file"
"""The setting that remembers which file is in hand."""
RESERVE_BYTES = reserve.BYTES
"""What the app keeps back for a full disk."""


class Shop:
    """The shop floor behind the screens. Listeners are called after every change, with nothing."""

    def __init__(self, home: Path, clock: Callable[[], Now] = read_clock, reserve: int = 0) -> None:
        """`reserve`: how many bytes to keep back for a full disk. Raises OSError when no record can be read or kept."""
        self.home = home
        self._clock = clock
        self.run: Run | None = None
        self._listeners: list[Callable[[], None]] = []
        with gc_paused(lambda: len(self._replay)):
            self._record = Record(home, clock().wall, reserve)
            self._take_up()

    def _take_up(self) -> None:
        """What stands in the record that was opened."""
        self.tablet = self._record.tablet
        self._replay = Replay(self._log.entries())
        self.library = Library(self.home, self.settings)
        self.known = KnownRuns(self.library, lambda: self.state)
        last = self.settings.get(LAST_BUILD)
        with contextlib.suppress(OSError):  # a name that no file can have
            if last and Path(last).exists():
                self._work_on(self.library.read(Path(last)))

    @property
    def _log(self) -> Log:
        return self._record.log

    @property
    def settings(self) -> MutableMapping[str, str]:
        """What this tablet remembers for itself."""
        return self._record.settings

    @property
    def notice(self) -> str:
        """What happened when the record was opened; empty when it was sound."""
        return self._record.notice

    @property
    def warning(self) -> str:
        """What the person should know now: no room, no backup, nothing can be marked. Empty when all is well."""
        return self._record.warning or self._log.why_not

    def now(self) -> Now:
        """The time on this tablet, with its heartbeats and with what a person said of its clock."""
        beats = tuple(Beat(boot.boot_id, boot.last_boot, boot.last_wall) for boot in self._record.heartbeats.boots)
        return replace(self._clock(), beats=beats, confirmed=tuple(self.state.confirmed.values()))

    def beat(self) -> str:
        """What is done every few seconds: a heartbeat, a backup that is due. Returns a warning that is new."""
        now, said = self._clock(), self.warning
        self._record.heartbeats.beat(now.boot_id, now.boot, now.wall)
        run = self.run
        whole = run is not None and all(self.state.finished(run, item) for item in run.items.values())
        self._record.tend(now.wall, run.name if run is not None and whole else "")
        return self.warning if self.warning != said else ""

    # -- builds ------------------------------------------------------------------------------------------------

    def open(self, path: Path) -> tuple[Problem, ...]:
        """Take up a build; what is wrong with it, when it can't be taken up."""
        file = self.library.read(path.absolute())
        self._work_on(file)
        if file.run is not None:
            self.settings[LAST_BUILD] = str(file.path)
            self.do(OpenBuild(file.path.name, run=file.run.name))
        return file.loaded.problems

    def _work_on(self, file: BuildFile) -> None:
        if file.run is not None:
            self.run = file.run
            self.library.remember(file.run.name, file.path)

    @property
    def last_run(self) -> Run | None:
        """The run that was in hand last, as far as the log knows it: also where its file is gone."""
        last = self.settings.get(LAST_BUILD, "")
        name = next((run for run, path in self.library.opened() if str(path) == last), "")
        return self.known.run(name) if name in self.state.runs else None

    def settings_changed(self) -> None:
        """Work with the build in hand by the tablet's settings as they are now."""
        last = self.settings.get(LAST_BUILD)
        if self.run is not None and last:
            self._work_on(self.library.read(Path(last)))

    def runs(self) -> tuple[Run, ...]:
        """The run in hand, and every other one with a clock that nobody ended: clocks run on while another build is
        open. Where a build's file isn't read yet or can't be, its run is what the log knows of it."""
        return (*((self.run,) if self.run else ()), *map(self.known.run, self.other_clocks()))

    def unread(self) -> tuple[Path, ...]:
        """The build files that must be read before `runs` can say everything that its builds do."""
        return self.known.unread(self.other_clocks())

    def other_clocks(self) -> tuple[str, ...]:
        """The names of the runs that aren't in hand and have a clock that runs or waits to be answered."""
        here = self.run.name if self.run else None
        return tuple(name for name in self.known.with_clocks() if name != here)

    # -- facts -------------------------------------------------------------------------------------------------

    def do(self, intent: Intent, run: Run | None = None) -> Refusal | None:
        """Carry out a tap, of the run in hand or of another one. When this returns None its facts are on the disk."""
        run = run or self.run
        if run is None:
            return Refusal("Open a build first.")
        now = self.now()
        answer = decide(run, self.state, intent, now)
        if isinstance(answer, Refusal):
            return answer
        try:
            entries = self._record.append(self.tablet, now.wall, answer)
        except CannotWriteError as error:
            return Refusal(f"Not marked. {error}")
        self._fold(entries)
        return None

    def take_in(self, entries: Iterable[Entry]) -> int:
        """Take in another tablet's entries; how many were new. Twice is harmless."""
        new = self._record.take_in(entries)
        self._fold(new)
        return len(new)

    def export(self) -> Path:
        """Write the whole log to a file of its own in the shop's folder. Raises CannotWriteError."""
        path = self.home / export_name(self._clock().wall.astimezone())
        self.export_to(path)
        return path

    def export_to(self, path: Path) -> int:
        """Write the whole log to one file; how many entries. Raises CannotWriteError."""
        return self._record.export_to(path)

    def look_into(self, path: Path) -> Offer:
        """What an exported log would bring, or what is wrong with it; nothing is taken in."""
        return self._record.look_into(path)

    def state_with(self, offer: Offer) -> State:
        """What would be done if an offer were taken in."""
        return replay((*offer.new, *self.entries()))

    def import_from(self, path: Path) -> Taken:
        """Take in an exported log, all of it or nothing. Raises CannotWriteError, DamagedLogError."""
        return self.take_in_offer(self.look_into(path))

    def take_in_offer(self, offer: Offer) -> Taken:
        """Take in what was looked into, after a backup. Raises CannotWriteError, DamagedLogError."""
        taken = self._record.take_in_offer(offer, self._clock().wall)
        if taken.found_again:
            self._replay = Replay(self._log.entries())
            self._tell()
        else:
            self._fold(list(taken.new))
        return taken

    def backups(self) -> tuple[Backup, ...]:
        """What can be put back: every backup that is kept, then every record that gave way to one, the latest first."""
        return (*self._record.backups(), *self._record.replaced())

    def back_up(self) -> Path:
        """Make a backup now. Raises CannotWriteError, DamagedLogError."""
        return self._record.back_up(self._clock().wall, "asked")

    def restore(self, backup: Path) -> str:
        """Put a backup in the place of the log; one sentence that says what came of it.

        The replaced log is kept, and the tablet writes under a new name: no count is written twice.
        """
        now = self._clock().wall
        try:
            aside = self._record.restore(backup, now)
        except DamagedLogError as error:
            return f"Not restored: the backup is damaged ({error})."
        except CannotWriteError as error:
            return f"Not restored. {error}"
        self._take_up()
        with contextlib.suppress(CannotWriteError, DamagedLogError):
            self._record.back_up(now, "restored")
        self._tell()
        count = len(self.entries())
        facts = "1 fact" if count == 1 else f"{count} facts"
        return f"Restored: {facts}. The record as it was is kept in the folder {aside.name}."

    def hold_to_the_log(self) -> bool:
        """Fold the log anew; whether the state was what the log says. It is from here on."""
        replayed = Replay(self._log.entries())
        same = replayed.state == self.state
        self._replay = replayed
        return same

    def entries(self) -> tuple[Entry, ...]:
        """The whole log."""
        return self._replay.entries

    @property
    def state(self) -> State:
        """What has been done, as the log says it."""
        return self._replay.state

    def _fold(self, new: list[Entry]) -> None:
        self._replay.take_in(new)
        self._tell()

    def _tell(self) -> None:
        for listener in tuple(self._listeners):
            if listener in self._listeners:  # an earlier one may have ended it
                listener()

    def listen(self, listener: Callable[[], None]) -> Callable[[], None]:
        """Call `listener` after every change; returns what ends it."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def close(self) -> None:
        """Give the last heartbeat, and close the record."""
        now = self._clock()
        self._record.heartbeats.beat(now.boot_id, now.boot, now.wall)
        self._record.close()
