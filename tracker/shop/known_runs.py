"""The runs that the log knows, each with its build file, or with what the log alone says about it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from msgspec import Struct

from tracker.shop.library import Library
from tracker.work.run import Run
from tracker.work.state.run_from_log import run_from_log
from tracker.work.state.state import RunState, State, has_clock


class Owner(Struct, frozen=True):
    """The owner of a label's code: the run and build, the key in it, and the file; no file where none can be read."""

    run: str
    build: str
    key: str
    path: Path | None


class LostBuild(Struct, frozen=True):
    """A build in use whose file can't be read: `path` is where the file was, if it was opened here."""

    run: str
    name: str
    path: Path | None
    runs: bool
    """Whether one of its clocks is running, or waiting to be answered."""


class KnownRuns:
    """What the library and the log know together. `state` returns the present state of the log."""

    def __init__(self, library: Library, state: Callable[[], State]) -> None:
        self._library = library
        self._state = state
        self._clocks: dict[str, tuple[RunState, bool]] = {}
        self._of_log: dict[str, tuple[RunState, Run]] = {}

    def run(self, name: str) -> Run:
        """A run as its build file defines it; from the log alone where that file isn't read yet or can't be."""
        file = self._library.file_of(name)
        return file.run if file is not None and file.run is not None else self._run_of_log(name)

    def path(self, name: str) -> Path | None:
        """The build file of a run, among those that were read."""
        file = self._library.file_of(name)
        return file.path if file is not None else None

    def with_clocks(self) -> tuple[str, ...]:
        """The runs with a clock that is running or waiting to be answered. Each state of a run is examined only
        once."""
        runs = self._state().runs
        for name, run in runs.items():
            if name not in self._clocks or self._clocks[name][0] is not run:
                self._clocks[name] = run, any(map(has_clock, run.items.values()))
        return tuple(name for name in runs if self._clocks[name][1])

    def unread(self, names: Iterable[str]) -> tuple[Path, ...]:
        """The build files that must be read before `run` can answer for these runs from their files."""
        return tuple(dict.fromkeys(path for name in names for path in self._library.unread_for(name)))

    def lost(self) -> tuple[LostBuild, ...]:
        """The builds that were opened here or have a clock, and whose file is known to be gone."""
        clocks, opened = self.with_clocks(), dict(reversed(self._library.opened()))
        names = [name for name in dict.fromkeys((*opened, *clocks)) if name in self._state().runs]
        gone = (
            name
            for name in names
            if self._library.file_of(name) is None
            and not self._library.unread_for(name)
            and not (name in opened and self._library.has_problems(opened[name]))  # its own row says what is wrong
        )
        return tuple(LostBuild(name, self.run(name).build.name, opened.get(name), name in clocks) for name in gone)

    def owner_of(self, code: str) -> Owner | None:
        """Whose label a code is, among all known builds: by the build files, by the racks and by the log.

        Answers at once if every file of the library has been read; otherwise it reads build files, which doesn't belong
        on the screen's thread.
        """
        found = self._library.find_code(code)
        if found is not None:
            file, key = found
            return Owner(file.run.name if file.run else "", file.name, key, file.path)
        for name in self._state().runs:
            run = self._run_of_log(name)
            mine = next((key for key, each in run.codes.items() if each == code), "")
            if mine:
                return Owner(name, run.build.name, mine, self.path(name))
        return None

    def _run_of_log(self, name: str) -> Run:
        known = self._state().runs.get(name, RunState())
        if name not in self._of_log or self._of_log[name][0] is not known:
            self._of_log[name] = known, run_from_log(name, known.items, known.whole)
        return self._of_log[name][1]
