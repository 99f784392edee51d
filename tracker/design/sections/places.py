"""`size`, `place` and `trim` of an assembly: where its pieces are in it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, TypedDict, TypeVar, cast, get_args

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.name_lookup import nearest
from tracker.design.place import BoxSide, Direction, Facing, Mirror, Place, Side, Splayed
from tracker.design.sections.common import identifier
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.measure import Angle, Length
from tracker.words import say

MOST_ROWS = 200
MOST_PLACED = 999
SIDES: tuple[Side, ...] = get_args(Side)
DIRECTIONS: tuple[Direction, ...] = get_args(Direction)
AXES: tuple[tuple[BoxSide, BoxSide], ...] = (("left", "right"), ("front", "back"), ("bottom", "top"))
_PAIRS: tuple[frozenset[str], ...] = tuple(
    frozenset(pair) for pair in (*AXES, ("A", "B"), ("near", "far"), ("up", "down"))
)

_whole_turn = values.angle_within(360, -360)
_leaning = values.angle_within(90, -90)
_how_many = values.count_within(1, MOST_PLACED)

T = TypeVar("T")


class Placing(TypedDict):
    """The fields of an assembly that say where its pieces are."""

    size: tuple[Length, Length, Length] | None
    place: tuple[Place, ...]
    trimmed: bool


def read_placing(table: Table, joins: Sequence[tuple[str, int]]) -> Placing:
    """The size and places of an assembly, checked against what it joins."""
    size = _size(table)
    rows = table.groups("place")
    if len(rows) > MOST_ROWS:
        table.problem(say("more than {most} rows of places", most=MOST_ROWS), "", "place")
    found = [_row(row, dict(joins), size is not None) for row in rows[:MOST_ROWS]]
    place = tuple(each for each in found if each is not None)
    if rows and len(place) == len(rows):
        _all_placed(table, joins, place)
    trimmed = table.read("trim", values.yes_or_no) or False
    if trimmed and size is None:
        table.problem(say("'trim' needs the size it is trimmed to"), say("size = [44, 16, 0.75]"), "trim")
    return Placing(size=size, place=place, trimmed=trimmed)


def _size(table: Table) -> tuple[Length, Length, Length] | None:
    found = table.read_list("size", values.positive_length)
    written = table.count("size")
    if "size" not in table or written is None:
        return None
    if written != 3:
        table.problem(say("'size' has three measures"), say("left to right, front to back, bottom to top"), "size")
    return (found[0], found[1], found[2]) if len(found) == 3 else None


def _row(row: Table, joins: dict[str, int], sized: bool) -> Place | None:
    """One row; None when it can't be used and its problems have been reported."""
    named = [key for key in ("part", "assembly") if key in row]
    if len(named) != 1:
        row.problem(say("says which part or assembly is placed"), say('such as: part = "leg"'))
        row.knows(*row.keys())
        return None
    id_ = row.read(named[0], identifier)
    if id_ is not None and id_ not in joins:
        row.problem(say("'{name}' is not joined here", name=id_), nearest(id_, joins), named[0])
    lies = row.read("lies", _lies)
    at = _group(row, "at", [side for axis in AXES for side in axis], values.offset)
    lean = _group(row, "lean", DIRECTIONS[:4], _leaning)
    turn = row.read("turn", _whole_turn)
    mirror = row.choice("mirror", get_args(Mirror))
    around = row.read_list("around", _whole_turn)
    count = row.read("count", _how_many)
    step = _group(row, "step", DIRECTIONS, values.offset)
    side_by_side = row.choice("row", DIRECTIONS)
    _makes_sense(row, at, sized)
    row.close()
    if id_ is None or id_ not in joins:
        return None
    return Place(
        id=id_, lies=Facing() if lies is None else lies, at=cast(tuple[tuple[BoxSide, Length], ...], at),
        lean=cast(tuple[tuple[Direction, Angle], ...], lean), turn=turn or 0.0, mirror=cast(Mirror | None, mirror),
        around=around, count=count or 1, step=cast(tuple[tuple[Direction, Length], ...], step),
        row=cast(Direction | None, side_by_side), line=row.line(),
    )  # fmt: skip


