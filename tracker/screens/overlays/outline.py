"""An outline over the screen: its position on its panel, and its template on paper, corrected for the printer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty
from msgspec import Struct

from tracker.cards.template.outlines import outline_of
from tracker.design.model import Build
from tracker.measure import Length, Mark, inches, millimetres
from tracker.measure.tape_reading import SIXTY_FOURTH
from tracker.screens.desk import shown_path, the_desk
from tracker.screens.overlays.cover import Cover
from tracker.screens.overlays.tape import TapeSheet
from tracker.screens.toolkit.prompts import Option
from tracker.whole_file import file_name, write_whole
from tracker.words import say, say_many

if TYPE_CHECKING:  # imported when a template is made
    from tracker.cards.template.template import Sheet

WHOLE = "whole"
PAPERS = {"A4": "A4", "A3": "A3", "Letter": "Letter", "Tabloid": "Tabloid", WHOLE: say("One large page")}
SETTING = "template paper"
TENTH = Mark("mm", Fraction(1, 10))
"""A rule on paper can be read between its millimetres."""


class Made(Struct, frozen=True, kw_only=True):
    """A PDF in the folder."""

    path: Path
    paper: str
    said: str


def make_template(build: Build, id_: str, paper: str, scale: float, path: Path) -> Made:
    """Write the sheets, completely or not at all. Raises OSError, and OutlineError where there is nothing to draw."""
    from tracker.cards.template.outline_card import found
    from tracker.cards.template.template import large_sheet, sheets
    from tracker.paper.template import template_pdf

    each = found(build, id_)
    title = f"{build.name}: {each.name}"
    if paper == WHOLE:
        pages: tuple[Sheet, ...] = (large_sheet(each, title, build.units, scale),)
    else:
        pages = sheets(each, title, paper, build.units, scale)
    write_whole(path, template_pdf([sheet.page for sheet in pages], title))
    count = say_many("{count} sheet", "{count} sheets", len(pages))
    rule = say("4 in") if build.units == "in" else say("100 mm")
    said = say(
        "{count} in {path}. Print at 100 %, then measure the {rule} on it.",
        count=count,
        path=shown_path(path.parent),
        rule=rule,
    )
    return Made(path=path, paper=paper, said=said)


class OutlineCover(Cover):
    """Draws the outline of the item `key`, or `id` if that is given; the large button makes its sheets, then sends them
    to the printer."""

    id_: str = StringProperty("")
    paper = StringProperty("")
    scale = NumericProperty(1.0)
    """The factor that enlarges the sheets, for a printer that shrinks."""
    measured_words = StringProperty("")
    facts = StringProperty("")
    said = StringProperty("")
    drawing = ObjectProperty(None, allownone=True)
    busy = BooleanProperty(False)
    made = ObjectProperty(None, allownone=True)

    def draw(self) -> None:
        if self.card is not None:
            return
        desk = the_desk()
        build = desk.floor().run.build
        self.id_ = self.id_ or outline_of(desk.floor(), self.key)
        usual = "Letter" if build.units == "in" else "A4"
        kept = desk.shop.settings.get(SETTING, usual)
        self.paper = kept if kept in PAPERS else usual
        self.title = self.title or self.id_
        id_ = self.id_

        def job() -> Any:
            from tracker.cards.template.outline_card import outline_card

            return outline_card(build, id_)

        desk.worker.submit(job, self._show_card)

    def _show_card(self, card: Any) -> None:
        self.card, self.title, self.drawing = card, card.title, card.drawing
        self.facts = card.why or "\n".join(card.said)

    @property
    def rule(self) -> Length:
        """What is measured on the paper."""
        return inches(4) if the_desk().floor().run.build.units == "in" else millimetres(100)

    # -- paper --------------------------------------------------------------------------------------------------------

    def choose_paper(self) -> None:
        """Offer the papers."""
        options = [Option(key=name, text=words) for name, words in PAPERS.items()]
        the_desk().ask(say("Which paper is in the printer?"), options, self._take_paper)

    def _take_paper(self, name: str) -> None:
        the_desk().shop.settings[SETTING] = name
        self.paper, self.made = name, None

    def measure(self) -> None:
        """The measured length of the printed rule, typed on full-size keys like a tape reading."""
        in_inches = the_desk().floor().run.build.units == "in"
        what = say("the printed 4 in") if in_inches else say("the printed 100 mm")
        sheet = TapeSheet(self.title, what, self.rule, SIXTY_FOURTH if in_inches else TENTH)
        sheet.bind(on_kept=lambda _sheet, length: self._take_measured(length))
        sheet.open_on(the_desk().root)

    def _take_measured(self, length: Length) -> None:
        found = float(self.rule) / float(length) if length else 0.0
        if abs(found - 1) > 0.05:
            self.said = say("That is too far off: print at 100 %, with no fitting to the page.")
            return
        self.scale, self.made = found, None
        inch = self.rule != millimetres(100)
        shown = f"{float(length) / 25.4:.3f} in" if inch else f"{float(length):.4g} mm"
        self.measured_words = say("it measured {shown}", shown=shown) if found != 1 else say("it measured true")
        percent = abs(found - 1) * 100
        self.said = (
            say("The next sheets are drawn {percent:.2f} % larger.", percent=percent)
            if found > 1
            else say("The next sheets are drawn {percent:.2f} % smaller.", percent=percent)
        )

    # -- making and sending -------------------------------------------------------------------------------------------

    def go_on(self) -> None:
        """The large button was tapped."""
        if self.made is None:
            self._make()
        else:
            self._work(say("Asking for printers ..."), _printers, self._choose_printer)

    def _make(self) -> None:
        desk = the_desk()
        build, id_, paper, scale = desk.floor().run.build, self.id_, self.paper, self.scale
        path = desk.shop.home / "templates" / f"{file_name(f'{build.name} {id_} {paper}')}.pdf"
        self._work(say("Making the sheets ..."), lambda: make_template(build, id_, paper, scale, path), self._show)

    def _show(self, made: Made) -> None:
        self.made, self.said = made, made.said

    def _choose_printer(self, names: Sequence[str]) -> None:
        self.said = self.made.said
        if len(names) < 2:
            self._send(None)  # without printers it says what is missing
        else:
            options = [Option(key=name, text=name) for name in names[:6]]
            the_desk().ask(say("Which printer?"), options, self._send)

    def _send(self, printer: str | None) -> None:
        made = self.made

        def job() -> str:
            from tracker.paper.printing import send_pages

            return send_pages(made.path.read_bytes(), made.paper, printer=printer, title=made.path.stem)

        self._work(say("Sending ..."), job, self._sent)

    def _sent(self, name: str) -> None:
        self.said = say("Sent to the printer: {name}. Measure the rule on the paper.", name=name)

    def _work(self, said: str, job: Callable[[], Any], done: Callable[[Any], None]) -> None:
        self.busy, self.said = True, said

        def finished(answer: Any) -> None:
            self.busy = False
            done(answer)

        the_desk().worker.submit(job, finished, self._failed)

    def _failed(self, error: BaseException) -> None:
        self.busy = False
        self.said = f"{str(error)[:1].upper()}{str(error)[1:]}."
        if not isinstance(error, OSError | ValueError) and type(error).__name__ != "PrintingError":
            raise error


def _printers() -> tuple[str, ...]:
    from tracker.paper.printing import printers

    return printers()
