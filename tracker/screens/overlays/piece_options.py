"""The options of *This piece* on a card, and the sheets behind them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from kivy.properties import ListProperty, OptionProperty, StringProperty

from tracker.cards.keypad.moisture import moisture_said
from tracker.cards.piece.piece_options import (
    ASIDE_FOR,
    NOTES,
    SPOILED_BY,
    Measurable,
    measurables,
    measure_intent,
    options_card,
    swap_partners,
)
from tracker.cards.words import capital
from tracker.screens.desk import the_desk
from tracker.screens.lazy import class_named
from tracker.screens.overlays.tape import TapeSheet
from tracker.screens.toolkit.buttons import SmallButton
from tracker.screens.toolkit.keypad import KeyGrid, Letters
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.overlay import Overlay, show_only
from tracker.screens.toolkit.prompts import Option
from tracker.screens.toolkit.theme import current_theme
from tracker.words import say
from tracker.work.decide.intents import Note, PutAside, Resume, Spoil, Swap

if TYPE_CHECKING:
    from collections.abc import Callable

LONGEST_NOTE = 60
MOISTURE = "moisture"


def show_life(key: str, show_lay: Callable[[], None]) -> None:
    """Offer everything that can be done with a piece besides its next step."""
    desk = the_desk()
    floor = desk.floor()
    card, run = options_card(floor, key), floor.run.name
    doing: dict[str, Callable[[], None]] = {
        "lay": show_lay,
        "outline": lambda: class_named("overlays.outline.OutlineCover")(key=key).show(),
        "place": lambda: show_place(key),
        "measure": lambda: _measure(run, key, card.title),
        "aside": lambda: _aside(run, key, card.title),
        "take up": lambda: desk.act(Resume(key, run=run)),
        "swap": lambda: _swap(run, key, card.title),
        "note": lambda: NoteSheet(run=run, key=key, title=card.title).open_on(desk.root),
        "spoil": lambda: SpoilSheet(run=run, key=key, title=card.title).open_on(desk.root),
    }
    options = [
        Option(
            key=option.key,
            text=option.text,
            sub_text=option.said,
            tone=option.tone,
            possible=not option.why,
        )
        for option in card.options
    ]
    desk.ask(card.title, options, lambda chosen: doing[chosen](), note=card.note)


def show_place(key: str) -> None:
    """A picture of where a piece goes, or of an assembly."""
    class_named("overlays.picture.PictureCover")(key=key).show()


def enter_moisture(key: str, title: str) -> None:
    """Enter a meter's reading of a piece or a board, on full-size keys."""
    class_named("overlays.moisture.MoistureCover")(key=key, what=title).show()


def _measure(run: str, key: str, title: str) -> None:
    desk = the_desk()
    sizes: dict[str, Measurable] = {size.what: size for size in measurables(desk.floor(), key)}
    options = [Option(key=size.what, text=size.text, sub_text=size.said) for size in sizes.values()]
    moisture = moisture_said(desk.floor(), key) or say("read the meter")
    options.append(Option(key=MOISTURE, text=say("Moisture"), sub_text=moisture))

    def chosen(what: str) -> None:
        if what == MOISTURE:
            enter_moisture(key, title)
        else:
            _read(run, key, title, sizes[what])

    desk.ask(say("{title}: which size?", title=title), options, chosen)


def _read(run: str, key: str, title: str, size: Measurable) -> None:
    desk = the_desk()
    sheet = TapeSheet(title, size.text.lower(), size.planned, desk.floor().run.build.shop.mark)
    sheet.bind(on_kept=lambda _sheet, length: desk.act(measure_intent(run, key, size, length)))
    sheet.open_on(desk.root)


def _aside(run: str, key: str, title: str) -> None:
    the_desk().ask(
        say("{title}: why set it aside?", title=title),
        [Option(key=why, text=capital(say(why))) for why in ASIDE_FOR],
        lambda why: the_desk().act(PutAside(key, why, run=run)),
        note=say("The place is kept; the assembly will wait for this piece."),
    )


def _swap(run: str, key: str, title: str) -> None:
    desk = the_desk()
    rows = [
        RowView(title=twin.title, subtitle=twin.said, tone="ready", key=twin.key)
        for twin in swap_partners(desk.floor(), key)
    ]
    sheet = ListSheet(title=say("{title}: swap with", title=title), rows=rows)
    sheet.bind(on_choose=lambda _sheet, twin: desk.act(Swap(key, twin, run=run)))
    sheet.open_on(desk.root)


class ListSheet(Overlay):
    """A choice from a long list, over the whole screen. on_choose(key)."""

    __events__ = ("on_choose",)
    title = StringProperty("")
    rows = ListProperty([])

    def choose(self, key: str) -> None:
        """A row was tapped."""
        self.close()
        self.dispatch("on_choose", key)

    def on_choose(self, key: str) -> None: ...


class SpoilSheet(Overlay):
    """Ask why a piece is spoiled; after holding for a second it is made again."""

    run = StringProperty("")
    key = StringProperty("")
    title = StringProperty("")
    why = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        for why in SPOILED_BY:
            button = SmallButton(text=capital(say(why)), least_mm=22)
            button.bind(on_tap=partial(self._chosen, why))
            self.ids.reasons.add_widget(button)

    def _chosen(self, why: str, tapped: SmallButton) -> None:
        self.why = why
        for button in self.ids.reasons.children:
            button.chosen = button is tapped

    def spoil(self) -> None:
        """The button was held. A label that was on the piece is gone, too."""
        self.close()
        desk = the_desk()
        had_label = self.key in desk.shop.state.labelled(desk.floor().run)
        desk.act(Spoil(self.key, self.why, run=self.run))
        if had_label and desk.notice is None:
            desk.notify(say("Its label went with it: Labels prints it again."), "done", "waiting")


class NoteSheet(Overlay):
    """A few words about a piece: whole words by one tap, others by letters."""

    run = StringProperty("")
    key = StringProperty("")
    title = StringProperty("")
    text = StringProperty("")
    page = OptionProperty("words", options=["words", "letters", "figures"])

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._letters, self._keys = Letters(), KeyGrid()
        for keys in (self._letters, self._keys):
            keys.bind(on_key=lambda _keys, key: self.type(key))
        self.bind(page=self._turned, size=self._turned)
        self._turned()

    def _turned(self, *_: object) -> None:
        if self.page == "letters":
            show_only(self.ids.pad, self._letters)
            return
        words = self.page == "words"
        self._keys.keys = list(NOTES if words else "1234567890.,:+/")
        self._keys.columns = 0 if not words else 3 if current_theme().upright else 4
        show_only(self.ids.pad, self._keys)

    def turn(self) -> None:
        """Show the next page of keys."""
        names = type(self).page.options
        self.page = names[(names.index(self.page) + 1) % len(names)]

    def type(self, key: str) -> None:
        """A key, or a whole word, was tapped."""
        glue = " " if self.page == "words" and self.text and not self.text.endswith(" ") else ""
        self.text = f"{self.text}{glue}{key.lower() if self.page == 'letters' else key}"[:LONGEST_NOTE]

    def erase(self) -> None:
        """Erase the last character, or on the page of words the last word."""
        shorter = self.text.rstrip().rpartition(" ")[0] if self.page == "words" else self.text[:-1]
        self.text = shorter

    def keep(self) -> None:
        """Store the note."""
        self.close()
        the_desk().act(Note(self.key, self.text.strip(), run=self.run))
