"""This tablet in this shop: the builds it knows, the run in hand, and the only reader of the clock.

A tap is an intent: `do` asks `decide`, writes the facts to the log, and only then folds them into the state.
"""

from __future__ import annotations

import time
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tracker.assets import asset_dir
from tracker.design.load import Loaded, load_build
from tracker.design.problems import Problem
from tracker.design.shop_defaults import ShopDefaults, read_in, shop_defaults
from tracker.plan.check import check as check_geometry
from tracker.store.rescue import open_log
from tracker.store.settings import Settings
from tracker.work.clocks import Now
from tracker.work.decide import Intent, OpenBuild, Refusal, decide
from tracker.work.facts import Entry
from tracker.work.fold import Ledger
from tracker.work.run import Run, check_routes, start_run
from tracker.work.state import State

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
MAX_BUILD_BYTES = 262_144


def read_clock() -> Now:
    """The wall clock, and the boot clock where there is one (Linux, Android)."""
    wall = datetime.now(UTC)
    if hasattr(time, "CLOCK_BOOTTIME") and _BOOT_ID.exists():
        return Now(wall, _BOOT_ID.read_text().strip(), time.clock_gettime(time.CLOCK_BOOTTIME))
    return Now(wall, "process", time.monotonic())


@dataclass(frozen=True, slots=True)
class BuildFile:
    """A build file that this tablet knows."""

    path: Path
    loaded: Loaded

    @property
    def name(self) -> str:
        return self.loaded.build.name if self.loaded.build else self.path.name


def read_build(path: Path, shop: ShopDefaults | None = None) -> Loaded:
    """Load and check a build file to the last detail; what is wrong with the file itself is a problem too."""
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BUILD_BYTES + 1)
    except OSError as error:
        return Loaded(None, (Problem(0, f"the file can't be read: {error.strerror}", ""),))
    loaded = load_build(data, shop=shop)
    if loaded.build is None:
        return loaded
    found = (*loaded.problems, *check_routes(loaded.build), *check_geometry(loaded.build))
    wrong = any(problem.kind == "problem" for problem in found)
    return Loaded(None if wrong else loaded.build, tuple(sorted(found)))


class Shop:
    """The shop floor behind the screens. Listeners are called after every change, with nothing."""

    def __init__(self, home: Path, clock: Callable[[], Now] = read_clock) -> None:
        self.home = home
        self.now = clock
        opened = open_log(home, clock().wall)
        self.notice = opened.notice
        self._log = opened.log
        self.settings = Settings(opened.log.db)
        self.tablet = self.settings.setdefault("tablet", uuid.uuid4().hex[:8])
        self._ledger = Ledger(self._log.entries())
        self.run: Run | None = None
        self._listeners: list[Callable[[], None]] = []
        last = self.settings.get("build file")
        if last and Path(last).exists():
            self._load(Path(last))

    # -- builds ------------------------------------------------------------------------------------------------

    @property
    def builds_folder(self) -> Path:
        """Where a person puts build files of their own."""
        folder = self.home / "builds"
        folder.mkdir(exist_ok=True)
        return folder

    def build_files(self) -> tuple[BuildFile, ...]:
        """The person's own build files, then the samples."""
        own = sorted(self.builds_folder.glob("*.toml"))
        last = self.settings.get("build file")
        if last and Path(last).exists() and Path(last) not in own:
            own.insert(0, Path(last))
        samples = [path for path in sorted(asset_dir("sample_projects").glob("*.toml")) if path not in own]
        return tuple(BuildFile(path, read_build(path)) for path in (*own, *samples))

    def open(self, path: Path) -> tuple[Problem, ...]:
        """Take up a build; what is wrong with it, when it can't be taken up."""
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

    def settings_changed(self) -> None:
        """Work with the build in hand by the tablet's settings as they are now."""
        last = self.settings.get("build file")
        if self.run is not None and last:
            self._load(Path(last))

    def run_of_code(self, code: str) -> tuple[Path, str] | None:
        """The build file and item key of a code that belongs to a build which isn't the one in hand."""
        for file in self.build_files():
            if file.loaded.build is not None:
                key = start_run(file.loaded.build).by_code.get(code)
                if key:
                    return file.path, key
        return None

    # -- facts -------------------------------------------------------------------------------------------------

    def do(self, intent: Intent) -> Refusal | None:
        """Carry out a tap. When this returns None its facts are on the disk."""
        if self.run is None:
            return Refusal("Open a build first.")
        now = self.now()
        answer = decide(self.run, self.state, intent, now)
        if isinstance(answer, Refusal):
            return answer
        self._fold(self._log.append(self.tablet, now.wall, answer))
        return None

    def take_in(self, entries: Iterable[Entry]) -> int:
        """Take in another tablet's entries; how many were new. Twice is harmless."""
        new = self._log.take_in(entries)
        self._fold(new)
        return len(new)

    def entries(self) -> tuple[Entry, ...]:
        """The whole log."""
        return self._ledger.entries

    @property
    def state(self) -> State:
        """What has been done, as the log says it."""
        return self._ledger.state

    def _fold(self, new: list[Entry]) -> None:
        self._ledger.take_in(new)
        for listener in tuple(self._listeners):
            listener()

    def listen(self, listener: Callable[[], None]) -> Callable[[], None]:
        """Call `listener` after every change; returns what ends it."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def close(self) -> None:
        self._log.close()
