"""Screws, dowels and bolts as plain data and as lines for a terminal: their positions and clearances."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.cards.reports.numbers import PLACES, Json, mm
from tracker.design.model import Build, Hole, Part
from tracker.measure import Length, read_length
from tracker.plan.fasteners import fastener_of
from tracker.plan.place.bodies import Vector
from tracker.plan.screws import Clearance, Screw, Survey, nearest_words, piece_words, surveys
from tracker.plan.screws.mate_holes import MateHole, mate_hole, mate_words
from tracker.plan.screws.words import mm_words
from tracker.words import say


def screws_report(build: Build) -> list[Json]:
    """One object for each screw, dowel and bolt, piece by piece. Its axis, from where it enters the wood to its tip, is
    in the millimetres of `assembly` or, for a piece without a known place, in the piece's own."""
    return [
        _screw(build, survey, screw, survey.clearance(screw))
        for survey in surveys(build)
        for screw in survey.screws
        if hole_of(survey, screw).fastens
    ]


def hole_of(survey: Survey, screw: Screw) -> Hole:
    """The row of holes that a screw belongs to."""
    return survey.timbers[screw.piece].part.holes[screw.row]


def _screw(build: Build, survey: Survey, screw: Screw, near: Clearance) -> Json:
    part, hole = build.part(screw.piece[0]), hole_of(survey, screw)
    which = sum(each.row == screw.row for each in survey.timbers[screw.piece].solid.holes[: screw.hole])
    fastener = fastener_of(build, part, hole)
    return {
        "part": screw.piece[0],
        "piece": screw.piece[1],
        "hole": screw.hole + 1,
        "kind": screw.kind,
        "end": screw.end,
        "from_edge_mm": mm(hole.from_edge[which]),
        "from_end_mm": round(_from_end(survey, screw), PLACES),
        "face": screw.face,
        "assembly": None if survey.assembly is None else survey.assembly[0],
        "axis": [_rounded(screw.mouth), _rounded(screw.tip)],
        "length_mm": None if fastener.length is None else mm(fastener.length),
        "gauge": fastener.gauge,
        "common_practice": sorted(fastener.usual),
        "goes_in_mm": round(screw.goes_in, PLACES),
        "clearance_mm": round(near.mm, 4) if near.to else None,
        "nearest": nearest_words(build, near) or None,
        "enters": None if screw.enters is None else f"{screw.enters[0]}:{screw.enters[1]}",
        "mate": _mate(mate_hole(survey, screw)),
        "temporary": screw.temporary,
    }


def _mate(hole: MateHole | None) -> Json | None:
    """Where it goes into the other piece, for marking out that piece."""
    if hole is None:
        return None
    return {
        "face": hole.face,
        "end": hole.end,
        "from_end_mm": None if hole.from_end is None else round(hole.from_end, PLACES),
        "across_mm": round(hole.across, PLACES),
        "from_face_mm": None if hole.up is None else round(hole.up, PLACES),
        "depth_mm": round(hole.depth, PLACES),
    }


def _from_end(survey: Survey, screw: Screw) -> float:
    """The distance along the piece from its end, at that position across the width, to where the axis enters."""
    solid = survey.timbers[screw.piece].solid
    x, y, z = solid.holes[screw.hole].enters
    return abs(x - solid.reach(screw.end, y, z))


def _rounded(point: Vector) -> list[float]:
    return [round(each, PLACES) + 0.0 for each in point]


def screws_lines(build: Build) -> Iterator[str]:
    """A heading for each part's row of holes, and a line for each piece."""
    said = ""
    none = True
    for survey in surveys(build):
        for screw in survey.screws:
            hole = hole_of(survey, screw)
            if not hole.fastens:
                continue
            none = False
            part = build.part(screw.piece[0])
            heading = _heading(build, part, hole)
            if heading != said:
                said = heading
                yield heading
            yield f"  {_line(build, survey, screw)}"
    if none:
        yield say("no screws, dowels or bolts")


def _heading(build: Build, part: Part, hole: Hole) -> str:
    """`Long apron: pocket screws, 1 1/4" long, No. 8 (common practice)`."""
    fastener = fastener_of(build, part, hole)
    kind = {"pocket": say("pocket screws"), "screw": say("screws"), "dowel": say("dowels"), "bolt": say("bolts")}[
        hole.kind
    ]
    words = [f"{part.name}: {kind}"]
    if fastener.length is not None:
        words.append(say("{length} long", length=_read(build, fastener.length)))
    words.append(
        say("No. {gauge}", gauge=fastener.gauge)
        if fastener.gauge
        else say("{diameter} thick", diameter=_read(build, fastener.diameter))
    )
    usual = (
        say(" ({usual}: common practice)", usual=say(" and ").join(sorted(fastener.usual))) if fastener.usual else ""
    )
    return f"{', '.join(words)}{usual}"


def _line(build: Build, survey: Survey, screw: Screw) -> str:
    hole, near = hole_of(survey, screw), survey.clearance(screw)
    which = sum(each.row == screw.row for each in survey.timbers[screw.piece].solid.holes[: screw.hole])
    into = (
        say("into nothing known")
        if screw.enters is None
        else say("{goes_in} into", goes_in=mm_words(build, screw.goes_in))
    )
    into = into if screw.enters is None else f"{into} {piece_words(build, screw.enters)}"
    least = (
        say("least clearance {length}: {nearest}", length=mm_words(build, near.mm), nearest=nearest_words(build, near))
        if near.mm >= 0
        else ""
    )
    if near.mm < 0:
        least = say(
            "NO ROOM: {nearest} overlap by {length}",
            nearest=nearest_words(build, near),
            length=mm_words(build, near.mm),
        )
    end = (
        say("end {end}", end=screw.end)
        if hole.from_end is None
        else say("{from_end} from end {end}", from_end=_read(build, hole.from_end), end=screw.end)
    )
    place = say(
        "{end}, {from_edge} from the {edge}",
        end=end,
        from_edge=_read(build, hole.from_edge[which]),
        edge=_edge(screw, survey),
    )
    mate = mate_hole(survey, screw) if hole.kind in ("dowel", "bolt") else None
    if mate is not None:
        into = say("into {mate}", mate=mate_words(build, mate))
    later = say("; comes out once the glue is dry") if screw.temporary else ""
    return f"{piece_words(build, screw.piece)}, {place}: {into}; {least}{later}"


def _edge(screw: Screw, survey: Survey) -> str:
    if screw.face in ("near", "far"):
        return say("bottom face")
    return say("far edge") if survey.timbers[screw.piece].solid.hand == "right" else say("near edge")


def _read(build: Build, length: Length) -> str:
    return read_length(length, build.shop.mark).plain
