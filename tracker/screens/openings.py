"""Opening a build: its file is read in the background, and its problems are shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from tracker.cards.builds.builds import lost_words, said_first
from tracker.design.problems import Problem
from tracker.floor.saw_cuts import is_planned, plan_saw_work
from tracker.screens.desk import Desk, shown_path
from tracker.words import say
from tracker.work.revision import is_revised

MANY_PIECES = 100
"""The saw work of this many pieces is planned within a frame."""


class Openings:
    """Opens builds for the desk: `switch_to` does it, and `opened` shows what was opened."""

    def __init__(self, desk: Desk, switch_to: Callable[[Path], Sequence[Problem]], opened: Callable[[], None]) -> None:
        self._desk = desk
        self._switch_to = switch_to
        self._opened = opened

    def open(self, path: Path, then: Callable[[], None]) -> None:
        """Open a build and continue with `then`. A file that isn't read yet is first read in the background, where the
        saw work of a large build is planned as well."""
        if self._desk.shop.library.known(path.absolute()) is None:
            self._desk.notify(say("Reading {path} ...", path=path.name), "build", "waiting")
            self._desk.learn((path.absolute(),), lambda: self._plan(path, then))
        else:
            self._plan(path, then)

    def _plan(self, path: Path, then: Callable[[], None]) -> None:
        known = self._desk.shop.library.known(path.absolute())
        run = known.run if known else None
        if run is not None and len(run.items) > MANY_PIECES and not is_planned(run.build):
            self._desk.worker.submit(lambda: plan_saw_work(run), lambda _: self._open_read(path, then))
        else:
            self._open_read(path, then)

    def _open_read(self, path: Path, then: Callable[[], None]) -> None:
        problems = [problem for problem in self._switch_to(path) if problem.kind == "problem"]
        if problems:
            more = say(" And {count} more.", count=len(problems) - 1) if len(problems) > 1 else ""
            self._desk.go("builds")
            self._desk.notify(
                say(
                    "{path} can't be opened. Fix {problem}.{more}",
                    path=path.name,
                    problem=said_first(problems),
                    more=more,
                ),
                "build",
            )
            return
        self._desk.notify(self._desk.shop.warning, "record")
        self._opened()
        then()

    def open_item_of_run(self, run: str, key: str) -> None:
        """Show the card of an item of any build, or say why it no longer has one."""
        shop = self._desk.shop
        if shop.run is not None and shop.run.name == run:
            self._open_if_there(key)
        elif unread := shop.known.unread([run]):
            self._desk.learn(unread, lambda: self._open_item_read(run, key))
        else:
            self._open_item_read(run, key)

    def _open_item_read(self, run: str, key: str) -> None:
        known = self._desk.shop.known
        path = known.path(run)
        if path is None:
            self._desk.notify(self.lost(known.run(run).build.name, run), "build")
        else:
            self.open(path, lambda: self._open_if_there(key))

    def _open_if_there(self, key: str) -> None:
        if key in self._desk.floor().run.items:
            self._desk.open_item(key)
        else:
            self._desk.notify(say("The build file was revised, and this is no longer in it."), "build")

    def lost(self, build: str, run: str) -> str:
        """Say that a build can't be opened, because its file is gone or has a mistake; where it is or was, and what to
        do."""
        library = self._desk.shop.library
        was_at = library.opened_at(run)
        if was_at is not None and library.has_problems(was_at):
            found = [problem for problem in library.read(was_at).loaded.problems if problem.kind == "problem"]
            return say(
                "{build} can't be opened. Fix {problem} in {path}.",
                build=build,
                problem=said_first(found),
                path=shown_path(was_at),
            )
        return lost_words(build, shown_path(was_at) if was_at else "", shown_path(library.folder))

    def at_the_start(self) -> str:
        """What to know about the build that was current last: its file is gone, or was revised."""
        shop = self._desk.shop
        if shop.run is None:
            return self.lost(shop.last_run.build.name, shop.last_run.name) if shop.last_run else ""
        if not is_revised(shop.run, shop.state):
            return ""
        return say(
            "The build file was revised since it was opened: tap More, Builds, and the build to see what changed."
        )
