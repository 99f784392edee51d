"""The shop floor behind the screens: the current run, what was done, and how taps are carried out.

A tap is an intent: `do` calls `decide`, writes the facts to the log, and only then folds them into the state.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable, Iterable
from pathlib import Path

from tracker.design.problems import Problem
from tracker.shop.clock import read_clock
from tracker.shop.kept_record import KeptRecord
from tracker.shop.known_runs import KnownRuns
from tracker.shop.library import BuildFile, Library
from tracker.store import reserve
from tracker.store.errors import CannotWriteError
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Intent, OpenBuild, Refusal, decide
from tracker.work.facts import Answered, Entry, Undone
from tracker.work.run import Run

WHILE_APART, MOST_APART = "while apart", 30
"""The setting with the sentences about what was done on two tablets at once, and the most sentences kept."""
LAST_BUILD = "build file"
"""The setting with the current build file."""
RESERVE_BYTES = reserve.BYTES
"""The bytes that the app holds back for a full disk."""


class Shop(KeptRecord):
    """The current run, the known builds, and how taps are carried out."""

    def __init__(self, home: Path, clock: Callable[[], Now] = read_clock, reserve: int = 0) -> None:
        """`reserve`: how many bytes to hold back for a full disk. Raises OSError when no record can be read or kept."""
        self.run: Run | None = None
        super().__init__(home, clock, reserve)

    def _read_record(self) -> None:
        super()._read_record()
        self.library = Library(self.home, self.settings)
        self.known = KnownRuns(self.library, lambda: self.state)
        last = self.settings.get(LAST_BUILD)
        with contextlib.suppress(OSError):  # an impossible file name
            if last and Path(last).exists():
                self._work_on(self.library.read(Path(last)))

    def beat(self) -> str:
        """The work of every few seconds: a heartbeat, and a backup if one is due. Returns a warning if it is new."""
        now, said = self._clock(), self.warning
        self._record.heartbeats.beat(now.boot_id, now.boot, now.wall)
        run = self.run
        whole = run is not None and all(self.state.finished(run, item) for item in run.items.values())
        self._record.tend(now.wall, run.name if run is not None and whole else "")
        return self.warning if self.warning != said else ""

    def open(self, path: Path) -> tuple[Problem, ...]:
        """Open a build; returns its problems when it can't be opened."""
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
        """The run that was current last, as far as the log knows it, even if its file is gone."""
        last = self.settings.get(LAST_BUILD, "")
        name = next((run for run, path in self.library.opened() if str(path) == last), "")
        return self.known.run(name) if name in self.state.runs else None

    def settings_changed(self) -> None:
        """Apply the tablet's present settings to the current build."""
        last = self.settings.get(LAST_BUILD)
        if self.run is not None and last:
            self._work_on(self.library.read(Path(last)))

    def runs(self) -> tuple[Run, ...]:
        """The current run, and every other one with a clock that nobody has ended: clocks keep running while another
        build is open. Where a build's file isn't read yet or can't be, its run comes from the log."""
        return (*((self.run,) if self.run else ()), *map(self.known.run, self.other_clocks()))

    def unread(self) -> tuple[Path, ...]:
        """The build files that must be read before `runs` is complete."""
        return self.known.unread(self.other_clocks())

    def other_clocks(self) -> tuple[str, ...]:
        """The names of other runs that have a clock running or waiting to be answered."""
        here = self.run.name if self.run else None
        return tuple(name for name in self.known.with_clocks() if name != here)

    def runs_of(self, entries: Iterable[Entry]) -> tuple[str, ...]:
        """The names of the runs that entries are about."""
        names: dict[str, None] = {}
        for entry in entries:
            fact = entry.fact
            target = (fact.tablet, fact.count) if isinstance(fact, Undone | Answered) else entry.id
            subject = self.state.about(target)
            if subject is not None and subject[0]:
                names[subject[0]] = None
        return tuple(names)

    @property
    def unseen_news(self) -> tuple[str, ...]:
        """Sentences about what was done here and elsewhere at the same time, until a person has seen them."""
        with contextlib.suppress(ValueError, TypeError):
            return tuple(str(each) for each in json.loads(self.settings.get(WHILE_APART, "[]")))
        return ()

    def keep_news(self, sentences: Iterable[str]) -> None:
        """Keep sentences until they are seen, also across a restart."""
        kept = tuple(dict.fromkeys((*self.unseen_news, *sentences)))[-MOST_APART:]
        self.settings[WHILE_APART] = json.dumps(kept)

    def news_seen(self, sentence: str) -> None:
        """A person has seen this sentence."""
        self.settings[WHILE_APART] = json.dumps([each for each in self.unseen_news if each != sentence])

    def do(self, intent: Intent, run: Run | None = None) -> Refusal | None:
        """Carry out a tap, for the current run or for another one. When this returns None its facts are on the disk."""
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
