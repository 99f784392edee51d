"""Turning a spreadsheet's cut list into a build: the person reviews the meaning of each column, then every part."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.intake.columns import FIELDS, SIZES, Field
from tracker.intake.cut_list import (
    CellView,
    ColumnView,
    CutList,
    column_views,
    fault_words,
    read_cut_list,
    with_columns,
    with_units,
    without_column,
)
from tracker.intake.errors import IntakeError
from tracker.intake.rows import Row
from tracker.intake.sheets import MOST_BYTES
from tracker.measure import Length, Units, read_length
from tracker.measure.tape_reading import MILLIMETRE, SIXTY_FOURTH
from tracker.screens.desk import shown_path, the_desk
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.prompts import Option
from tracker.screens.toolkit.text import Text
from tracker.screens.toolkit.theme import Themed
from tracker.whole_file import file_name, write_whole
from tracker.words import say

KINDS = (".csv", ".xlsx")
MOST_OFFERED = 6
COLUMN = 41.0
"""Millimetres that a column of the table needs."""
KEY = 24.0
"""Millimetres of the key above a column, with the gap below it."""


def choose_cut_list() -> None:
    """Offer the newest spreadsheets in the folder of builds."""
    desk = the_desk()
    folder = desk.shop.library.folder
    found = sorted(
        (path for path in folder.iterdir() if path.suffix.lower() in KINDS and path.is_file()),
        key=lambda path: path.stat().st_mtime, reverse=True,
    )[:MOST_OFFERED]  # fmt: skip
    if not found:
        desk.notify(say("No cut list yet: put a .csv or .xlsx file into {path}", path=shown_path(folder)), "build")
        return
    options = [Option(key=path, text=path.name) for path in found]
    desk.ask(say("Which cut list?"), options, read_in)


def read_in(path: Path) -> None:
    """Read a cut list outside the screen's thread, then show it."""

    def job() -> CutList | str:
        try:
            with path.open("rb") as file:
                return read_cut_list(file.read(MOST_BYTES + 1), path.name)
        except IntakeError as wrong:
            return f"{wrong}."
        except OSError as error:
            return say("{path} can't be read: {error}.", path=path.name, error=error.strerror)

    def show(found: CutList | str) -> None:
        if isinstance(found, str):
            the_desk().notify(found[:1].upper() + found[1:], "build")
        else:
            CutListSheet(cuts=found).open_on(the_desk().root)

    the_desk().worker.submit(job, show)


class TableCell(Text):
    """A cell; a doubtful one is marked, and explained when its column is tapped."""

    doubt = StringProperty("")


class TableColumn(Themed, BoxLayout):
    """One column: a key with its meaning, its heading, its first cells. on_change: the key was tapped."""

    __events__ = ("on_change",)
    view: ColumnView = ObjectProperty(None, rebind=True, allownone=True)
    deep = NumericProperty(6)
    """How many cells fit."""

    def on_kv_post(self, base_widget: object) -> None:
        for cell in self.view.cells[: self.deep]:
            self.ids.cells.add_widget(_cell(cell))

    def on_change(self) -> None: ...


def _cell(view: CellView) -> TableCell:
    return TableCell(text=f"? {view.text}" if view.doubt else view.text, doubt=view.doubt)


