"""A blank on its way to being flat, thick and wide enough: the settings to joint, resaw, rest and plane it, and which
pieces are still one blank."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.cards.piece.to_set import ToSet
from tracker.design.model import Part
from tracker.design.one_blank import APART, joined_length, leaf_thickness
from tracker.floor.board_words import names_of
from tracker.floor.floor import Floor
from tracker.measure import Length
from tracker.words import say
from tracker.work.operations import Step
from tracker.work.run import Item

MILLED = frozenset({"joint", "resaw", "rest", "plane"})


class ResawView(Struct, frozen=True, kw_only=True):
    """A board on edge at the bandsaw, in millimetres: its thickness, and that of a leaf and of the kerf."""

    whole: float
    leaf: float
    kerf: float


def resaw_view(floor: Floor, item: Item, step: Step | None) -> ResawView | None:
    """The board before it is resawn; None for any other step."""
    if step is None or step.id != "resaw" or item.kind != "piece":
        return None
    part = floor.part(item)
    if part.resaw is None:
        return None
    leaf, kerf = float(leaf_thickness(part)), float(part.resaw.kerf)
    return ResawView(whole=(leaf + kerf) * part.resaw.leaves - kerf, leaf=leaf, kerf=kerf)


def milled_to_set(floor: Floor, item: Item, step: Step | None) -> ToSet | None:
    """What to set for a milling step; None for any other step."""
    if step is None or item.kind != "piece":
        return None
    if step.id == "cut" and item.step(APART):
        return _rough_blank(floor, item)
    if step.id not in MILLED:
        return None
    return {"joint": _joint, "resaw": _resaw, "rest": _rest, "plane": _plane}[step.id](floor, item)


def together(floor: Floor, item: Item) -> tuple[str, ...]:
    """The keys of the pieces that are now one blank with this one: equally far, and not yet cut apart."""
    done = floor.state.steps(floor.run, item) & item.shared
    if not item.blank or done == item.shared:
        return (item.key,)
    same = (key for key in item.blank if floor.state.steps(floor.run, floor.item(key)) & item.shared == done)
    return tuple(same)


def milling_words(floor: Floor, item: Item, step: Step | None) -> str:
    """The other words of a milling step's card: which pieces it is done to, and why."""
    if step is None or item.kind != "piece":
        return ""
    keys = together(floor, item)
    names = names_of(floor.run, keys)
    if step.id == "cut" and item.step(APART):
        least = floor.run.build.wood(floor.part(item).wood).mill
        if not least:
            return (
                say("Leave {names} in one length until milled.", names=names)
                if len(keys) > 1
                else say("Leave {names} long until milled.", names=names)
            )
        shortest = floor.read(least.shortest).text
        if len(keys) > 1:
            return say(
                "Leave {names} in one length until milled: at least {shortest} (see manual).",
                names=names,
                shortest=shortest,
            )
        return say(
            "Leave {names} long until milled: at least {shortest} (see manual).",
            names=names,
            shortest=shortest,
        )
    if step.id == "resaw":
        return say("Mark the match first: tap the drawing.")
    return say("{names} are one blank", names=names) if len(keys) > 1 and step.id in item.shared else ""


def match_words(floor: Floor, item: Item) -> Iterator[str]:
    """How to mark the leaves of a board before it is resawn, so that they can be matched as they grew."""
    names = names_of(floor.run, together(floor, item))
    yield say("Before the cut draw a triangle over end A, across the whole thickness")
    yield say("number the leaves, starting at the fence: {names}", names=names)
    yield say("the sawn faces were the inside: mark each with an arrow toward end A")
    yield say(
        "to match: open them like a book, sawn faces up, ends A side by side, the edges that lay together at the seam"
    )


def _rough_blank(floor: Floor, item: Item) -> ToSet:
    build, part = floor.run.build, floor.part(item)
    keys = together(floor, item)
    along = joined_length(part, build.wood(part.wood), build.shop.kerf, floor.solid(item).along_board, len(keys))
    each = floor.read(floor.solid(item).along_board).text
    lines = (
        say("for {count} pieces of {each}, with kerfs", count=len(keys), each=each)
        if len(keys) > 1
        else say("the piece is {each} of it", each=each),
    )
    return ToSet(reading=floor.read(along), headline=say("Rough length"), lines=lines, which=say("Blank"))


def _then(floor: Floor, item: Item, part: Part, *operations: str) -> tuple[str, ...]:
    """What follows, with its number, in the order of the route."""
    numbers: dict[str, tuple[str, Length]] = {
        "resaw": (say("then resaw, fence"), leaf_thickness(part)),
        "plane": (say("then plane to"), part.thickness),
        "rip": (say("then rip to"), part.width),
        APART: (say("then cut to"), floor.solid(item).along_board),
    }
    return tuple(
        f"{words} {floor.read(number).text}"
        for operation in operations
        if item.does(operation)
        for words, number in (numbers[operation],)
    )


def _joint(floor: Floor, item: Item) -> ToSet:
    lines = _then(floor, item, floor.part(item), "resaw", "plane", "rip", APART)[:2]
    return ToSet(reading=say("joint"), headline=say("Face, then edge"), lines=lines)


def _resaw(floor: Floor, item: Item) -> ToSet:
    part = floor.part(item)
    assert part.resaw is not None
    return ToSet(
        reading=floor.read(leaf_thickness(part)),
        headline=say("Tall fence"),
        lines=(
            say(
                "kerf {kerf}, then plane to {thickness}",
                kerf=floor.read(part.resaw.kerf).text,
                thickness=floor.read(part.thickness).text,
            ),
        ),
        which=say("Resaw into {leaves} leaves", leaves=part.resaw.leaves),
    )


def _rest(floor: Floor, item: Item) -> ToSet:
    """How long to rest is common practice, no source; a meter that reads the same twice is more reliable."""
    part = floor.part(item)
    lines = (say("days if thin, a week if thick"), *_then(floor, item, part, "plane"))
    return ToSet(reading=say("rest"), headline=say("On stickers"), lines=lines)


def _plane(floor: Floor, item: Item) -> ToSet:
    part = floor.part(item)
    if part.resaw is not None:
        lines = (
            say("the outside first; off the inside only what"),
            say("flattens it: more spoils the match"),
        )
        return ToSet(reading=floor.read(part.thickness), headline=say("Plane to"), lines=lines)
    return ToSet(
        reading=floor.read(part.thickness), headline=say("Plane to"), lines=_then(floor, item, part, "rip", APART)[:2]
    )
