"""This tablet in this shop: the builds it knows, the run in hand, and the only reader of the clock.

A tap is an intent: `do` asks `decide`, writes the facts to the log, and only then folds them into the state.
"""

from __future__ import annotations

import contextlib
import stat
import time
import uuid
from collections.abc import Callable, Iterable, MutableMapping
from datetime import UTC, datetime
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tracker.assets import asset_dir
from tracker.codes_elsewhere import CodesElsewhere
from tracker.design.load import Loaded, load_build
from tracker.design.problems import Problem
from tracker.design.tables.shop_defaults import ShopDefaults, read_in, shop_defaults
from tracker.plan.feasibility import check as check_geometry
from tracker.store import reserve
from tracker.store.backups import Backup
from tracker.store.errors import CannotWriteError, DamagedLogError
from tracker.store.exchange import Taken, export_name
from tracker.store.gc_pause import gc_paused
from tracker.store.log import Log
from tracker.store.record import Record
from tracker.work.clocks.elapsed import Beat, Now
from tracker.work.codes import code_for
from tracker.work.decide.decide import Intent, OpenBuild, Refusal, decide
from tracker.work.facts import Entry
from tracker.work.run import Run, board_key, check_routes, start_run
from tracker.work.state.replay import Replay
from tracker.work.state.state import RunState, State

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
_THIS_PROCESS = f"process {uuid.uuid4().hex}"
"""Stands for the boot where no boot clock can be read: a clock that starts anew with every process."""
MAX_BUILD_BYTES = 262_144
RESERVE_BYTES = reserve.BYTES
"""What the app keeps back for a full disk."""


def read_clock() -> Now:
    """The wall clock, and the boot clock where there is one (Linux, Android)."""
    wall = datetime.now(UTC)
    if hasattr(time, "CLOCK_BOOTTIME") and _BOOT_ID.exists():
        return Now(wall, _BOOT_ID.read_text().strip(), time.clock_gettime(time.CLOCK_BOOTTIME))
    return Now(wall, _THIS_PROCESS, time.monotonic())


class BuildFile(Struct, frozen=True):
    """A build file that this tablet knows."""

    path: Path
    loaded: Loaded

    @property
    def name(self) -> str:
        return self.loaded.build.name if self.loaded.build else self.path.name


