"""The shop floor behind the screens: the run in hand, what was done, and the taps that are carried out.

A tap is an intent: `do` asks `decide`, writes the facts to the log, and only then folds them into the state.
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
"""The setting that keeps what was done on two tablets at once, and how many sentences of that."""
LAST_BUILD = "build file"
"""The setting that remembers which file is in hand."""
RESERVE_BYTES = reserve.BYTES
"""What the app keeps back for a full disk."""


class Shop(KeptRecord):
    """The run in hand, the builds that are known, and the taps that are carried out."""

    def __init__(self, home: Path, clock: Callable[[], Now] = read_clock, reserve: int = 0) -> None:
        """`reserve`: how many bytes to keep back for a full disk. Raises OSError when no record can be read or kept."""
        self.run: Run | None = None
        super().__init__(home, clock, reserve)

    def _take_up(self) -> None:
        super()._take_up()
        self.library = Library(self.home, self.settings)
        self.known = KnownRuns(self.library, lambda: self.state)
        last = self.settings.get(LAST_BUILD)
        with contextlib.suppress(OSError):  # a name that no file can have
            if last and Path(last).exists():
                self._work_on(self.library.read(Path(last)))

    def beat(self) -> str:
        """What is done every few seconds: a heartbeat, a backup that is due. Returns a warning that is new."""
        now, said = self._clock(), self.warning
        self._record.heartbeats.beat(now.boot_id, now.boot, now.wall)
        run = self.run
        whole = run is not None and all(self.state.finished(run, item) for item in run.items.values())
        self._record.tend(now.wall, run.name if run is not None and whole else "")
        return self.warning if self.warning != said else ""

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
    def while_apart(self) -> tuple[str, ...]:
        """Sentences on what was done here and elsewhere at the same time, until a person has seen them."""
        with contextlib.suppress(ValueError, TypeError):
            return tuple(str(each) for each in json.loads(self.settings.get(WHILE_APART, "[]")))
        return ()

    def keep_apart(self, sentences: Iterable[str]) -> None:
        """Keep sentences until they are seen, also over a restart."""
        kept = tuple(dict.fromkeys((*self.while_apart, *sentences)))[-MOST_APART:]
        self.settings[WHILE_APART] = json.dumps(kept)

    def seen_apart(self, sentence: str) -> None:
        """A person has seen to it."""
        self.settings[WHILE_APART] = json.dumps([each for each in self.while_apart if each != sentence])

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
