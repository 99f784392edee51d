"""`features` of a part: mortises, tenons, grooves, bores and other cuts, one row each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar, cast, get_args

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.feature import OPPOSITE, Feature, FeatureKind, FeatureSide, Haunch, ProfileShape
from tracker.design.name_lookup import nearest
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.words import say

T = TypeVar("T")
MOST_ROWS = 60
MOST_IN_A_ROW = 100
STEEPEST_LEAN = 60.0
FACES: tuple[FeatureSide, ...] = ("top", "bottom")
EDGES: tuple[FeatureSide, ...] = ("near", "far")
ENDS: tuple[FeatureSide, ...] = ("A", "B")
SIDES: tuple[FeatureSide, ...] = (*FACES, *EDGES, *ENDS)
OTHER_NAMES = {"housing": "dado", "rebate": "rabbet"}
_PLACE, _ROW = ("from", "toward"), ("count", "spacing", "row")
_HOLE = (*_PLACE, "lean", *_ROW)
KEYS: dict[FeatureKind, tuple[tuple[str, ...], tuple[str, ...], tuple[FeatureSide, ...]]] = {
    "notch": (("on", "length", "depth"), (*_PLACE, "lean"), (*EDGES, *ENDS)),
    "mortise": (("on", "length", "width"), ("depth", "through", "lean", *_PLACE, *_ROW), SIDES),
    "tenon": (("on", "length", "width", "thickness"), (*_PLACE, "haunch"), ENDS),
    "groove": (("on", "width", "depth"), (*_PLACE, "stop", *_ROW), SIDES),
    "dado": (("on", "width", "depth"), (*_PLACE, "stop", "angle", *_ROW), (*FACES, *EDGES)),
    "rabbet": (("on", "edge", "width", "depth"), ("stop",), SIDES),
    "bore": (("on", "diameter"), (*_HOLE, "depth", "through"), SIDES),
    "dowel": (("on", "diameter", "depth"), _HOLE, SIDES),
    "bolt": (("on", "diameter"), (*_HOLE, "depth", "through", "head", "head_depth"), SIDES),
    "counterbore": (("on", "diameter", "depth"), (*_HOLE, "hole", "hole_depth", "through"), SIDES),
    "slot": (("on", "length", "width"), ("depth", "through", *_PLACE, *_ROW), SIDES),
    "profile": (("edges", "shape"), ("width", "height", "radius"), ()),
    "bevel": (("on", "angle"), ("long_face",), EDGES),
}
"""For each kind: the keys it needs, the keys it may have, and the sides it may be on."""
_LENGTHS = ("length", "width", "thickness", "diameter", "hole", "radius", "height", "head")
_DEPTHS = ("depth", "hole_depth", "head_depth")


def read_features(part: Table) -> tuple[Feature, ...]:
    """Every valid row, in the order of the file. Whether it fits the piece is checked later, on the solid."""
    tables = part.groups("features")
    if len(tables) > MOST_ROWS:
        part.problem(say("more than {most} features", most=MOST_ROWS), "", "features")
    found = (_feature(table) for table in tables[:MOST_ROWS])
    return tuple(each for each in found if each is not None)


def _feature(row: Table) -> Feature | None:
    kind = cast(FeatureKind | None, row.read("kind", _kind, required=True))
    if kind is None:
        row.knows(*row.keys())
        return None
    row.called = f"{row.called.removesuffix('features: ')}{kind}: "
    needed, may, sides = KEYS[kind]
    row.knows("kind", *needed, *may, "fits", "play", "tool")
    given: dict[str, Any] = {"kind": kind, "line": row.line()}
    for key in (*needed, *may):
        required = key in needed and not (key in ("width", "thickness", "length", "diameter") and "fits" in row)
        found = _read(row, key, kind, sides, required=required)
        if found is not None:
            given["at" if key == "from" else key] = found
    _head(given)
    _agrees(row, kind, given)
    if "fits" in row:
        given["fits"] = row.read("fits", values.name) or ""
    given["play"] = row.read("play", values.length)
    given["tool"] = row.read("tool", values.name) or ""
    row.close()
    return Feature(**given)


def _head(given: dict[str, Any]) -> None:
    """A bolt's hole and the bore for its head are the narrow and the wide hole of a counterbore."""
    head, deep = given.pop("head", None), given.pop("head_depth", None)
    if head is not None and deep is not None:
        given["hole"], given["hole_depth"] = given.get("diameter"), given.get("depth")
        given["diameter"], given["depth"] = head, deep


def _kind(raw: object, meaning: Meaning) -> str:
    word = " ".join(values.words(raw, say("a kind")).lower().split())
    word = OTHER_NAMES.get(word, word)
    if word not in KEYS:
        raise BadValueError(
            say("'{word}' is not a known feature", word=word),
            nearest(word, KEYS) or say("one of: {keys}", keys=", ".join(KEYS)),
        )
    return word


def _read(row: Table, key: str, kind: FeatureKind, sides: Sequence[FeatureSide], *, required: bool) -> Any:
    if key in _LENGTHS:
        return row.read(key, values.positive_length, required=required)
    if key in _DEPTHS or key == "spacing":
        return row.read(key, values.positive_length, required=required)
    if key == "on":
        return row.choice("on", sides, required=required)
    if key in ("from", "toward", "stop"):
        return _group(row, key, values.length)
    if key == "lean":
        return _group(row, key, values.angle_within(STEEPEST_LEAN))
    if key == "angle":
        within = values.angle_within(STEEPEST_LEAN, 0.1 if kind == "bevel" else -STEEPEST_LEAN)
        return row.read("angle", within, required=required)
    if key == "through":
        return row.read("through", values.yes_or_no)
    if key == "count":
        return row.read("count", values.count_within(1, MOST_IN_A_ROW))
    if key == "edges":
        return row.read_list("edges", _edge, single=True) or None
    if key == "haunch":
        return _haunch(row)
    options = {
        "row": ("along", "across"), "edge": SIDES, "shape": get_args(ProfileShape), "long_face": FACES,
    }[key]  # fmt: skip
    return row.choice(key, options, required=required)