def read_build(path: Path, shop: ShopDefaults | None = None) -> Loaded:
    """Load and check a build file to the last detail; what is wrong with the file itself is a problem too."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe would never end
            return Loaded(None, (Problem(0, "the file can't be read: it is no file", ""),))
        with path.open("rb") as file:
            data = file.read(MAX_BUILD_BYTES + 1)
    except OSError as error:
        return Loaded(None, (Problem(0, f"the file can't be read: {error.strerror}", ""),))
    except ValueError:  # a NUL in it
        return Loaded(None, (Problem(0, "no file can have this name", ""),))
    loaded = load_build(data, shop=shop)
    if loaded.build is None:
        return loaded
    found = (*loaded.problems, *check_routes(loaded.build), *check_geometry(loaded.build))
    wrong = any(problem.kind == "problem" for problem in found)
    return Loaded(None if wrong else loaded.build, tuple(sorted(found)))


def _waits(run: RunState) -> bool:
    """Whether it may have a clock that nobody ended."""
    ticks = ((item, tick) for item in run.items.values() for tick in item.ticks if tick.done.wait is not None)
    return any(item.answered.isdisjoint(tick.entries) for item, tick in ticks)


class Shop:
    """The shop floor behind the screens. Listeners are called after every change, with nothing."""

    def __init__(self, home: Path, clock: Callable[[], Now] = read_clock, reserve: int = 0) -> None:
        """`reserve`: how many bytes to keep back for a full disk. Raises OSError when no record can be read or kept."""
        self.home = home
        self._clock = clock
        self.run: Run | None = None
        self.codes = CodesElsewhere(read_build)
        self._others: dict[str, Run | None] = {}
        self._listeners: list[Callable[[], None]] = []
        with gc_paused(lambda: len(self._replay)):
            self._record = Record(home, clock().wall, reserve)
            self._take_up()

    def _take_up(self) -> None:
        """What stands in the record that was opened."""
        self.tablet = self.settings.setdefault("tablet", uuid.uuid4().hex[:8])
        self._replay = Replay(self._log.entries())
        last = self.settings.get("build file")
        if last and Path(last).exists():
            self._load(Path(last))

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
        told = self.state.believed
        believed = tuple(Beat(each.fact.boot_id, each.fact.boot, each.entry.at) for each in told)
        return replace(self._clock(), beats=beats, believed=believed)

    def beat(self) -> str:
        """What is done every few seconds: a heartbeat, a backup that is due. Returns a warning that is new."""
        now, said = self._clock(), self.warning
        self._record.heartbeats.beat(now.boot_id, now.boot, now.wall)
        run = self.run
        whole = run is not None and all(self.state.finished(run, item) for item in run.items.values())
        self._record.tend(now.wall, run.name if run is not None and whole else "")
        return self.warning if self.warning != said else ""

    # -- builds ------------------------------------------------------------------------------------------------

    @property
    def builds_folder(self) -> Path:
        """Where a person puts build files of their own."""
        folder = self.home / "builds"
        with contextlib.suppress(OSError):  # it may be one that only reads
            folder.mkdir(exist_ok=True)
        return folder

    def build_paths(self) -> tuple[Path, ...]:
        """Where the person's own build files lie, then the samples."""
        own = sorted(path for path in self.builds_folder.glob("*.toml") if path.is_file())  # a pipe would never end
        last = self.settings.get("build file")
        if last and Path(last).exists() and Path(last) not in own:
            own.insert(0, Path(last))
        samples = [path for path in sorted(asset_dir("sample_projects").glob("*.toml")) if path not in own]
        return (*own, *samples)

    def build_files(self) -> tuple[BuildFile, ...]:
        """The person's own build files, then the samples, each read."""
        return tuple(BuildFile(path, read_build(path)) for path in self.build_paths())

    def open(self, path: Path) -> tuple[Problem, ...]:
        """Take up a build; what is wrong with it, when it can't be taken up."""
        with contextlib.suppress(OSError, RuntimeError, ValueError):  # what can't be resolved can't be read: told below
            path = path.resolve()
        problems = self._load(path)
        if self.run is not None and not any(problem.kind == "problem" for problem in problems):
            self.settings["build file"] = str(path)
            self.do(OpenBuild(path.name))
        return problems

    def _load(self, path: Path) -> tuple[Problem, ...]:
        defaults = shop_defaults(self.settings)
        loaded = read_build(path, defaults)
        if loaded.build is not None:
            self.run = start_run(read_in(loaded.build, self.settings.get("units", ""), defaults))
        return loaded.problems

    def runs(self) -> tuple[Run, ...]:
        """The run in hand, and every other one with a clock that nobody ended: clocks run on while another build is
        open. A run whose build file is gone is left out."""
        here = (self.run,) if self.run else ()
        names = [name for name, run in self.state.runs.items() if (not here or name != here[0].name) and _waits(run)]
        for name in names:
            if name not in self._others:
                self._others[name] = self._find_run(name)
        return (*here, *(run for name in names if (run := self._others[name]) is not None))

    def _find_run(self, name: str) -> Run | None:
        opened = self.state.opened.get(name)
        for folder in (self.builds_folder, asset_dir("sample_projects")):
            path = folder / opened.file if opened else folder
            build = read_build(path, shop_defaults(self.settings)).build if path.is_file() else None
            if build is not None and (run := start_run(build)).name == name:
                return run
        return None

    def path_of(self, run: Run) -> Path | None:
        """The build file of a run."""
        return next((file.path for file in self.build_files() if file.name == run.build.name), None)

    def settings_changed(self) -> None:
        """Work with the build in hand by the tablet's settings as they are now."""
        last = self.settings.get("build file")
        if self.run is not None and last:
            self._load(Path(last))

    def run_of_code(self, code: str) -> tuple[Path, str] | None:
        """The build file and the key of the item or rack board that a code belongs to, if it is of another build.

        At once where `codes` is fresh; else it reads build files, which is no work for the screen's thread.
        """
        paths = self.build_paths()
        for name, state in self.state.runs.items():
            racked = next((key for key in map(board_key, state.whole.racked) if code_for(name, key) == code), None)
            file = self.state.opened[name].file if racked and name in self.state.opened else ""
            path = next((path for path in paths if path.name == file), None)
            if racked and path:
                return path, racked
        return self.codes.find(code, paths)

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

    def import_from(self, path: Path) -> Taken:
        """Take in an exported log, all of it or nothing. Raises CannotWriteError."""
        taken = self._record.import_from(path, self._clock().wall)
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
