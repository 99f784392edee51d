"""The ends, tapers and laps of a part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from tracker.design import values
from tracker.design.model import (
    CornerJoint,
    EdgeName,
    EndCut,
    EndCuts,
    EndName,
    Ends,
    FaceName,
    Lap,
    RingJoint,
    SplayedLegJoint,
    Taper,
    TaperedEdges,
)
from tracker.design.name_lookup import nearest
from tracker.design.sections.build import STEEPEST
from tracker.design.sections.common import MOST_FEATURES, UNKNOWN, identifier, limited
from tracker.design.toml.table import Table
from tracker.measure import Length
from tracker.words import say

JOINTS = ("ring", "corner", "splayed leg")
MOST_SIDES = 64
SHARPEST_CORNER, FLATTEST_CORNER = 2.0, 179.0
MOST_SPLAY = 60.0
SHARPEST_CROSSING = 10.0

_cut_angle = values.angle_within(STEEPEST)


def read_ends(part: Table) -> Ends:
    """What determines both ends: `end_a` and `end_b`, or a joint."""
    written = [key for key in ("end_a", "end_b") if key in part]
    joint = part.group("joint")
    if "joint" in part and written:
        part.problem(
            say("a joint sets both ends: '{written}' can't be used with it", written=written[0]),
            say("keep one of them"),
            written[0],
        )
    if joint is not None:
        return _joint(joint)
    return EndCuts(a=_end(part.group("end_a")), b=_end(part.group("end_b")))


def _end(table: Table | None) -> EndCut:
    if table is None:
        return EndCut()
    miter, bevel = table.read("miter", _cut_angle), table.read("bevel", _cut_angle)
    long, face = table.choice("long", ("far", "near")), table.choice("long_face", ("top", "bottom"))
    table.close()
    return EndCut(
        miter=miter or 0.0,
        bevel=bevel or 0.0,
        long=cast(EdgeName, long or "far"),
        long_face=cast(FaceName, face or "top"),
    )


def _joint(table: Table) -> Ends:
    kind = table.choice("kind", JOINTS, required=True)
    if kind == "ring":
        sides = table.read("sides", values.count_within(3, MOST_SIDES), required=True)
        lean, butted = table.read("lean", _cut_angle), table.read("butted", values.yes_or_no)
        table.close()
        return RingJoint(sides=sides or 3, lean=lean or 0.0, butted=bool(butted))
    if kind == "corner":
        inside = values.angle_within(FLATTEST_CORNER, SHARPEST_CORNER)
        angle = table.read("angle", inside, required=True)
        lean, butted = table.read("lean", _cut_angle), table.read("butted", values.yes_or_no)
        table.close()
        return CornerJoint(angle=angle or 90.0, lean=lean or 0.0, butted=bool(butted))
    if kind == "splayed leg":
        splay = values.angle_within(MOST_SPLAY)
        height = table.read("height", values.positive_length, required=True)
        front, side = table.read("front", splay), table.read("side", splay)
        if "front" not in table and "side" not in table:
            table.problem(say("a splayed leg leans to the front, to the side or both"), say("front = 8, side = 12"))
        table.close()
        return SplayedLegJoint(height=height or UNKNOWN, front=front or 0.0, side=side or 0.0)
    return EndCuts()


def read_tapers(part: Table, width: Length | None, length: Length | None) -> tuple[Taper, ...]:
    """Every taper, with the two measures that define it."""
    return tuple(_taper(table, width, length) for table in limited(part, "tapers", MOST_FEATURES))


def _taper(table: Table, width: Length | None, length: Length | None) -> Taper:
    edges = table.choice("edges", ("near", "far", "both"), required=True)
    end = table.choice("end", ("A", "B"), required=True)
    start, leave = table.read("start", values.length), table.read("leave", values.positive_length)
    long, angle = table.read("length", values.positive_length), table.read("angle", values.positive_angle)
    _two_measures(table)
    if start and length and start >= length:
        table.problem(say("the taper starts beyond the end of the piece"), say("measured from the other end"), "start")
    if leave and width and leave >= width:
        table.problem(say("the taper leaves the whole width"), say("the width that is left at its end"), "leave")
    table.close()
    return Taper(
        edges=cast(TaperedEdges, edges or "near"),
        end=cast(EndName, end or "B"),
        start=start,
        length=long,
        leave=leave,
        angle=angle,
        line=table.line(),
    )


def _two_measures(table: Table) -> None:
    """Check that exactly two of three measures are given: where the taper begins (`start` or `length`), what it leaves,
    and its angle."""
    given = [key for key in ("start", "length", "leave", "angle") if key in table]
    hint = say("give two of: start or length, leave, angle")
    if "start" in given and "length" in given:
        table.problem(say("'start' and 'length' both say where the taper begins"), hint, "length")
    elif len(given) > 2:
        table.problem(say("two measures set a taper, and a third is given as well"), hint, given[-1])
    elif len(given) < 2:
        what = (
            say("beside '{given}' it needs one more measure", given=given[0])
            if given
            else say("its measures are missing")
        )
        table.problem(what, hint)


def read_laps(part: Table) -> tuple[Lap, ...]:
    """Every half-lap. `check_crossings` checks the crossing parts once all parts are known."""
    return tuple(_lap(table) for table in limited(part, "laps", MOST_FEATURES))


def _lap(table: Table) -> Lap:
    end = table.choice("end", ("A", "B"), required=True)
    from_end = table.read("from_end", values.length, required=True)
    crosses = table.read("crosses", identifier, required=True)
    angle = table.read("angle", values.angle_within(90, SHARPEST_CROSSING))
    face = table.choice("face", ("top", "bottom"))
    table.close()
    return Lap(
        end=cast(EndName, end or "A"),
        from_end=from_end or UNKNOWN,
        crosses=crosses or "",
        angle=angle or 90.0,
        face=cast(FaceName, face or "top"),
        line=table.line(),
    )


def check_crossings(part: Table, laps: Sequence[Lap], ids: Sequence[str]) -> None:
    """Check that each half-lap names a part that exists."""
    for row, lap in enumerate(laps):
        if lap.crosses and lap.crosses not in ids:
            part.problem(
                say("no part is called '{crosses}'", crosses=lap.crosses),
                nearest(lap.crosses, ids),
                "laps",
                row,
                "crosses",
            )
