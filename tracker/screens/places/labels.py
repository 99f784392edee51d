"""Label sheets: choose a sheet and its first free place, make the PDF, preview it, send it to a printer."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from kivy.core.image import Image as CoreImage
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty

from tracker.cards.labels.labels import labels_card
from tracker.cards.template.outline_card import TemplateChoice, template_choices
from tracker.paper.printing import PrintingError, printers, send_to_printer
from tracker.paper.sheets import DEFAULT_A4, DEFAULT_LETTER, SHEETS, sheet_named
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.drawing.label_sheet import SheetMap as SheetMap
from tracker.screens.lazy import class_named
from tracker.screens.places.label_jobs import Made, make_labels, make_measuring_page
from tracker.screens.toolkit.prompts import Option
from tracker.whole_file import file_name
from tracker.words import say
from tracker.work.decide.decide import Label, UndoLabels

FEW = 5
"""How many sheets are offered at once, besides the way to the others."""


class LabelsScreen(CardScreen):
    """The large button does the next thing: make what has no label yet, then send it to the printer."""

    sheet_words = StringProperty("")
    sheet = ObjectProperty(None, allownone=True)
    start = NumericProperty(0)
    """The first free place of a used sheet."""
    said = StringProperty("")
    preview = ObjectProperty(None, allownone=True)
    busy = BooleanProperty(False)
    made = ObjectProperty(None, allownone=True)
    """The PDF that would be sent to a printer."""
    handled = BooleanProperty(False)
    """Whether that was sent, or can't be sent."""
    sends = BooleanProperty(False)
    """Whether sending is the next thing."""

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        self.card = labels_card(floor, desk.item_key)
        usual = DEFAULT_LETTER if floor.run.build.units == "in" else DEFAULT_A4
        sheet = sheet_named(desk.shop.settings.get("label sheet", usual))
        if self.made and self.made.run != floor.run.name:
            self._forget()
        if sheet is not self.sheet:
            self.start = 0
            self.sheet, self.sheet_words = sheet, sheet.words

    # -- the sheet ------------------------------------------------------------------------------------------------

    def choose_sheet(self) -> None:
        """Offer the sheets whose codes read well through dust, those of this build's paper size first."""
        paper = "letter" if the_desk().floor().run.build.units == "in" else "a4"
        good = [sheet for sheet in SHEETS if not sheet.small_code(300)]
        good.sort(key=lambda sheet: (not sheet.name.startswith(paper), not sheet.name.startswith("roll")))
        options = []
        for sheet in good:
            what, _, size = sheet.words.partition(" of ")
            options.append(Option(key=sheet.name, text=what, sub_text=size))
        self._offer(say("Which sheet is in the printer?"), options, say("Other sheets"), self._take_sheet)

    def _take_sheet(self, name: str) -> None:
        the_desk().shop.settings["label sheet"] = name
        self._forget()
        self.draw()

    def start_further(self, places: int) -> None:
        """Move the first free place further on; after the last one comes the first."""
        self._forget()
        self.start = (self.start + places) % self.sheet.places

    def start_at(self, place: int) -> None:
        """The sheet was tapped at the first free place."""
        self._forget()
        self.start = place

    def _forget(self) -> None:
        self.made = self.preview = None
        self.said = ""

    # -- what is next -----------------------------------------------------------------------------------------------

    def go_on(self) -> None:
        """The large button was tapped."""
        if self.sends:
            self.send()
        else:
            self.make_new()

    def choose_other(self) -> None:
        """Offer what is needed occasionally."""
        card = self.card
        offers = (
            (True, say("Make all"), say("{count}, with a label or not", count=len(card.every)), self.make_all),
            (card.hand, say("Just one label"), card.one, self.make_one),
            (card.boards, say("A rack board"), say("{count} on the rack", count=len(card.boards)), self.choose_board),
            (card.new, say("Already printed"), say("elsewhere: count them"), self.count_as_labelled),
            (bool(self.templates), say("A template"), say("full size, to saw by"), self.choose_template),
            (True, say("Test page"), say("to check with a ruler"), self.make_measuring_page),
        )
        jobs = {text: job for possible, text, _, job in offers if possible}
        options = [Option(key=text, text=text, sub_text=said) for possible, text, said, _ in offers if possible]
        the_desk().ask(say("Which labels?"), options, lambda text: jobs[text]())

    # -- making ---------------------------------------------------------------------------------------------------

    def make_new(self) -> None:
        """Make a label for everything that has none yet."""
        self._make(self.card.new, say("new labels"))

    def make_all(self) -> None:
        """Make a label for every piece, assembly and rack board."""
        self._make(self.card.every, "labels")

    def make_one(self) -> None:
        """Make the label of the current item again."""
        self._make(self.card.hand, self.card.one)

    def choose_board(self) -> None:
        """Make the label of one board on the rack, new or again."""
        titles = {board.key: board.title for board in self.card.boards}
        options = [Option(key=board.key, text=board.title, sub_text=board.said) for board in self.card.boards]
        self._offer(say("Which board?"), options, say("Other boards"), lambda key: self._make((key,), titles[key]))

    @property
    def templates(self) -> tuple[TemplateChoice, ...]:
        """Offer what can be printed at full size."""
        return template_choices(the_desk().floor().run.build)

    def choose_template(self) -> None:
        """Offer the outlines, and the parts with odd ends."""
        options = [Option(key=each.id, text=each.title, sub_text=each.said) for each in self.templates]
        self._offer(say("Which template?"), options, say("Others"), _show_template)

    def count_as_labelled(self) -> None:
        """What has no label yet was printed elsewhere: by the command, on another tablet, by hand."""
        new = self.card.new
        self._forget()
        the_desk().act(Label(new, run=the_desk().floor().run.name))
        self.said = say("{count} counted as having a label, nothing printed. Undo takes that back.", count=len(new))

    def make_measuring_page(self) -> None:
        """Make a page to measure with a rule before a sheet is used."""
        run, sheet = the_desk().floor().run, self.sheet
        path = self._path(say("measuring page {sheet}", sheet=sheet.name))
        self._work(say("Making the page ..."), lambda: make_measuring_page(run, sheet, path), self._show)

    def undo(self) -> None:
        """The last sheet was spoiled: what was on it counts as not labelled."""
        self._forget()
        the_desk().act(UndoLabels(run=the_desk().floor().run.name))
        self.said = say("The last sheet doesn't count any more.")

    def _make(self, keys: tuple[str, ...], words: str) -> None:
        run, sheet, start = the_desk().floor().run, self.sheet, self.start
        path = self._path(f"{run.build.name} {words}")
        self._work(say("Making the labels ..."), lambda: make_labels(run, keys, sheet, start, path), self._record)

    def _record(self, made: Made) -> None:
        """The labels exist: record that, unless another build was opened in the meantime."""
        desk = the_desk()
        if desk.floor().run.name == made.run:
            desk.act(Label(made.keys, run=made.run))
            self._show(made)

    def _show(self, made: Made) -> None:
        self.made, self.said, self.handled = made, made.said, False
        self.preview = _texture(made.picture) if made.picture else None

    # -- printing -------------------------------------------------------------------------------------------------

    def send(self) -> None:
        """Ask this machine for its printers, and send the PDF to the one chosen."""
        made = self.made
        self._work(say("Asking for printers ..."), printers, lambda names: self._choose_printer(made, names))

    def _choose_printer(self, made: Made, names: Sequence[str]) -> None:
        self.said = made.said
        if len(names) < 2:
            self._send(made, None)  # without printers it says what is missing
        elif the_desk().shows(self):
            options = [Option(key=name, text=name) for name in names[:6]]
            the_desk().ask(say("Which printer?"), options, lambda name: self._send(made, name))

    def _send(self, made: Made, printer: str | None) -> None:
        def job() -> str:
            return send_to_printer(made.path.read_bytes(), made.sheet, printer=printer, title=made.path.stem)

        self._work(say("Sending ..."), job, self._sent)

    def _sent(self, name: str) -> None:
        self.handled = True
        self.said = say("Sent to the printer: {name}. Check one label with a ruler.", name=name)

    # -- outside the screen's thread --------------------------------------------------------------------------------

    def _work(self, said: str, job: Any, done: Any) -> None:
        """Run a job in the worker; its result, or the reason why there is none, comes back here."""
        self.busy, self.said = True, said

        def finished(answer: Any) -> None:
            self.busy = False
            done(answer)

        the_desk().worker.submit(job, finished, self._failed)

    def _failed(self, error: BaseException) -> None:
        self.busy, self.said = False, ""
        if isinstance(error, PrintingError):
            self.handled = True
            self.said = f"{str(error)[:1].upper()}{str(error)[1:]}."
        elif isinstance(error, OSError):
            self.said = say("The PDF can't be written or read: {error}.", error=error.strerror or error)
        else:
            raise error

    def _offer(self, title: str, options: Sequence[Option], others: str, chosen: Callable[[str], None]) -> None:
        """Ask for one of these; where they are many, the first few, the others behind one more tap."""
        shown, more = (options, ()) if len(options) <= FEW + 1 else (options[:FEW], options[FEW:])
        last = [Option(key="", text=others)] if more else []
        the_desk().ask(
            title, [*shown, *last], lambda key: chosen(key) if key else self._offer(title, more, others, chosen)
        )

    def _path(self, words: str) -> Path:
        return the_desk().shop.home / "labels" / f"{file_name(words)}.pdf"


def _show_template(id_: str) -> None:
    class_named("overlays.outline.OutlineCover")(id_=id_).show()


def _texture(png: bytes) -> object:
    return CoreImage(io.BytesIO(png), ext="png").texture
