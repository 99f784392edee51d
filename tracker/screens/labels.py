"""Label sheets: choose a sheet, write the PDF, see what it looks like."""

from __future__ import annotations

import io
from pathlib import Path

from kivy.core.image import Image as CoreImage
from kivy.properties import ObjectProperty, StringProperty

from tracker.cards.label_of import label_of, run_labels
from tracker.cards.sheets import labels_card
from tracker.paper.labels import label_png, label_sheet_pngs, write_label_pdf
from tracker.paper.sheets import DEFAULT_A4, DEFAULT_LETTER, SHEETS, Sheet, sheet_named
from tracker.screens.base import CardScreen, shown_path, the_app
from tracker.screens.sheets import Option, Panel


class LabelsScreen(CardScreen):
    """One button makes the sheets of the whole build; another the label of the item in hand."""

    sheet_words = StringProperty("")
    said = StringProperty("")
    preview = ObjectProperty(None, allownone=True)

    def draw(self) -> None:
        app = the_app()
        self.card = labels_card(app.floor().run, app.hand)
        self.sheet_words = self.sheet.words

    @property
    def sheet(self) -> Sheet:
        app = the_app()
        usual = DEFAULT_LETTER if app.floor().run.build.units == "in" else DEFAULT_A4
        return sheet_named(app.shop.settings.get("label sheet", usual))

    def choose_sheet(self) -> None:
        """Offer the sheets there are."""
        offered = [sheet for sheet in SHEETS if not sheet.small_code(300)][:6]
        panel = Panel(
            title="Which sheet is in the printer?",
            options=[Option(key=sheet.name, text=sheet.words) for sheet in offered],
        )
        panel.bind(on_choose=lambda _panel, name: self._take_sheet(name))
        panel.open_on(the_app().root)

    def _take_sheet(self, name: str) -> None:
        the_app().shop.settings["label sheet"] = name
        self.draw()

    def make_all(self) -> None:
        """Write the PDF with a label for every piece and assembly."""
        run = the_app().floor().run
        path = self._folder() / f"{_file_name(run.build.name)} labels.pdf"
        with path.open("wb") as file:
            pages = write_label_pdf(file, run_labels(run), self.sheet, title=run.build.name)
        self.said = f"{pages} {'page' if pages == 1 else 'pages'} in {shown_path(path)}. Print at 100 %."
        self.preview = _texture(next(label_sheet_pngs(run_labels(run), self.sheet, dpi=203)))

    def make_one(self) -> None:
        """Write the label of the item in hand as a picture."""
        app = the_app()
        run = app.floor().run
        item = run.items[app.hand]
        path = self._folder() / f"{_file_name(run.build.name)} {_file_name(item.title)}.png"
        data = label_png(label_of(run, item), self.sheet)
        path.write_bytes(data)
        self.said = f"{item.title}: {shown_path(path)}"
        self.preview = _texture(data)

    def _folder(self) -> Path:
        folder = the_app().shop.home / "labels"
        folder.mkdir(exist_ok=True)
        return folder


def _texture(png: bytes) -> object:
    return CoreImage(io.BytesIO(png), ext="png").texture


def _file_name(words: str) -> str:
    """Words as a file name that every system takes."""
    return "".join(sign if sign.isalnum() or sign in " -_" else "_" for sign in words).strip() or "build"
