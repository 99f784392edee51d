"""`holes` of a part: plain holes, and those for a screw, a dowel or a bolt."""

from __future__ import annotations

from typing import TypedDict, cast

from msgspec import Struct
from msgspec.structs import replace

from tracker.design import values
from tracker.design.model import EndName, Hole, HoleFace, HoleKind
from tracker.design.sections.common import MOST_FEATURES, limited
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.measure import Length
from tracker.words import say

MOST_PLACES = 20
SMALLEST_GAUGE, LARGEST_GAUGE = 4, 16


class _Kind(Struct, frozen=True):
    """The keys that a kind of hole needs and may have besides `kind`, `end`, `face` and `from_edge`, and the sides it
    may go in."""

    needs: tuple[str, ...]
    may_have: tuple[str, ...]
    faces: tuple[HoleFace, ...]


_FACES: tuple[HoleFace, ...] = ("top", "bottom")
_EDGES: tuple[HoleFace, ...] = ("near", "far")
_SCREW = ("screw", "gauge", "places", "temporary")
KINDS: dict[HoleKind, _Kind] = {
    "pocket": _Kind((), (*_SCREW, "bore", "shoulder"), _FACES),
    "through": _Kind(("from_end", "diameter"), (), _FACES),
    "blind": _Kind(("from_end", "diameter", "depth"), (), _FACES),
    "screw": _Kind(("from_end",), (*_SCREW, "recess", "from_face"), (*_FACES, *_EDGES)),
    "dowel": _Kind(("from_end", "diameter"), ("depth", "length", "from_face", "places"), (*_FACES, *_EDGES, "end")),
    "bolt": _Kind(("from_end", "diameter"), ("length", "recess", "counterbore", "from_face"), (*_FACES, *_EDGES)),
}
_KEYS = (
    "from_end", "diameter", "depth", "screw", "length", "recess", "counterbore", "from_face", "bore", "shoulder",
    "gauge", "places", "temporary",
)  # fmt: skip


class _Measures(TypedDict):
    """The fields of a hole that are lengths."""

    diameter: Length | None
    depth: Length | None
    fastener: Length | None
    recess: Length | None
    plug_diameter: Length | None
    bore: Length | None
    shoulder: Length | None


def read_holes(part: Table, thickness: Length | None) -> list[tuple[int, Hole]]:
    """Every line of holes with its row in the file. A row for both ends gives two lines, and a row in an edge gives one
    for each place along it. `thickness` is the piece's: a hole in an edge is in the middle unless the file says where.
    """
    rows = enumerate(limited(part, "holes", MOST_FEATURES))
    return [(row, hole) for row, table in rows for hole in _holes(table, thickness)]


def _holes(table: Table, thickness: Length | None) -> list[Hole]:
    kind = cast(HoleKind | None, table.choice("kind", tuple(KINDS), required=True))
    end = table.choice("end", ("A", "B", "both"), required=True)
    face = _face(table, kind)
    _check_keys(table, kind, face)
    along = table.read_list("from_end", values.positive_length, single=True)
    if len(along) > 1 and face not in _EDGES:
        table.problem(say("'from_end' is one length"), say("only holes in an edge may have several"), "from_end")
    places, across = _across(table, kind, face, thickness)
    plug, plug_diameter = _plug(table, kind)
    lengths = _measures(table)
    if plug_diameter is not None:
        lengths["plug_diameter"] = plug_diameter
    hole = Hole(
        kind=kind or "pocket",
        end="A" if end == "both" else cast(EndName, end or "B"),
        from_edge=across,
        face=face,
        plug=plug,
        from_face=table.read("from_face", values.positive_length) if face == "end" else None,
        gauge=table.read("gauge", values.count_within(SMALLEST_GAUGE, LARGEST_GAUGE)),
        places=places,
        temporary=table.read("temporary", values.yes_or_no) or False,
        line=table.line(),
        **lengths,
    )
    table.close()
    found = [replace(hole, from_end=each) for each in (along if face in _EDGES else along[:1])] or [hole]
    return [each for one in found for each in ((one, replace(one, end="B")) if end == "both" else (one,))]


def _face(table: Table, kind: HoleKind | None) -> HoleFace:
    known = KINDS[kind].faces if kind else (*_FACES, *_EDGES, "end")
    face = table.choice("face", known)
    return cast(HoleFace, face or ("bottom" if kind == "pocket" else "top"))


