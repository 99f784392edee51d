"""What can be done with a piece besides its route: measure it, scrap it and make it again, set it aside, swap it, add a
note."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.keypad.length import signed
from tracker.cards.marks import Sign
from tracker.cards.template.outlines import outline_of
from tracker.cards.words import edge_words
from tracker.floor.floor import Floor
from tracker.measure import Length
from tracker.measure.length import GRID, of_grid
from tracker.plan.placeable import has_places
from tracker.words import english, say
from tracker.work.decide.intents import Measure as MeasureIntent
from tracker.work.decide.intents import PutAside, Spoil, Swap
from tracker.work.decide.prerequisites import next_step
from tracker.work.facts import Dimension, Measured
from tracker.work.run import Item

SPOILED_BY = (
    english("knot or shake"),
    english("split"),
    english("cut too short"),
    english("wrong angle"),
    english("tear-out"),
    english("bad screw hole"),
)
ASIDE_FOR = (
    english("waiting for stock"),
    english("needs a look"),
    english("let the wood acclimate"),
    english("for later"),
)
NOTES = (
    say("knot"), say("split"), say("sapwood"), say("best face"), say("cupped"), say("twisted"), say("tear-out"),
    say("filled"), say("loose fit"), say("tight fit"), say("dark"), say("light"),
)  # fmt: skip
"""Notes that are entered with one tap."""


class PieceOption(Struct, frozen=True, kw_only=True):
    """One thing that can be done with a piece. `why` says why not; empty when it can be done."""

    key: str
    text: str
    said: str
    tone: Sign = ""
    """Caution for what can't easily be undone. The rest has no mark: a ring would say that it is to do."""
    why: str = ""


class OptionsCard(Struct, frozen=True, kw_only=True):
    """Everything that can be done with a piece besides its next step."""

    key: str
    title: str
    options: tuple[PieceOption, ...]
    note: str = ""
    """Why its place can't be shown, in a build whose file gives places of other pieces."""


def options_card(floor: Floor, key: str) -> OptionsCard:
    """All options, how it lies on the saw first."""
    item = floor.item(key)
    place = _place(floor, item)
    return OptionsCard(
        key=key,
        title=item.title,
        note="" if place else _no_place_words(floor, item),
        options=(
            _lay(floor, item),
            *place,
            PieceOption(
                key="measure",
                text=say("Record a size"),
                said=measured_words(floor, item) or say("none yet; or its moisture"),
            ),
            _aside(floor, item),
            _swap(floor, item),
            PieceOption(key="note", text=say("Add a note"), said=note_words(floor, item) or say("none yet")),
            _spoil(floor, item),
        ),
    )


def _lay(floor: Floor, item: Item) -> PieceOption:
    """How it lies on the saw; once it is to be shaped, the outline to saw, if the build file has one."""
    step = next_step(floor.run, floor.state, item)
    if step is not None and step.operation == "shape" and outline_of(floor, item.key):
        return PieceOption(key="outline", text=say("Outline"), said=say("and its template"))
    return PieceOption(key="lay", text=say("On the saw"), said=say("how the piece lies"))


def _place(floor: Floor, item: Item) -> tuple[PieceOption, ...]:
    """Where it goes, if the build file says so."""
    into = floor.state.into(floor.run, item)
    if into is None or not has_places(floor.run.build, floor.item(into).id):
        return ()
    return (PieceOption(key="place", text=say("Where it goes"), said=floor.item(into).title),)


def _no_place_words(floor: Floor, item: Item) -> str:
    into = floor.state.into(floor.run, item)
    if into is None or not any(assembly.place for assembly in floor.run.build.assemblies):
        return ""
    return say("The build file doesn't say where the pieces of {name} go.", name=floor.item(into).title)


def _aside(floor: Floor, item: Item) -> PieceOption:
    aside = floor.state.aside(floor.run, item)
    if aside is not None:
        return PieceOption(key="take up", text=say("Back to work"), said=say("aside: {why}", why=say(aside.fact.why)))
    refusal = floor.refusal(PutAside(item.key, ASIDE_FOR[0], run=floor.run.name))
    why = refusal.reason if refusal else ""
    return PieceOption(key="aside", text=say("Set aside"), said=why or say("for later"), why=why)


def _spoil(floor: Floor, item: Item) -> PieceOption:
    refusal = floor.refusal(Spoil(item.key, SPOILED_BY[0], run=floor.run.name))
    why = refusal.reason if refusal else ""
    return PieceOption(
        key="spoil",
        text=say("Scrap"),
        said=why or making_words(floor, item) or say("and make another"),
        tone="caution",
        why=why,
    )


