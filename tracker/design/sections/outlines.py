"""`[[outlines]]`: curves that are sawn from a part or from a glued-up panel."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import cast, get_args

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.name_lookup import nearest
from tracker.design.outline import (
    Bows,
    Circle,
    Corner,
    Corners,
    Cutout,
    Figure,
    Outline,
    Oval,
    PanelSide,
    Path,
    PathStep,
    Slot,
    Spot,
    SvgPath,
)
from tracker.design.place import Mirror
from tracker.design.sections.common import identifier, lines_under
from tracker.design.toml.table import Table
from tracker.design.values import Meaning
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.words import say

MOST_OUTLINES = 50
MOST_CUTOUTS = 100
LONGEST_PATH = 100_000
"""The most characters of an SVG path."""
FIGURES = ("corners", "path", "svg", "circle", "oval", "slot")
SIDES: tuple[PanelSide, ...] = get_args(PanelSide)
_OPPOSITE = (("left", "right"), ("front", "back"))

_whole_turn = values.angle_within(360, -360)


def read_outlines(tables: Sequence[Table], panels: Sequence[str]) -> tuple[Outline, ...]:
    """Every outline; `panels` are the ids of the parts and assemblies that one may be sawn from."""
    found: list[Outline] = []
    lines: dict[str, int] = {}
    for table in tables:
        outline = _outline(table, panels)
        if outline is None:
            continue
        if outline.id in lines:
            table.problem(
                say("two outlines are called '{name}'", name=outline.id),
                say("the other is on line {lines}", lines=lines[outline.id]),
                "id",
            )
        lines[outline.id] = table.line()
        found.append(outline)
    return tuple(found)


def _outline(table: Table, panels: Sequence[str]) -> Outline | None:
    id_ = table.read("id", identifier, required=True) or ""
    table.called = f"{id_}: " if id_ else ""
    of = table.read("of", identifier, required=True) or ""
    if of and of not in panels:
        table.problem(say("no part or assembly is called '{of}'", of=of), nearest(of, panels), "of")
    figure = _figure(table)
    cutouts = _cutouts(table)
    at = _at(table)
    margin = table.read("margin", values.length)
    mirror = table.choice("mirror", get_args(Mirror))
    table.close()
    if figure is None:
        return None
    return Outline(
        id=id_, of=of, figure=figure, cutouts=cutouts, at=at, margin=margin or ZERO, mirror=cast(Mirror | None, mirror),
        line=table.line(), lines=lines_under(table),
    )  # fmt: skip


def _cutouts(table: Table) -> tuple[Cutout, ...]:
    rows = table.groups("cutouts")
    if len(rows) > MOST_CUTOUTS:
        table.problem(say("more than {most_cutouts} cutouts", most_cutouts=MOST_CUTOUTS), "", "cutouts")
    found = []
    for row in rows[:MOST_CUTOUTS]:
        figure = _figure(row)
        at, turn = row.read("at", spot), row.read("turn", _whole_turn)
        if figure is not None and "at" not in row and isinstance(figure, Circle | Oval | Slot):
            row.problem(say("'at' is missing: where its middle is"), say("at = [170, 222]"))
        row.close()
        if figure is not None:
            found.append(Cutout(figure=figure, at=at or (ZERO, ZERO), turn=turn or 0.0))
    return tuple(found)


def _at(table: Table) -> tuple[tuple[PanelSide, Length], ...]:
    group = table.group("at")
    if group is None:
        return ()
    found = [(side, group.read(side, values.offset)) for side in SIDES if side in group]
    for one, other in _OPPOSITE:
        if one in group and other in group:
            table.problem(
                say("'{first}' and '{other}' both say where it is", first=one, other=other),
                say("keep one of them"),
                "at",
            )
    group.close()
    return tuple((side, length) for side, length in found if length is not None)


# -- figures ----------------------------------------------------------------------------------------------------------


def _figure(table: Table) -> Figure | None:
    """The one figure that a table gives; None when it is wrong and that has been reported."""
    named = [key for key in FIGURES if key in table]
    if len(named) != 1:
        said = (
            say("'{first}' and '{other}' both give a shape", first=named[0], other=named[1])
            if named
            else say("its shape is missing")
        )
        table.problem(said, say("one of: {figures}", figures=", ".join(FIGURES)), *named[1:2])
        return None
    return _READERS[named[0]](table)


def _corners(table: Table) -> Figure | None:
    found, written = table.read_list("corners", corner), table.count("corners")
    if written is not None and written < 3:
        table.problem(say("'corners' has at least three"), say("corners = [[0, 0], [340, 0], [340, 300]]"), "corners")
    return Corners(found) if len(found) >= 3 and len(found) == written else None


def corner(raw: object, meaning: Meaning) -> Corner:
    """`[x, y]`, or `[x, y, radius]`."""
    if not isinstance(raw, list) or len(raw) not in (2, 3):
        raise BadValueError(say("a corner is its x, its y and a rounding"), "[340, 110, 50]")
    radius = values.length(raw[2], meaning) if len(raw) == 3 else ZERO
    return Corner(values.offset(raw[0], meaning), values.offset(raw[1], meaning), radius)


def spot(raw: object, meaning: Meaning) -> Spot:
    """`[x, y]`."""
    if not isinstance(raw, list) or len(raw) != 2:
        raise BadValueError(say("a place is its x and its y"), "[170, 222]")
    return values.offset(raw[0], meaning), values.offset(raw[1], meaning)


def _path(table: Table) -> Figure | None:
    rows = table.groups("path")
    if not rows:
        if table.count("path") is not None:
            table.problem(say("'path' is empty"), say("path = [{ from = [0, 0] }, { to = [900, 0] }, ...]"), "path")
        return None
    start = rows[0].read("from", spot)
    if "from" not in rows[0]:
        rows[0].problem(say("a path begins with 'from'"), say("{ from = [0, 0] }"))
    rows[0].close()
    steps = [_step(row) for row in rows[1:]]
    if len(steps) < 2 and not (steps and "smooth" in rows[1]):
        table.problem(say("a path needs two steps or more after 'from'"), "", "path")
        return None
    if start is None or None in steps:
        return None
    return Path(start, tuple(step for step in steps if step is not None))


def _step(row: Table) -> PathStep | None:
    if "smooth" in row:
        nails = row.read_list("smooth", spot)
        row.close()
        whole = bool(nails) and len(nails) == row.count("smooth")
        if row.count("smooth") == 0:
            row.problem(say("'smooth' has no points"), say("the nails that a batten is bent round"), "smooth")
        return PathStep(smooth=nails) if whole else None
    to = row.read("to", spot, required=True)
    through, radius = row.read("through", spot), row.read("radius", values.positive_length)
    bows = row.choice("bows", get_args(Bows))
    if "through" in row and ("radius" in row or "bows" in row):
        row.problem(
            say("'through' and 'radius' both bend it"), say("keep one of them"), "radius" if "radius" in row else "bows"
        )
    if "bows" in row and "radius" not in row:
        row.problem(say("'bows' needs a radius"), say('radius = 1200, bows = "out"'), "bows")
    row.close()
    return None if to is None else PathStep(to=to, through=through, radius=radius, bows=cast(Bows, bows or "out"))


def _svg(table: Table) -> Figure | None:
    return table.read("svg", _drawn)


def _drawn(raw: object, meaning: Meaning) -> SvgPath:
    if not isinstance(raw, str):
        raise BadValueError(
            say("must be a drawing's path in quotes, not {kind}", kind=values.kind_of(raw)), '"M 0,160 C ... z"'
        )
    if len(raw) > LONGEST_PATH:
        raise BadValueError(say("is longer than {most:,} characters", most=LONGEST_PATH))
    return SvgPath(raw, Length.of(1, meaning.units))


def _circle(table: Table) -> Figure | None:
    across = table.read("circle", values.positive_length)
    return None if across is None else Circle(across)


def _two(key: str, make: Callable[[Length, Length], Figure]) -> Callable[[Table], Figure | None]:
    """A figure with two measures."""

    def reader(table: Table) -> Figure | None:
        found, written = table.read_list(key, values.positive_length), table.count(key)
        if written is not None and written != 2:
            table.problem(say("'{key}' has two measures", key=key), f"{key} = [95, 25]", key)
        if len(found) != 2 or written != 2:
            return None
        if key == "slot" and found[0] < found[1]:
            table.problem(say("a slot's first measure is its length, the longer one"), "", key)
        return make(found[0], found[1])

    return reader


_READERS: dict[str, Callable[[Table], Figure | None]] = {
    "corners": _corners,
    "path": _path,
    "svg": _svg,
    "circle": _circle,
    "oval": _two("oval", Oval),
    "slot": _two("slot", Slot),
}
