"""The backups of the record: look at them, restore one, export the record, import another tablet's."""

from __future__ import annotations

import contextlib
from pathlib import Path

from kivy.properties import StringProperty

from tracker.cards.settings.restore import BackupRow, restore_card
from tracker.cards.settings.take_in import TakeInCard, take_in_card
from tracker.screens.base import CardScreen
from tracker.screens.desk import shown_path, the_desk
from tracker.screens.overlays.take_in import TakeInSheet
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.prompts import Option
from tracker.store.errors import CannotWriteError, DamagedLogError
from tracker.store.exchange import Offer
from tracker.words import say

MOST_OFFERED = 6
"""How many records fit on a panel; the latest are offered."""


def exported_files(home: Path) -> list[tuple[Path, str]]:
    """The records that somebody copied into the folder, the latest first, each with its size in words."""
    found = []
    for path in home.glob("*.jsonl"):
        with contextlib.suppress(OSError):
            if path.is_file():
                found.append((path.stat().st_mtime, path, say("{size:,.0f} kB", size=path.stat().st_size / 1000)))
    return [(path, size) for _, path, size in sorted(found, reverse=True)[:MOST_OFFERED]]


class RestoreScreen(CardScreen):
    """A list of backups; the one that was tapped is restored by holding a button."""

    card: tuple[BackupRow, ...]
    needs_run = False
    chosen = StringProperty("")
    chosen_title = StringProperty("")

    def draw(self) -> None:
        shop = the_desk().shop
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
        """Restore the chosen backup."""
        said = the_desk().restore(Path(self.chosen))
        self.choose("")
        the_desk().notify(said, "record")

    def offer_files(self) -> None:
        """Ask which of the records in the shop's folder to import."""
        desk = the_desk()
        found = exported_files(desk.shop.home)
        if not found:
            folder = shown_path(desk.shop.home)
            said = say(
                "Copy the other tablet's file (kerfcard-….jsonl) into {folder} first, then tap here again.",
                folder=folder,
            )
            desk.notify(said, "record")
            return
        options = [Option(key=path, text=path.name, sub_text=sub_text) for path, sub_text in found]
        desk.ask(say("Which record do you want to import?"), options, self.look_into)

    def look_into(self, path: Path) -> None:
        """Show what a file would change; it is read outside the screen's thread."""
        desk = the_desk()
        shop = desk.shop

        def read() -> tuple[Offer, TakeInCard]:
            offer = shop.look_into(path)
            return offer, take_in_card(shop.state, shop.state_with(offer), offer.new, shop.tablet)

        desk.notify(say("Reading {path}...", path=path.name), "record", "waiting")
        desk.worker.submit(read, lambda answer: self.show_offer(path, *answer))

    def show_offer(self, path: Path, offer: Offer, card: TakeInCard) -> None:
        """The effect of the import, on a sheet; or the problems of the file."""
        desk = the_desk()
        if offer.problems:
            wrong = offer.problems[0]
            desk.notify(
                say("{path} can't be imported: line {line}: {what}.", path=path.name, line=wrong.line, what=wrong.what),
                "record",
            )
            return
        desk.notify("", "record")
        sheet = TakeInSheet(card=card)
        sheet.bind(on_take=lambda _sheet: self.take_in(path))
        sheet.open_on(desk.root)

    def take_in(self, path: Path) -> None:
        """Import the file that was examined, into the present record, which may have grown since."""
        desk = the_desk()
        try:
            taken = desk.shop.import_from(path)
        except (CannotWriteError, DamagedLogError) as error:
            desk.notify(say("Nothing was imported. {error}", error=error), "record")
            return
        if taken.problems:
            desk.notify(say("Nothing was imported: {what}.", what=taken.problems[0].what), "record")
            return
        said = say("Imported: {count} entries. The record as it was is among the backups.", count=len(taken.new))
        desk.notify(said, "record", "done")

    def write_to_file(self) -> None:
        """Export the whole record as one file, to take elsewhere."""
        desk = the_desk()
        try:
            file = desk.shop.export()
        except CannotWriteError as error:
            desk.notify(say("Not written. {error}", error=error), "record")
            return
        desk.notify(say("The whole record is in {path}.", path=shown_path(file)), "record", "done")
