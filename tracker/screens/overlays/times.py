"""The times of an assembly with their sources, and the keys for overruling one by the label."""

from __future__ import annotations

from kivy.properties import BooleanProperty, ListProperty, StringProperty

from tracker.cards.cautions import finish_caution
from tracker.cards.glueup.air import HUMIDITY, air_card, temperature_entry, to_celsius
from tracker.cards.glueup.times import FINISH, GLUE, TimeView, overrule, time_view, times
from tracker.cards.keypad.number import NumberEntry
from tracker.cards.keypad.span import UNITS, SpanEntry, doubt_of
from tracker.measure import Span
from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover
from tracker.screens.toolkit.buttons import BigButton, HoldButton
from tracker.words import say
from tracker.work.clocks.waits import CHECK_LABEL
from tracker.work.decide.intents import SetAir, UndoEntry
from tracker.work.operations import WaitKind


class TimesCover(Cover):
    """Every wait of the assembly that is still to come or running; a tap on one enters its label's time."""

    note = StringProperty("")

    def draw(self) -> None:
        floor = the_desk().floor()
        item = floor.item(self.key)
        self.card = times(floor, item, (*GLUE, *FINISH))
        self.title = say("{name}: times", name=item.title)
        finish = floor.run.build.assembly(item.id).finish
        caution = finish_caution(finish) if finish is not None else ""
        self.note = say("Go by the label. {caution}", caution=caution).strip()
        grid = self.ids.grid
        grid.clear_widgets()
        for view in self.card:
            more = f" {view.more}" if view.more else ""
            source = view.source.removesuffix(f"; {CHECK_LABEL}")
            row = _tile(view.text, f"{view.bound}; {source}.{more}")
            row.bind(on_tap=lambda _row, kind=view.kind: SpanCover(key=self.key, kind=kind).show())
            grid.add_widget(row)
        air = air_card(floor)
        row = _tile(
            say("Shop temperature and humidity"), f"{air.words}, {air.said}" if air.words else say("not entered yet")
        )
        row.bind(on_tap=lambda _row: self.enter_air())
        grid.add_widget(row)

    def enter_air(self) -> None:
        """The shop's air was tapped."""
        AirCover(key=self.key).show()


def _tile(text: str, said: str) -> BigButton:
    """One of the tiles that share the sheet."""
    return BigButton(text=text, sub_text=said, look="plain", size_hint_y=1, large_subs=2)


class SpanCover(Cover):
    """Enters a span of time from the label."""

    kind = StringProperty("open")
    typed = StringProperty("")
    source = StringProperty("")
    said = StringProperty("")
    doubt = StringProperty("")
    overruled = BooleanProperty(False)
    units = ListProperty(UNITS)

    def draw(self) -> None:
        floor = the_desk().floor()
        view = time_view(floor, floor.item(self.key), self._kind)
        if view is None:
            return
        self.card = view
        self.title = f"{floor.item(self.key).title}: {view.word.lower()}"
        self.source = say("Now {span}: {source}.", span=view.span.text, source=view.source)
        self.overruled = view.overruled is not None
        self._show(SpanEntry())

    @property
    def _kind(self) -> WaitKind:
        kind: WaitKind = self.kind
        return kind

    def press(self, key: str) -> None:
        """A key was tapped."""
        self._show(self.entry.press(key))

    def erase(self) -> None:
        """Erase the last key."""
        self._show(self.entry.erase())

    def _show(self, entry: SpanEntry) -> None:
        view: TimeView = self.card
        self.entry = entry
        self.typed = entry.text or "–"
        span: Span | None = entry.span
        self.doubt = doubt_of(view.span, span) if span else ""
        self.said = self.doubt or entry.block
        self._keeper(say("Use {span} (label)", span=span.text) if span else say("The label says"), bool(self.doubt))
        self.ids.pad.allow(entry.takes, bool(entry.typed))

    def _keeper(self, text: str, held: bool) -> None:
        """The button that stores it; it must be held for an unlikely time."""
        slot, kind = self.ids.slot, HoldButton if held else BigButton
        if not slot.children or type(slot.children[0]) is not kind:
            button = kind()
            button.bind(**{"on_held" if held else "on_tap": lambda _button: self.keep()})
            slot.clear_widgets()
            slot.add_widget(button)
        slot.children[0].text = text
        slot.children[0].disabled = self.entry.span is None

    def keep(self) -> None:
        """Store the label's time."""
        if self.entry.span is not None:
            self.close()
            the_desk().act(overrule(self.run, self.key, self._kind, self.entry.span))

    def leave_it(self) -> None:
        """Keep the present time; or, if the label overruled it, return to the time before."""
        view: TimeView = self.card
        self.close()
        if view.overruled is not None:
            the_desk().act(UndoEntry(view.overruled, run=self.run))


class AirCover(Cover):
    """Enters the shop's temperature and humidity, one after the other."""

    field = StringProperty("temperature")
    temperature = StringProperty("")
    humidity = StringProperty("")
    said = StringProperty("")
    known = StringProperty("")
    complete = BooleanProperty(False)

    def draw(self) -> None:
        floor = the_desk().floor()
        self.card = air_card(floor)
        self.title = say("Shop temperature and humidity")
        self._units = floor.run.build.units
        self.entries = {"temperature": temperature_entry(self._units), "humidity": HUMIDITY}
        self.known = (
            say("Last: {air}, {when}.", air=self.card.words, when=self.card.said) if self.card.words else self.card.said
        )
        self.choose("temperature")

    def choose(self, field: str) -> None:
        """Select the value to type."""
        self.field = field
        self._show()

    @property
    def _entry(self) -> NumberEntry:
        return self.entries[self.field]

    def press(self, key: str) -> None:
        """A key was tapped."""
        self.entries[self.field] = self._entry.press("-" if key == "Minus" else key)
        self._show()

    def erase(self) -> None:
        """Erase the last key."""
        self.entries[self.field] = self._entry.erase()
        self._show()

    def _show(self) -> None:
        degrees = "°C" if self._units == "mm" else "°F"
        self.temperature = f"{self.entries['temperature'].typed.replace('-', '−') or '–'} {degrees}"
        self.humidity = f"{self.entries['humidity'].typed or '–'} %"
        self.said = self._entry.block
        self.complete = all(entry.value is not None for entry in self.entries.values())
        takes = self._entry.takes
        self.ids.pad.allow(lambda key: takes("-" if key == "Minus" else key), bool(self._entry.typed))

    def keep(self) -> None:
        """Store both values."""
        celsius, humidity = self.entries["temperature"].value, self.entries["humidity"].value
        if celsius is not None and humidity is not None:
            self.close()
            the_desk().act(SetAir(to_celsius(celsius, self._units), float(humidity), run=self.run))