def _check_keys(table: Table, kind: HoleKind | None, face: HoleFace) -> None:
    """Check that each key the kind needs is there, and no key it can't have."""
    if kind is None:
        table.knows(*_KEYS)
        return
    needs, may_have = KINDS[kind].needs, KINDS[kind].may_have
    for key in _KEYS:
        if key == "from_end" and face == "end":
            if key in table:
                table.problem(say("a hole in the end has no 'from_end': it begins there"), "", key)
        elif key in needs:
            if key not in table:
                table.problem(say("a {kind} hole needs '{key}'", kind=kind, key=key))
        elif key in table and key not in may_have:
            table.problem(
                say(
                    "a {kind} hole has no '{key}': {hint}",
                    kind=kind,
                    key=key,
                    hint=_WHY_NOT.get((kind, key), "it means nothing here"),
                ),
                "",
                key,
            )
    if kind == "dowel" and "depth" not in table and "length" not in table:
        table.problem(
            say("a dowel hole needs 'depth' or 'length'"), say("half the dowel's length goes into each piece")
        )
    if "from_face" in table and face in _FACES:
        table.problem(say("'from_face' is for holes in an edge or an end"), "", "from_face")
    if "from_edge" in table and face in _EDGES:
        table.problem(
            say("a hole in an edge has no 'from_edge'"),
            say("'from_face' is how far it is from the bottom"),
            "from_edge",
        )


_WHY_NOT: dict[tuple[HoleKind, str], str] = {
    ("pocket", "from_end"): say("its place follows from the thickness"),
    ("pocket", "diameter"): say("its place follows from the thickness"),
    ("pocket", "depth"): say("its place follows from the thickness"),
    ("through", "depth"): say("it goes right through"),
    ("screw", "diameter"): say("'gauge' is the size of its screw"),
    ("screw", "length"): say("'screw' is the length of its screw"),
    ("bolt", "screw"): say("'length' is the length of its bolt"),
}


def _across(
    table: Table, kind: HoleKind | None, face: HoleFace, thickness: Length | None
) -> tuple[int, tuple[Length, ...]]:
    """How many places the program is to find; or where the holes are, from the near edge or from the bottom face."""
    if face in _EDGES:
        if "places" in table:
            table.problem(
                say("'places' is for holes across a face or an end"), say("'from_end' may be a list here"), "places"
            )
        at = table.read("from_face", values.positive_length)
        middle = thickness / 2 if thickness else None
        return 0, tuple(each for each in (at or middle,) if each is not None)
    from_edge = table.read_list("from_edge", values.positive_length, single=True)
    places = table.read("places", values.count_within(1, MOST_PLACES))
    if "places" in table and "from_edge" in table:
        table.problem(say("'places' and 'from_edge' both say where the holes are"), say("keep one of them"), "places")
    elif "places" not in table and table.count("from_edge") == 0:
        may = kind is not None and "places" in KINDS[kind].may_have
        hint = say("how far each hole is from the near edge")
        table.problem(
            say("'from_edge' is missing"), say("{hint}; or places = 2: they are found", hint=hint) if may else hint
        )
    elif len(from_edge) > MOST_FEATURES:
        table.problem(say("more than {most_features} holes in a line", most_features=MOST_FEATURES), "", "from_edge")
        from_edge = ()
    return places or 0, from_edge


def _plug(table: Table, kind: HoleKind | None) -> tuple[bool, Length | None]:
    """Whether the holes get plugs, and the plugs' diameter if the file gives it: `plug = false`, `plug = "3/8"`."""
    plug = table.read("plug", _plug_value)
    if kind in ("blind", "dowel") and plug:
        table.problem(
            say("a {kind} hole gets no plug: it takes a dowel or a screw from the other side", kind=kind), "", "plug"
        )
    if isinstance(plug, Length) and "recess" not in table and kind in ("screw", "bolt"):
        table.problem(say("a plug needs a recess to sit in"), say('recess = "3/8" is how deep it is'), "plug")
    return plug is not False, plug if isinstance(plug, Length) else None


def _plug_value(raw: object, meaning: Meaning) -> bool | Length:
    return raw if isinstance(raw, bool) else values.positive_length(raw, meaning)


def _measures(table: Table) -> _Measures:
    def read(key: str) -> Length | None:
        return table.read(key, values.positive_length)

    return _Measures(
        diameter=read("diameter"),
        depth=read("depth"),
        fastener=read("screw") or read("length"),
        recess=read("recess"),
        plug_diameter=read("counterbore"),
        bore=read("bore"),
        shoulder=read("shoulder"),
    )
