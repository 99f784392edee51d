"""The largest number of a piece's card: what to set or mark next, never something already done."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.cards.wood.at_piece import longest_slot
from tracker.cards.words import capital, edge_words
from tracker.design.model import Hole
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import pass_of
from tracker.measure import Reading
from tracker.plan.cuts import Pass, angle_words
from tracker.plan.taper_marks import taper_marks
from tracker.words import say
from tracker.words.sides import side
from tracker.work.operations import Step
from tracker.work.run import Item

SAWN = frozenset({"cut", "rip", "trim", "cut to length"})


class ToSet(Struct, frozen=True, kw_only=True):
    """One number, its name, and the numbers that go with it."""

    reading: Reading | str
    headline: str
    """The name of the number: `Stop block`, `Swing left`, `Rip fence`, `Taper starts`."""
    angles: tuple[tuple[Reading | str, str], ...] = ()
    """What else is set or marked: (`29.5°`, `tilt left`), what a taper leaves, the next hole's place."""
    lines: tuple[str, ...] = ()
    """In smaller type: from where it is measured, and what else is marked."""
    which: str = ""
    """Which cut it is: `End A, second cut`."""
    how: str = ""
    """How to do it, in a sentence, and what the tape should read afterwards."""


def next_pass(floor: Floor, item: Item, step: Step | None) -> Pass | None:
    """The pass over the saw of a step now; None for a step without sawing."""
    if step is None or item.kind != "piece" or step.operation not in SAWN:
        return None
    return pass_of(floor, item, step)


def to_set(floor: Floor, item: Item, step: Step | None, each: Pass | None) -> ToSet:
    """The number for the next step; `each` is its pass over the saw."""
    if each is not None:
        return _sawn(floor, item, each)
    if step is not None and step.operation == "taper" and floor.solid(item).tapers:
        return _taper(floor, item)
    if step is not None and step.operation == "drill" and floor.part(item).holes:
        return _drill(floor, item, floor.part(item).holes[0])
    if step is not None and step.operation == "drill" and (slot := longest_slot(floor, item)):
        return ToSet(reading=slot[0], headline=say("Slot length"), angles=((slot[1], say("screw from inner end")),))
    if step is not None and step.grit and step.station == "sanding":
        return _sand(step)
    solid = floor.solid(item)
    where = "" if solid.square else edge_words(floor, solid)
    return ToSet(reading=floor.read(solid.length), headline=say("Length"), lines=(where,) if where else ())


def _sawn(floor: Floor, item: Item, each: Pass) -> ToSet:
    which = (
        (say("End {end}, first cut", end=each.end) if each.first else say("End {end}, second cut", end=each.end))
        if each.end
        else ""
    )
    angles = list(angle_words(each))
    how = " ".join(_how(floor, item, each))
    if each.first and not each.set.mm and each.possible:
        return _from_the_corner(angles, which, how)
    headline = say("Stop block") if each.stop is not None else say("Mark, no stop")
    if each.first and each.end:
        # The mark at the first end has no stop; from which end it is measured is what can go wrong.
        headline, which = say("Mark from end {end}", end=each.end), ""
    if each.operation == "rip":
        headline = say("Rip fence")
    return ToSet(
        reading=floor.read(each.set),
        headline=headline,
        angles=tuple(angles) if each.possible else (),
        which=which or ("" if each.first and each.end else say("Blank") if each.operation == "cut" else say("Rip")),
        how=how,
    )


def _from_the_corner(angles: list[tuple[str, str]], which: str, how: str) -> ToSet:
    """A first end with nothing to mark: its one angle is the number to set, or both are shown beside it."""
    if len(angles) == 1:
        ((angle, words),) = angles
        return ToSet(reading=angle, headline=capital(words), which=which, how=how)
    return ToSet(reading=say("no stop"), headline=say("Set the saw"), angles=tuple(angles), which=which, how=how)


def _how(floor: Floor, item: Item, each: Pass) -> Iterator[str]:
    """In the order of work. The drawing shows which end meets the stop."""
    if not each.possible:
        assert each.setting is not None
        yield f"{capital(each.setting.note)}."
        return
    waste = say("to the {blade}", blade=side(each.blade)) if each.blade else say("on the waste's side")
    if each.first and each.set.mm:
        yield say("From the blank's end, blade {blade}.", blade=side(each.blade) if each.blade else waste)
    elif each.first:
        yield say("No stop: start at the corner.")
    elif each.stop is None and each.operation != "rip":
        yield say("Blade {side}.", side=waste)
    if not each.first:
        yield from _check(floor, item, each)


def _check(floor: Floor, item: Item, each: Pass) -> Iterator[str]:
    """`Check 9 1⁄4″ longest edge, a hair under.` Empty where the tape would read the number that was set,
    everywhere."""
    reading, solid = floor.read(each.check), floor.solid(item)
    over, *_ = reading.hair.split(" (") if not (each.operation == "cut" and floor.part(item).allowance) else ("",)
    where = (
        edge_words(floor, solid) if each.end and not solid.square else say("wide") if each.operation == "rip" else ""
    )
    if where or over or reading.text != floor.read(each.set).text:
        yield say(
            "Check {measures}.",
            measures=", ".join(filter(None, (f"{reading.text} {where}".rstrip(), over if each.end else ""))),
        )


def _taper(floor: Floor, item: Item) -> ToSet:
    mark = taper_marks(floor.solid(item))[0]
    return ToSet(
        reading=floor.read(mark.start),
        headline=say("Taper starts"),
        angles=((floor.read(mark.leaves), say("left at {end}", end=mark.end)),),
    )


def _drill(floor: Floor, item: Item, hole: Hole) -> ToSet:
    """The position of the first hole; the others are in the lines and in the marking out."""
    edge = "far" if item.hand == "right" else "near"
    alike = [each for each in floor.part(item).holes if each.from_edge == hole.from_edge and each.face == hole.face]
    ends = sorted({each.end for each in alike})
    besides: list[tuple[Reading | str, str]] = [(floor.read(each), say("next row")) for each in hole.from_edge[1:2]]
    if hole.from_end is not None:
        besides.append(
            (floor.read(hole.from_end), say("from ends") if len(ends) == 2 else say("from {ends}", ends=ends[0]))
        )
    if hole.from_face is not None:
        besides.append((floor.read(hole.from_face), say("from bottom")))
    headline = say("From bottom face") if hole.face in ("near", "far") else say("From {edge} edge", edge=side(edge))
    return ToSet(reading=floor.read(hole.from_edge[0]), headline=headline, angles=tuple(besides[:2]))


def _sand(step: Step) -> ToSet:
    """The grit, and where: along the grain (common practice, no source)."""
    where = say("Only {surface}", surface=side(step.surface)) if step.surface else say("All that shows")
    return ToSet(
        reading=str(step.grit),
        headline=say("Grit"),
        lines=(say("{where}, with the grain", where=where),),
    )
