"""Checking a finished assembly: each line is answered by a person, with the measurement and the name."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty, StringProperty

from tracker.cards.glueup.prove import known_names, lengths_words, load_words, prove, prove_card, verdict
from tracker.cards.keypad.number import NumberEntry
from tracker.measure import Length
from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover
from tracker.screens.overlays.tape import TapeSheet
from tracker.screens.toolkit.buttons import BigButton
from tracker.screens.toolkit.prompts import Option
from tracker.words import say

LONGEST_NAME = 8
_SOMEONE_ELSE = "\n"
"""Not a name: the key of the option to type another one."""


class ProveCover(Cover):
    """The checks of the assembly, line by line."""

    placed = StringProperty("")
    """The key of the assembly where the build says how its pieces lie: it is drawn."""

    def draw(self) -> None:
        self.card = prove_card(the_desk().floor(), self.key)
        self.placed = self.key if self.card.placed else ""
        self.title = say("Check: {title}", title=self.card.title)
        grid = self.ids.grid
        grid.clear_widgets()
        for line in self.card.lines:
            words = line.check[0].upper() + line.check[1:]
            row = BigButton(text=words, sub_text=line.said or say("tap to answer"), tone=line.tone, look="plain")
            row.bind(on_tap=lambda _row, check=line.check: ProofCover(key=self.key, check=check).show())
            grid.add_widget(row)


class ProofCover(Cover):
    """One line: what was found, who found it, and whether it passed."""

    check = StringProperty("")
    line: Any = ObjectProperty(None, allownone=True, rebind=True)
    result = StringProperty("")
    advice = StringProperty("")
    by = StringProperty("")
    field = StringProperty("weight")
    dead = ListProperty([])
    """The keys that aren't allowed now."""
    measures = BooleanProperty(False)
    loads = BooleanProperty(False)
    placed = StringProperty("")
    """As of the list of checks."""

    def __init__(self, **kwargs: Any) -> None:
        self.lengths: list[Length] = []
        self.entries = {"weight": NumberEntry(least=1, most=2000), "minutes": NumberEntry(least=1, most=999)}
        super().__init__(**kwargs)
        self._parts = {name: self.ids[name].__self__ for name in ("tape", "load", "weight", "minutes")}

    def draw(self) -> None:
        floor = the_desk().floor()
        self.card = prove_card(floor, self.key)
        self.line = next((line for line in self.card.lines if line.check == self.check), None)
        if self.line is None:
            return
        self.placed = self.key if self.card.placed else ""
        self.title = self.check[0].upper() + self.check[1:]
        self.measures, self.loads = self.line.ask == "lengths", self.line.ask == "load"
        for name, asked in (("tape", self.measures), ("load", self.loads)):
            part = self._parts[name]
            if not asked and part.parent is not None:
                part.parent.remove_widget(part)
        self.by = self.by or next(iter(self.card.names), "")
        self._show()

    def _show(self) -> None:
        floor = the_desk().floor()
        units = floor.run.build.units
        if self.measures:
            self.result = lengths_words(floor, self.lengths)
            passed = verdict(self.line, self.lengths)
            self.advice = {None: "", True: say("within what is asked"), False: say("more than what is asked")}[passed]
        elif self.loads:
            self.result = load_words(self.entries["weight"].value, self.entries["minutes"].value, units)
            self.advice = self.entries[self.field].block
            entry = self.entries[self.field]
            self.dead = [key for key in "1234567890" if not entry.takes(key)]
            self._parts["weight"].text = f"{self.entries['weight'].typed or '–'} {'kg' if units == 'mm' else 'lb'}"
            self._parts["minutes"].text = f"{self.entries['minutes'].typed or '–'} min"

    def measure(self) -> None:
        """One more reading of the tape; after the last one the first is taken again."""
        floor = the_desk().floor()
        if len(self.lengths) >= self.line.readings:
            self.lengths = []
        count = (
            say("{count} of {readings}", count=len(self.lengths) + 1, readings=self.line.readings)
            if self.line.readings > 1
            else say("measured")
        )
        nothing_planned = Length.of(0, floor.run.build.units)
        sheet = TapeSheet(self.title, count, nothing_planned, floor.run.build.shop.mark)
        sheet.bind(on_kept=lambda _sheet, length: self._measured(length))
        sheet.open_on(the_desk().root)

    def _measured(self, length: Length) -> None:
        self.lengths.append(length)
        self._show()

    def choose(self, field: str) -> None:
        """Type the load, or its duration."""
        self.field = field
        self._show()

    def press(self, key: str) -> None:
        """A key was tapped."""
        self.entries[self.field] = self.entries[self.field].press(key)
        self._show()

    def erase(self) -> None:
        """Erase the last key."""
        self.entries[self.field] = self.entries[self.field].erase()
        self._show()

    def who(self) -> None:
        """Ask who measured; earlier names are offered."""
        options = [Option(key=name, text=name) for name in known_names(the_desk().floor())[:5]]
        if not options:
            self.type_name()
            return
        the_desk().ask(
            say("Who checked?"),
            [*options, Option(key=_SOMEONE_ELSE, text=say("someone else"))],
            lambda name: self.type_name() if name == _SOMEONE_ELSE else self._named(name),
        )

    def type_name(self) -> None:
        """A name that wasn't used before."""
        cover = NameCover()
        cover.bind(on_named=lambda _cover, name: self._named(name))
        cover.show()

    def _named(self, name: str) -> None:
        self.by = name

    def answer(self, passed: bool) -> None:
        """Store whether it passed."""
        intent = prove(self.run, self.key, self.line, passed, self.result, self.by)
        self.close()
        the_desk().act(intent)


class NameCover(Cover):
    """Initials or a short name, on full-size keys. on_named(name)."""

    __events__ = ("on_named",)
    name = StringProperty("")

    def press(self, key: str) -> None:
        """A letter was tapped."""
        if len(self.name) < LONGEST_NAME:
            self.name += key

    def erase(self) -> None:
        """Erase the last letter."""
        self.name = self.name[:-1]

    def keep(self) -> None:
        """Use that name."""
        self.close()
        self.dispatch("on_named", self.name)

    def on_named(self, name: str) -> None: ...