def _makes_sense(row: Table, at: tuple[tuple[str, Length], ...], sized: bool) -> None:
    sides = {side for side, _ in at}
    for low, high in AXES:
        if low in sides and high in sides:
            row.problem(
                say("'{low}' and '{high}' both say where it is", low=low, high=high), say("keep one of them"), "at"
            )
    if "around" in row and ("count" in row or "step" in row or "row" in row):
        row.problem(say("'around' says how many there are"), say("leave out count, step and row"), "around")
    if "row" in row and "step" in row:
        row.problem(say("'row' and 'step' both say how far apart they are"), say("keep one of them"), "step")
    if "count" in row and not ("row" in row or "step" in row):
        row.problem(say("'count' needs 'row' or 'step'"), say('such as: step = { back = "2 3/4" }'), "count")
    if sized:
        return
    for key in ("mirror", "around"):
        if key in row:
            row.problem(
                say("'{key}' needs the assembly's size, for its middle", key=key),
                say("size = [width, depth, height]"),
                key,
            )
    if "at" not in row or not sides & set(AXES[0]) or not sides & set(AXES[1]):
        row.problem(
            say("where it is left to right and front to back isn't said"), say("or give the assembly's size"), "at"
        )


def _group(
    row: Table, key: str, names: Sequence[str], convert: Callable[[object, Meaning], T]
) -> tuple[tuple[str, T], ...]:
    """A { } group whose keys are sides or directions."""
    group = row.group(key)
    if group is None:
        return ()
    found = [(name, group.read(name, convert)) for name in names if name in group]
    group.close()
    return tuple((name, value) for name, value in found if value is not None)


def _all_placed(table: Table, joins: Sequence[tuple[str, int]], place: Sequence[Place]) -> None:
    for id_, wanted in joins:
        placed = sum(row.makes for row in place if row.id == id_)
        if placed != wanted:
            first = next((row.line for row in place if row.id == id_), None)
            said = say("none is placed") if placed == 0 else say("{placed} placed", placed=placed)
            line = table.line("place") if first is None else first
            table.page.say(line, f"{table.called}{wanted} of '{id_}' are joined, and {said}", "each one has its place")


def _lies(raw: object, meaning: Meaning) -> Facing | Splayed:
    """`B right, top up`, or `splayed front left`."""
    text = values.words(raw, say("two sides and where they point")).replace(",", " , ").split()
    if text[:1] == ["splayed"]:
        return _splayed(text[1:])
    first, comma, second = text[:2], text[2:3], text[3:]
    if len(text) != 5 or comma != [","]:
        raise BadValueError(say("names two sides and where each points"), say('such as "B right, top up"'))
    sides = [_one_of(pair[0], SIDES, say("a side of the piece")) for pair in (first, second)]
    ways = [_one_of(pair[1], DIRECTIONS, say("a direction")) for pair in (first, second)]
    for both, what in ((sides, say("sides of the piece")), (ways, "directions")):
        if both[0] == both[1] or frozenset(both) in _PAIRS:
            raise BadValueError(
                say("{first} and {other} are not {what} square to each other", first=both[0], other=both[1], what=what),
                say('such as "B right, top up"'),
            )
    return Facing((sides[0], sides[1]), (ways[0], ways[1]))


def _splayed(corner: Sequence[str]) -> Splayed:
    depth: list[Literal["front", "back"]] = [way for way in ("front", "back") if way in corner]
    across: list[Literal["left", "right"]] = [side for side in ("left", "right") if side in corner]
    if len(corner) != 2 or len(depth) != 1 or len(across) != 1:
        raise BadValueError(say("a splayed leg is at one corner"), say('such as "splayed front left"'))
    return Splayed(depth=depth[0], across=across[0])


def _one_of(word: str, known: tuple[T, ...], what: str) -> T:
    by_word = {str(each).lower(): each for each in known}
    if word.lower() not in by_word:
        hint = nearest(word, [str(each) for each in known])
        raise BadValueError(
            say("'{word}' is not {what}", word=word, what=what),
            hint or say("one of: {known}", known=", ".join(map(str, known))),
        )
    return by_word[word.lower()]
