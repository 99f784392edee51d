"""The backups of the record: look at them, put one back, write the record to a file."""

from __future__ import annotations

from pathlib import Path

from kivy.properties import StringProperty

from tracker.cards.settings.restore import BackupRow, restore_card
from tracker.screens.base import CardScreen, shown_path, the_app
from tracker.screens.toolkit.lists import RowView
from tracker.store.errors import CannotWriteError


class RestoreScreen(CardScreen):
    """A list of backups; the one that was tapped is put back by holding a button."""

    card: tuple[BackupRow, ...]
    needs_run = False
    chosen = StringProperty("")
    chosen_title = StringProperty("")

    def draw(self) -> None:
        shop = the_app().shop
        held = ((str(each.path), each.made.astimezone(), each.why, each.facts()) for each in shop.backups())
        self.card = restore_card(held, len(shop.entries()))
        self.ids.list.rows = [
            RowView(title=row.title, subtitle=row.said, tone="ready" if row.possible else "caution", key=row.key)
            for row in self.card
        ]
        if self.chosen not in {row.key for row in self.card if row.possible}:
            self.choose("")

    def choose(self, key: str) -> None:
        """A backup was tapped."""
        row = next((row for row in self.card if row.key == key and row.possible), None)
        self.chosen = row.key if row else ""
        self.chosen_title = row.title if row else ""
        self.ids.list.selected = self.chosen or None

    def put_back(self) -> None:
        """The record becomes what the chosen backup holds."""
        said = the_app().restore(Path(self.chosen))
        self.choose("")
        the_app().root.said = said

    def write_to_file(self) -> None:
        """The whole record as one file, to be carried elsewhere."""
        app = the_app()
        try:
            file = app.shop.export()
        except CannotWriteError as error:
            app.root.said = f"Not written. {error}"
            return
        app.root.said = f"The whole record is in {shown_path(file)}."
        app.root.said_tone = "done"
