"""The builds that this tablet knows: open one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kivy.properties import NumericProperty, StringProperty

from tracker.cards.builds.builds import BuildRow, build_row, lost_row, lost_words, told_apart, unread_row
from tracker.cards.builds.revision import revision_card
from tracker.screens.base import CardScreen
from tracker.screens.desk import shown_path, the_desk
from tracker.screens.drawing.furniture_tile import FurnitureTile as FurnitureTile  # kv needs the name
from tracker.screens.lazy import class_named
from tracker.screens.overlays.revision import RevisionSheet
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.prompts import Option
from tracker.shop import BuildFile
from tracker.shop.known_runs import LostBuild
from tracker.words import say
from tracker.work.state.state import RunState, State


class BuildsScreen(CardScreen):
    """A list of builds; a tap opens one, or shows its problems.

    Files are read and compared with the work done in the background. Until then a row says that it is being read.
    """

    needs_run = False
    least_picture_mm = NumericProperty(32.0)
    """The least height of the picture in portrait."""
    where = StringProperty("")
    next_words = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        self._rows: dict[Path, tuple[BuildFile, RunState | None, BuildRow]] = {}
        self._reading = False
        super().__init__(**kwargs)

    def draw(self) -> None:
        shop = the_desk().shop
        current = shop.settings.get("build file")
        paths = shop.library.paths()
        rows = [self._row(path) for path in paths]
        if None in rows:
            self._read(paths)
        lost = [
            lost_row(str(each.path or each.run), each.name, shown_path(each.path) if each.path else "", each.runs)
            for each in shop.known.lost()
        ]
        shown = (row or unread_row(str(path), path.name) for row, path in zip(rows, paths, strict=True))
        self.card = told_apart([*lost, *shown], current or "")
        self.ids.list.rows = [RowView(title=r.title, subtitle=r.said, tone=r.tone, key=r.path) for r in self.card]
        self.ids.list.selected = current
        self.ids.furniture.refresh()
        self.next_words = "" if shop.run else say("Tap a build to work on it.")
        self.where = say("Your own build files go into the folder {path}", path=shown_path(shop.library.folder))

    def _row(self, path: Path) -> BuildRow | None:
        """The row of a file, if it was made from its present version and the present state of the work."""
        shop = the_desk().shop
        file, (known, done, row) = shop.library.known(path), self._rows.get(path, (None, None, None))
        return row if file is not None and file is known and _done(file, shop.state) is done else None

    def _read(self, paths: tuple[Path, ...]) -> None:
        """Make the rows in the background, then draw again."""
        if self._reading:
            return
        self._reading = True
        library, state = the_desk().shop.library, the_desk().shop.state
        stale = [path for path in paths if self._row(path) is None]

        def job() -> dict[Path, tuple[BuildFile, RunState | None, BuildRow]]:
            files = map(library.read, stale)
            return {file.path: (file, _done(file, state), _row_of(file, state)) for file in files}

        the_desk().worker.submit(job, self._take_rows, self._failed)

    def _take_rows(self, rows: dict[Path, tuple[BuildFile, RunState | None, BuildRow]]) -> None:
        self._reading = False
        self._rows.update(rows)
        if the_desk().shows(self):
            self.draw()

    def _failed(self, error: BaseException) -> None:
        self._reading = False
        raise error

    def choose(self, path: str) -> None:
        """A build was tapped; for a revised file, what that means is shown first."""
        desk = the_desk()
        lost = next((each for each in desk.shop.known.lost() if path == str(each.path or each.run)), None)
        if lost is not None:
            self._say_lost(lost)
            return
        row = next((row for row in self.card if row.path == path), None)
        file = desk.shop.library.known(Path(path))
        if row is None or not row.revised or file is None or file.run is None:
            desk.open_build(Path(path))
            return
        sheet = RevisionSheet(card=revision_card(file.run, desk.shop.state))
        sheet.bind(on_take=lambda _sheet: the_desk().open_build(Path(path)))
        sheet.open_on(desk.root)

    def _say_lost(self, lost: LostBuild) -> None:
        """Say that its file is gone and where it was; when none of its clocks is running, it can be removed from the
        list."""
        desk = the_desk()
        was_at = shown_path(lost.path) if lost.path else ""
        said = lost_words(lost.name, was_at, shown_path(desk.shop.library.folder))
        if lost.runs:
            desk.notify(say("{said} Its timers keep running.", said=said), "build")
            return

        def forget(_key: object) -> None:
            desk.shop.library.forget(lost.run)
            self.draw()

        option = Option(
            key="forget", text=say("Take it off the list"), sub_text=say("what was done stays in the record")
        )
        desk.ask(say("{lost}: its file is gone", lost=lost.name), [option], forget, note=said)

    def choose_list(self) -> None:
        """Turn a spreadsheet's cut list into a build."""
        class_named("overlays.cut_list.choose_cut_list")()

    def turn_light(self) -> None:
        """Switch between bright day and dark shop."""
        the_desk().turn_light()


def _done(file: BuildFile, state: State) -> RunState | None:
    """What was done of a file's run: a value that changes whenever something more is done."""
    return state.runs.get(file.run.name) if file.run else None


def _row_of(file: BuildFile, state: State) -> BuildRow:
    return build_row(str(file.path), file.path.name, file.loaded.build, file.loaded.problems, file.run, state)