def _swap(floor: Floor, item: Item) -> PieceOption:
    found = swap_partners(floor, item.key)
    said = (
        say("{count} to choose from", count=len(found))
        if len(found) > 1
        else found[0].title
        if found
        else say("nothing to swap with")
    )
    return PieceOption(key="swap", text=say("Swap places"), said=said, why="" if found else f"{item.short}: {said}.")


class SwapPartner(Struct, frozen=True, kw_only=True):
    """A piece that could swap places with this one."""

    key: str
    title: str
    said: str


def swap_partners(floor: Floor, key: str) -> tuple[SwapPartner, ...]:
    """The pieces of the same part and hand that go elsewhere and may still be swapped."""
    item, run, state = floor.item(key), floor.run, floor.state
    if item.kind != "piece":
        return ()
    place = state.into(run, item)
    found = []
    for other in (each for each in run.pieces if (each.id, each.hand) == (item.id, item.hand)):
        into = state.into(run, other)
        if into != place and floor.refusal(Swap(key, other.key, run=floor.run.name)) is None:
            home = say("goes into {items}", items=run.items[into].short) if into else say("not part of an assembly")
            found.append(SwapPartner(key=other.key, title=other.title, said=home))
    return tuple(found)


class Measurable(Struct, frozen=True, kw_only=True):
    """One size of a piece that can be measured: the planned size, and the last one found."""

    what: Dimension
    text: str
    planned: Length
    said: str


def measurables(floor: Floor, key: str) -> tuple[Measurable, ...]:
    """Length (that of the blank until it is trimmed), width and thickness."""
    item = floor.item(key)
    part, solid = floor.part(item), floor.solid(item)
    trimmed = floor.state.is_done(floor.run, item, "trim") or not item.does("trim")
    length, where = (solid.length, edge_words(floor, solid)) if trimmed else (solid.blank_length, say("blank"))
    if trimmed and solid.a.square and solid.b.square:
        where = ""
    ripped = floor.state.is_done(floor.run, item, "rip") or not item.step("rip")
    width = part.width if ripped else floor.run.build.wood(part.wood).width
    rows: tuple[tuple[Dimension, str, Length], ...] = (
        ("length", (say("Length, {where}", where=where) if where else say("Length")), length),
        ("width", say("Width"), width),
        ("thickness", say("Thickness"), part.thickness),
    )
    measured = floor.state.measures(floor.run, item)
    return tuple(
        Measurable(
            what=what,
            text=text,
            planned=planned,
            said=_found(floor, measured[what].fact)
            if what in measured
            else say("planned {planned}", planned=floor.read(planned).text),
        )
        for what, text, planned in rows
    )


def measure_intent(run: str, key: str, size: Measurable, actual: Length) -> MeasureIntent:
    """The intent that stores a reading."""
    return MeasureIntent(key, size.what, to_grid(size.planned), to_grid(actual), run=run)


def to_grid(length: Length) -> int:
    """The nearest whole 1/320 mm, as facts store lengths."""
    return round(length.mm * GRID)


def _found(floor: Floor, fact: Measured) -> str:
    planned, actual = of_grid(fact.planned), of_grid(fact.actual)
    off = signed(planned, actual, floor.run.build.shop.mark)
    return f"{floor.read(actual).text}, {off}"


def measured_words(floor: Floor, item: Item) -> str:
    """`length 9 1⁄4″, +1⁄16″`: the latest reading."""
    measured = floor.state.measures(floor.run, item)
    latest = max(measured.values(), key=lambda kept: kept.entry.rank, default=None)
    return f"{latest.fact.what} {_found(floor, latest.fact)}" if latest else ""


def note_words(floor: Floor, item: Item) -> str:
    """The latest note."""
    notes = floor.state.notes(floor.run, item)
    return notes[-1].fact.text if notes else ""


def making_words(floor: Floor, item: Item) -> str:
    """`second making: split`; empty for the first."""
    making = floor.state.making(floor.run, item)
    if making == 1:
        return ""
    why = floor.state.spoils(floor.run, item)[-1].fact.why
    words = say(why)
    match making:
        case 2:
            return say("second making: {why}", why=words)
        case 3:
            return say("third making: {why}", why=words)
        case _:
            return say("{number}th making: {why}", number=making, why=words)


def event_words(floor: Floor, item: Item) -> tuple[str, ...]:
    """The words on a piece's card about events outside its route. That it is set aside is shown as a blocker."""
    words = (making_words(floor, item), measured_words(floor, item), note_words(floor, item))
    return tuple(word for word in words if word)
