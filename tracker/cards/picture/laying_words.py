"""The order of a glue-up in words: what comes next, where, which face up, which edge to which."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.design.model import Build, Hand
from tracker.plan.laying import Laid, Order
from tracker.words import say
from tracker.words.sides import side

Namer = Callable[[Numbered], str]
"""The name of a piece or an assembly: `Leg 2`."""
_ROWS = {1: ("front", "back"), 2: ("bottom", "top"), 0: ("left", "right")}
_SIDES = {
    "near": say("near edge"),
    "far": say("far edge"),
    "top": say("top face"),
    "bottom": say("bottom face"),
    "A": say("end A"),
    "B": say("end B"),
}
_ALONG = {0: say("from left to right"), 1: say("from front to back"), 2: say("from the bottom up")}


class LayingLine(Struct, frozen=True, kw_only=True):
    """One part in its turn. `row` is given where a row begins; `lies` and `against` say how it lies, `alike` which
    others look the same."""

    key: Numbered
    pieces: tuple[Numbered, ...]
    name: str
    row: str
    lies: str
    against: str
    alike: str

    @property
    def words(self) -> str:
        """The whole sentence: `Seat board 2: top face up, end A left; its near edge to the far edge of Seat board
        1.`"""
        rest = "; ".join(each for each in (self.lies, self.against, self.alike) if each)
        return f"{self.name}: {rest}." if rest else f"{self.name}."


def laying_lines(build: Build, order: Order, name: Namer) -> tuple[LayingLine, ...]:
    """The parts in order."""
    return tuple(_lines(build, order, name))


def _lines(build: Build, order: Order, name: Namer) -> Iterator[LayingLine]:
    alike = Counter(_kind(build, part.key) for part in order.parts)
    before: tuple[int, int] | None = None
    for part in order.parts:
        begins, before = (part.layer, part.row) != before, (part.layer, part.row)
        yield LayingLine(
            key=part.key,
            pieces=part.pieces,
            name=name(part.key),
            row=_row(order, part) if begins else "",
            lies=_lies(part),
            against=_against(order, part, name),
            alike=_alike(build, part.key, alike),
        )


def order_words(order: Order) -> str:
    """The order as a whole: `In 2 rows, from front to back, each from left to right.`"""
    if order.halves:
        return say("In two halves, anticlockwise as seen from above.")
    across, rows, layers = order.axes
    most = max(order.rows)
    single = most == len(order.parts)
    said = [say("In {layers} layers, {along}", layers=order.layers, along=_ALONG[layers])] if order.layers > 1 else []
    if most > 1 and not single:
        said.append(
            say("in {most} rows, {along}, each {across}", most=most, along=_ALONG[rows], across=_ALONG[across])
            if said
            else say("In {most} rows, {along}, each {across}", most=most, along=_ALONG[rows], across=_ALONG[across])
        )
    if not said:
        said = [
            _ALONG[rows if single and most > 1 else across].capitalize() if order.flat else say("As it goes together")
        ]
    return f"{', '.join(said)}."


def _row(order: Order, part: Laid) -> str:
    """`Back row`, `Second half`, `Row 2 of 3`; empty where each row is one part."""
    rows = order.rows[part.layer]
    if order.halves:
        return (say("First half"), say("Second half"))[part.row]
    layer = say("Layer {layer} of {layers}", layer=part.layer + 1, layers=order.layers) if order.layers > 1 else ""
    if rows == 1 or (order.layers == 1 and rows == len(order.parts)):
        return layer
    first, last = _ROWS[order.axes[1]]
    row = (
        say("{side} row", side=side((first, last)[part.row]))
        if rows == 2
        else say("row {row} of {rows}, from the {first}", row=part.row + 1, rows=rows, first=side(first))
    )
    return f"{layer}, {row}" if layer else f"{row[0].upper()}{row[1:]}"


def _lies(part: Laid) -> str:
    if part.up is None or part.toward is None:
        return ""
    about = say("about ") if part.leaning else ""
    to = (
        say("outward")
        if part.way is None
        else side("left")
        if part.way == "left"
        else say("to the {way}", way=side(part.way))
    )
    return say("{face} up, {edge} {about}{to}", face=_SIDES[part.up], edge=_SIDES[part.toward], about=about, to=to)


def _against(order: Order, part: Laid, name: Namer) -> str:
    """Which of its faces meets which: `its end A to the near edge of Leg 1 in End frame 1`."""
    found: dict[str, list[str]] = {}
    for touch in part.touches:
        own = say("its") if touch.piece == part.key else say("{name}'s", name=name(touch.piece))
        where = (
            name(touch.other)
            if touch.other == touch.whole
            else say("{name} in {whole}", name=name(touch.other), whole=name(touch.whole))
        )
        seam = say(" across the seam") if touch.across and not _one_each(order) else ""
        the = "" if touch.other_face in ("A", "B") else say("the ")
        found.setdefault(f"{own} {_side(touch.face)}", []).append(
            say("{the}{side} of {where}{seam}", the=the, side=_side(touch.other_face), where=where, seam=seam)
        )
    return ", ".join(
        say("{own} to {others}", own=own, others=say(" and ").join(others)) for own, others in found.items()
    )


def _one_each(order: Order) -> bool:
    return sum(order.rows) == len(order.parts)


def _side(face: str) -> str:
    if face.startswith("taper"):
        return say("tapered edge")
    return {"trimmed": say("trimmed edge"), "lap": say("half-lap"), "shoulder": say("half-lap")}.get(
        face, _SIDES.get(face, face)
    )


def _kind(build: Build, key: Numbered) -> tuple[str, Hand | None]:
    part = next((each for each in build.parts if each.id == key[0]), None)
    return key[0], part.hand(key[1]) if part else None


def _alike(build: Build, key: Numbered, counted: Counter[tuple[str, Hand | None]]) -> str:
    """Whether the number matters among pieces that look the same."""
    part = next((each for each in build.parts if each.id == key[0]), None)
    kind = _kind(build, key)
    if part is None or counted[kind] < 2:
        return ""
    if part.sequence:
        return say("keep to the numbers: the grain matches")
    hand = say("{hand}-hand", hand=side(kind[1])) if kind[1] else ""
    many = (
        say("any of the {counted}{hand}", counted=counted[kind], hand=hand)
        if counted[kind] > 2 or hand
        else say("either")
    )
    return say("{many} does, they are alike", many=many)