class CutListSheet(Overlay):
    """The table with each column's meaning above it; a tap changes it."""

    cuts: CutList = ObjectProperty(None, rebind=True, allownone=True)
    first = NumericProperty(0)
    """The first column that is shown; the others are a tap away."""
    fits, deep = NumericProperty(4), NumericProperty(4)
    """How many columns, and how many cells of each, fit."""
    columns = ListProperty([])
    said = StringProperty("")
    asks_units = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self._fill = Clock.create_trigger(self._show, -1)
        super().__init__(**kwargs)
        for name in ("cuts", "first", "fits", "deep"):
            self.fbind(name, self._fill)
        self.ids.table.fbind("size", self._room)
        self._fill()

    def _room(self, *_: object) -> None:
        theme, table = the_desk().theme, self.ids.table
        self.fits = max(1, int(table.width / (COLUMN * theme.mm)))
        self.deep = max(1, int((table.height - KEY * theme.mm) / (1.5 * theme.fine) - 1))

    def _show(self, *_: object) -> None:
        self.columns = column_views(self.cuts)
        self.first = min(self.first, max(0, len(self.columns) - self.fits))
        table = self.ids.table
        table.clear_widgets()
        for view in self.columns[int(self.first) : int(self.first + self.fits)]:
            column = TableColumn(view=view, deep=int(self.deep))
            column.bind(on_change=lambda tapped: self.change(tapped.view))
            table.add_widget(column)
        doubts = [fault_words(fault) for fault in self.cuts.faults]
        notes = [*self.cuts.guess.notes, *doubts]
        more = say(" And {count} more, on the next page.", count=len(notes) - 2) if len(notes) > 2 else ""
        self.said = "\n".join(f"{note[:1].upper()}{note[1:]}." for note in notes[:2]) + more
        self.asks_units = self.cuts.without_unit

    def further(self) -> None:
        """Show the next columns of a wide table; after the last ones the first."""
        last = len(self.columns) - self.fits
        self.first = 0 if self.first >= last else min(last, self.first + self.fits)

    def change(self, view: ColumnView) -> None:
        """A column's key was tapped: ask what is in it."""
        options: list[Option] = [Option(key=field, text=field) for field in FIELDS if field != "unit"]
        options.append(Option(key="", text=say("not used")))
        the_desk().ask(
            say("What is in '{heading}'?", heading=view.heading or say("this column")),
            options,
            lambda key: self._take(view.at, key),
        )

    def _take(self, at: int, field: Field | None) -> None:
        guess = without_column(self.cuts.guess, at)
        self.cuts = self.cuts.taken_as(with_columns(guess, {field: at}) if field else guess)

    def use_units(self, units: Units) -> None:
        """The units of a list that gives none."""
        self.cuts = self.cuts.taken_as(with_units(self.cuts.guess, units))

    def look_through(self) -> None:
        """Show the parts as they would be used."""
        sheet = ListedPartsSheet(cuts=self.cuts)
        sheet.bind(on_made=lambda *_: self.close())
        sheet.open_on(the_desk().root)


class ListedPartsSheet(Overlay):
    """Every part as it would be used, first what wasn't understood. The build is made after the whole list was seen.
    on_made: it was made."""

    __events__ = ("on_made",)
    cuts: CutList = ObjectProperty(None, rebind=True, allownone=True)
    rows = ListProperty([])
    looked = BooleanProperty(False)
    """Whether the end of the list was on the screen."""
    busy = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self._watch: Any = None
        super().__init__(**kwargs)

    def on_cuts(self, *_: object) -> None:
        faults = [RowView(title=fault_words(each), subtitle="", tone="caution") for each in self.cuts.faults]
        self.rows = [*faults, *(_part_row(row, self.cuts.units) for row in self.cuts.rows)]

    def open_on(self, root: Any) -> None:
        super().open_on(root)
        self._watch = Clock.schedule_interval(self._look, 0.25)

    def close(self) -> None:
        if self._watch is not None:
            self._watch.cancel()
        super().close()

    def _look(self, _elapsed: float) -> None:
        """Whether the last row is on the screen."""
        shown = self.ids.list
        if shown.ids.view.data and not shown.more_below:
            self.looked = True
            self._watch.cancel()

    def make(self) -> None:
        """The button was held: write the build file into the folder of builds."""
        cuts, folder = self.cuts, the_desk().shop.library.folder
        self.busy = True

        def job() -> Path:
            path = _free_path(folder, file_name(cuts.name))
            write_whole(path, cuts.text().encode())
            return path

        the_desk().worker.submit(job, self._made, self._failed)

    def _made(self, path: Path) -> None:
        self.close()
        self.dispatch("on_made")
        desk = the_desk()
        desk.notify(
            say(
                "{path} is made: {count} parts. Look at every remark in it.", path=path.name, count=len(self.cuts.rows)
            ),
            "done",
        )
        desk.root.screen.draw()

    def _failed(self, error: BaseException) -> None:
        self.busy = False
        if not isinstance(error, OSError | ValueError):
            raise error
        the_desk().notify(say("The build file can't be written: {error}", error=error), "build")

    def on_made(self) -> None: ...


def _part_row(row: Row, units: Units) -> RowView:
    mark = SIXTY_FOURTH if units == "in" else MILLIMETRE
    sizes = [read_length(Length(row.sizes[size]), mark).text for size in SIZES if size in row.sizes]
    words = [" × ".join(sizes), row.wood, *row.doubts]
    tone = "caution" if row.doubts else "ready"
    return RowView(title=f"{row.quantity} × {row.name}", subtitle=", ".join(word for word in words if word), tone=tone)


def _free_path(folder: Path, name: str) -> Path:
    """A name that no build file has."""
    path, number = folder / f"{name}.toml", 2
    while path.exists():
        path, number = folder / f"{name} {number}.toml", number + 1
    return path
