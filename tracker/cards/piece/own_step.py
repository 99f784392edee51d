"""A maker's own step on a card: its numbers, its notes, its tool, its jig and its picture."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.cards.piece.to_set import ToSet
from tracker.design.model import Assembly, Part
from tracker.design.own_step import Count, OwnStep, StepNumber
from tracker.floor.floor import Floor
from tracker.measure import Length, Reading, Span, read_angle, read_as_written
from tracker.words import say
from tracker.work.operations import OWN, Step
from tracker.work.run import Item


class StepPicture(Struct, frozen=True, kw_only=True):
    """A maker's own picture: the name of a file beside the build file, and the run of that build file."""

    file: str
    run: str


def described(floor: Floor, item: Item) -> Part | Assembly:
    """The piece's part or the assembly in the build file."""
    return floor.part(item) if item.kind == "piece" else floor.run.build.assembly(item.id)


def own_step_of(floor: Floor, item: Item, step: Step | None) -> OwnStep | None:
    """The own step in the build file for a step of the route; None if it isn't the maker's own."""
    if step is None or not step.id.startswith(OWN):
        return None
    return next((each for each in described(floor, item).steps if each.do == step.operation), None)


def own_picture(floor: Floor, item: Item, step: Step | None) -> StepPicture | None:
    """The picture of a step, if it has one."""
    own = own_step_of(floor, item, step)
    return StepPicture(file=own.picture, run=floor.run.name) if own and own.picture else None


def own_to_set(floor: Floor, own: OwnStep) -> ToSet:
    """The first number large, two more beside it, and the rest in words."""
    numbers = [(read_number(floor, value), _said(name)) for name, value in own.numbers]
    task = f"{own.do[0].upper()}{own.do[1:]}"
    rest = tuple(f"{name}: {plain_text(reading)}" for reading, name in numbers[3:])
    how = ". ".join(part.rstrip(".") for part in (*rest, *_with(floor, own), own.notes) if part)
    how = f"{how}." if how else ""
    if not numbers:
        return ToSet(reading="", headline=task, how=how)
    reading, headline = numbers[0]
    return ToSet(reading=reading, headline=headline, angles=tuple(numbers[1:3]), which=task, how=how)


def own_setting(floor: Floor, own: OwnStep) -> str:
    """`radius 2 1⁄2″, tilt 15°; 1/4 blade`: the setting, made once for all equal pieces."""
    numbers = (f"{name} {plain_text(read_number(floor, value))}" for name, value in own.numbers)
    return "; ".join(part for part in (", ".join(numbers), own.tool) if part)


def read_number(floor: Floor, value: StepNumber) -> Reading | str:
    """A length on the shop's tape, an angle in degrees, a time or a count in words."""
    if isinstance(value, Length):
        return read_as_written(value, floor.run.build.shop.mark)
    return value.text if isinstance(value, Span | Count) else f"{read_angle(value)}°"


def plain_text(reading: Reading | str) -> str:
    """A number in a line of text."""
    return reading if isinstance(reading, str) else reading.text


def _said(name: str) -> str:
    return f"{name[0].upper()}{name[1:]}"


def _with(floor: Floor, own: OwnStep) -> Iterator[str]:
    if own.tool:
        yield say("Tool: {tool}", tool=own.tool)
    if own.jig:
        jig = next((each for each in floor.run.items.values() if each.id == own.jig), None)
        yield say("Jig: {jig}", jig=jig.name if jig else own.jig)


def step_notes(floor: Floor, item: Item, step: Step | None) -> str:
    """The notes of a part or an assembly on a step."""
    if step is None:
        return ""
    said = (words for word, words in described(floor, item).step_notes if word == step.operation or word == step.id)
    return " ".join(said)


class OwnStepCard(Struct, frozen=True, kw_only=True):
    """A maker's own step on a large card of its own: for an assembly, whose card has no room for its number."""

    title: str
    to_set: ToSet
    picture: StepPicture | None


def own_step_card(floor: Floor, key: str, step: Step | None) -> OwnStepCard | None:
    """The card of an item's next step; None where that isn't the maker's own."""
    item = floor.item(key)
    own = own_step_of(floor, item, step)
    if own is None:
        return None
    return OwnStepCard(title=item.title, to_set=own_to_set(floor, own), picture=own_picture(floor, item, step))