def _group(row: Table, key: str, convert: Callable[[object, Meaning], T]) -> tuple[tuple[str, T], ...] | None:
    """A { } group whose keys are sides of the piece."""
    group = row.group(key)
    if group is None:
        return None
    found = [(side, group.read(side, convert)) for side in SIDES if side in group]
    group.close()
    if not found:
        row.problem(say("'{key}' names no side", key=key), say("one of: {sides}", sides=", ".join(SIDES)), key)
    return tuple((side, value) for side, value in found if value is not None)


def _haunch(row: Table) -> Haunch | None:
    group = row.group("haunch")
    if group is None:
        return None
    edge = group.choice("edge", EDGES, required=True)
    length = group.read("length", values.positive_length, required=True)
    width = group.read("width", values.positive_length)
    group.close()
    return Haunch(edge=cast(Any, edge), length=length, width=width) if edge and length else None


def _edge(raw: object, meaning: Meaning) -> tuple[FeatureSide, FeatureSide]:
    """`near top`, `A bottom`: an edge or an end, and a face."""
    found = values.words(raw, say('an edge, such as "near top"')).split()
    by_word: dict[str, FeatureSide] = {side.lower(): side for side in SIDES}
    sides = [by_word.get(word.lower()) for word in found]
    if len(sides) != 2 or sides[0] not in (*EDGES, *ENDS) or sides[1] not in FACES:
        raise BadValueError(say("is an edge or an end, and a face"), say('such as "near top" or "B bottom"'))
    return sides[0], sides[1]


def _agrees(row: Table, kind: FeatureKind, given: dict[str, Any]) -> None:
    """Check the keys of a row against one another."""
    on: FeatureSide | None = given.get("on")
    own_axis = {on, OPPOSITE[on]} if on else set()
    for key in ("at", "toward", "stop", "lean"):
        named = [side for side, _ in given.get(key, ())]
        word = "from" if key == "at" else key
        for side in named:
            if side in own_axis:
                row.problem(
                    say("'{word}' names {side}, and it is on {on}", word=word, side=side, on=on),
                    say("the sides beside it are meant"),
                    word,
                )
            elif key in ("at", "toward") and OPPOSITE[side] in named:
                row.problem(
                    say("'{side}' and '{opposite}' both say where it is", side=side, opposite=OPPOSITE[side]),
                    say("keep one of them"),
                    word,
                )
                break
            elif key == "toward" and side in {s for each, _ in given.get("at", ()) for s in (each, OPPOSITE[each])}:
                row.problem(say("'from' and 'toward' both say where it is"), say("keep one of them"), "toward")
    if kind in ("mortise", "slot", "bore") or (kind == "bolt" and "hole" not in given):
        if ("depth" in row) == bool(given.get("through")):
            row.problem(say("it needs a depth, or through = true"), say("one of both"), "depth")
        if given.get("through") and on in ENDS:
            row.problem(say("nothing goes through the whole length of a piece"), say("say its depth"), "through")
    if "hole" in given and ("hole_depth" in given and given["hole_depth"] is not None) == bool(given.get("through")):
        row.problem(say("the narrow hole needs a depth, or through = true"), say("one of both"), "hole_depth")
    if "hole" in given and given["hole"] and given.get("diameter") and given["hole"] >= given["diameter"]:
        row.problem(say("the narrow hole is as wide as the wide one"), "", "hole")
    if given.get("hole_depth") and given.get("depth") and given["hole_depth"] <= given["depth"]:
        row.problem(
            say("the narrow hole is no deeper than the wide one"), say("both are measured from the side"), "hole_depth"
        )
    if len(given.get("lean", ())) > 1:
        row.problem(say("it leans toward one side"), say("keep one of them"), "lean")
    if (given.get("count", 1) > 1) != ("spacing" in row):
        row.problem(say("'count' and 'spacing' make a row together"), say("count = 4, spacing = 32"), "count")
    _agrees_more(row, kind, given)


def _agrees_more(row: Table, kind: FeatureKind, given: dict[str, Any]) -> None:
    on, edge = given.get("on"), given.get("edge")
    if kind == "rabbet" and on and edge and edge in (on, OPPOSITE[on]):
        row.problem(
            say("'edge' is {edge}, and it is on {on}", edge=edge, on=on), say("the edge or end beside it"), "edge"
        )
    if kind == "rabbet" and on in ENDS and edge in ENDS:
        row.problem(say("a rabbet on an end takes away an edge or a face of it"), "", "edge")
    if kind == "profile":
        wanted, others = ("width", ("radius",)) if given.get("shape") == "chamfer" else ("radius", ("width", "height"))
        if wanted not in row:
            row.problem(say("'{key}' is missing", key=wanted))
        for key in others:
            if key in row:
                row.problem(
                    say("a {kind} has no '{key}'", kind=given.get("shape"), key=key),
                    say("it has a {wanted}", wanted=wanted),
                    key,
                )
    long, wide = given.get("length"), given.get("width")
    if kind == "slot" and long and wide and long <= wide:
        row.problem(say("a slot is longer than it is wide"), say("else it is a bore"), "length")
