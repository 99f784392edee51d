"""Parts of a build that can't be cut, or not as written: problems, and notes that suggest a way.

What the file itself shows (a wood it doesn't have, a piece wider than its wood) is reported on loading. This module
reports what shows only in the solid: ends that cross, tapers and holes outside the remaining wood, blanks that no board
gives, angles beyond the saw's scale.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.design.model import Build, EndCuts, EndName, Part, Wood
from tracker.design.problems import Problem
from tracker.measure import Length, read_length
from tracker.plan.clear_board_lengths import clear_stretches, longest_clear
from tracker.plan.geometry import solid
from tracker.plan.hand_clearance import too_small
from tracker.plan.laps import laps_of
from tracker.plan.saw_setting import setting
from tracker.plan.shape import ENDS, HoleShape, Solid
from tracker.words import say


def check(build: Build) -> tuple[Problem, ...]:
    """Everything that prevents the parts of a build from being cut as written, in the order of the file."""
    longest = {wood.id: _longest(wood, build) for wood in build.woods}
    return tuple(sorted(problem for part in build.parts for problem in _part(part, build, longest[part.wood])))


class _Case(Struct, frozen=True):
    """One part being checked."""

    part: Part
    shape: Solid
    wood: Wood
    build: Build
    longest: Length | None
    """The longest blank that any board of its wood gives; None when no board is known."""

    def problem(self, keys: tuple[str, ...], what: str, hint: str = "") -> Problem:
        return Problem(self.line(*keys), f"{self.part.name}: {what}", hint)

    def note(self, keys: tuple[str, ...], what: str, hint: str = "") -> Problem:
        return Problem(self.line(*keys), f"{self.part.name}: {what}", hint, "note")

    def line(self, *keys: str) -> int:
        """The line of the first of these keys that the file has, or else the part's line."""
        return _line(self.part, *keys)

    def said(self, length: Length) -> str:
        return read_length(length, self.build.shop.mark).plain


def _line(part: Part, *keys: str) -> int:
    return next((part.lines[key] for key in keys if key in part.lines), part.line)


def _part(part: Part, build: Build, longest: Length | None) -> Iterator[Problem]:
    try:
        shape = solid(part, part.first_hand)
    except ValueError as error:
        yield Problem(_line(part, "joint", "end_b.miter", "end_a.miter", "length"), f"{part.name}: {error}")
        return
    case = _Case(part, shape, build.wood(part.wood), build, longest)
    yield from _blank(case)
    crossed = list(_ends(case))
    yield from crossed
    if crossed:  # nothing else about it makes sense
        return
    yield from _tapers(case)
    yield from _holes(case)
    yield from _laps(case)
    if part.features:
        from tracker.plan.features import feature_problems  # a start without features is quicker

        yield from feature_problems(build, part, shape)
    yield from _saw(case)


def _ends(case: _Case) -> Iterator[Problem]:
    edges = case.shape.edges
    shortest = min(edges.near_top, edges.far_top, edges.near_bottom, edges.far_bottom)
    if shortest.mm < 0:
        end: EndName = "A" if case.shape.b.square else "B"
        yield case.problem(
            (*_angle_keys(case, end), "length"),
            say("its ends cross, by {length}", length=case.said(-shortest)),
            say("make it longer or narrower, or the angles smaller"),
        )


def _angle_keys(case: _Case, end: EndName) -> tuple[str, ...]:
    """The keys of the line that sets an end's angles."""
    if not isinstance(case.part.ends, EndCuts):
        return ("joint",)
    angle = "miter" if case.shape.end(end).miter else "bevel"
    return (f"end_{end.lower()}.{angle}", f"end_{end.lower()}")


def _blank(case: _Case) -> Iterator[Problem]:
    part = case.part
    if part.allowance.mm < 0:
        yield case.problem(
            ("allowance",),
            say("its blank would be {length} shorter than the piece", length=case.said(-part.allowance)),
            say("an allowance is what the blank has more than the piece"),
        )
    along, across = case.shape.along_board, case.shape.across_board
    if case.longest is not None and along > case.longest:
        yield case.problem(
            ("length", "joint"),
            say(
                "its blank is {length}, and no board of {wood} gives more than {longest}",
                length=case.said(along),
                wood=case.wood.id,
                longest=case.said(case.longest),
            ),
            say("the end trim is lost at both ends of a board"),
        )
    if part.grain == "across" and across > case.wood.width:
        yield case.note(
            ("allowance", "length"),
            say(
                "its blank is to be {width} across the board, and {wood} is {wood_width} wide",
                width=case.said(across),
                wood=case.wood.id,
                wood_width=case.said(case.wood.width),
            ),
            say("the allowance is on the length, which lies across the board: less of it is to be had"),
        )


def _longest(wood: Wood, build: Build) -> Length | None:
    """The longest blank that any board of this wood gives; None when no board is known."""
    shop = build.shop
    longest = max((length - shop.end_trim * 2 for length in wood.lengths), default=None)
    for board in build.rack:
        if board.wood == wood.id and (longest is None or board.length > longest):
            trim = shop.end_trim if board.end_trim is None else board.end_trim
            clear = longest_clear(clear_stretches(board.length, trim, board.defects, shop.kerf))
            longest = clear if longest is None else max(longest, clear)
    return longest


def _tapers(case: _Case) -> Iterator[Problem]:
    part = case.part
    for row, taper in enumerate(part.tapers):
        shapes = [shape for shape in case.shape.tapers if shape.row == row]
        leave = (f"tapers.{row}.leave", f"tapers.{row}.angle", f"tapers.{row}")
        start = (f"tapers.{row}.start", f"tapers.{row}.length", f"tapers.{row}.angle", f"tapers.{row}")
        if shapes[0].leave.mm <= 0:
            yield case.problem(
                leave,
                say("the taper is deeper than the board"),
                say("the board is {width} wide", width=case.said(part.width)),
            )
        elif any(shape.depth.mm <= 0 for shape in shapes):
            yield case.problem(
                leave,
                say("the taper takes nothing off at end {end}", end=taper.end),
                say("leave is the width left there"),
            )
        if taper.start is not None and any(shape.start.mm < 0 or not shape.takes_wood for shape in shapes):
            yield case.problem(
                start, say("the taper starts off the piece"), say("start is measured from the end not tapered")
            )
        elif any(shape.start.mm < 0 for shape in shapes):
            longest = max(shape.length for shape in shapes)
            yield case.problem(
                start, say("the taper is longer than the piece"), say("it is {length} long", length=case.said(longest))
            )


def _holes(case: _Case) -> Iterator[Problem]:
    thickness = float(case.shape.thickness)
    for hole in case.shape.holes:
        row = f"holes.{hole.row}"
        name = say("hole {which} at end {end}", which=hole.which + 1, end=hole.end)
        beside, size = _beside(hole, case)
        if beside <= _radius(hole):
            yield case.problem((f"{row}.from_edge", row), say("{name} is off the piece", name=name), size)
        elif not _on_the_face(hole, case.shape):
            keys = (f"{row}.from_end", f"{row}.from_edge", row)
            yield case.problem(
                keys, say("{name} is off the piece", name=name), say("it runs past an end or into a taper")
            )
        elif hole.kind == "blind" and abs(hole.enters[2] - hole.leaves[2]) >= thickness:
            hint = say("the piece is {thickness} thick", thickness=case.said(case.shape.thickness))
            yield case.problem((f"{row}.depth", row), say("{name} comes out at the other face", name=name), hint)


def _radius(hole: HoleShape) -> float:
    return 0.0 if hole.diameter is None else float(hole.diameter) / 2


def _beside(hole: HoleShape, case: _Case) -> tuple[float, str]:
    """How far the middle of a hole is from the nearer edge, and how wide the piece is; for a hole in an edge from the
    nearer face, and how thick it is; for one in an end, whichever is less."""
    _, y, z = hole.enters
    width, thickness = case.shape.width, case.shape.thickness
    across = (min(y, float(width) - y), say("it is {width} wide", width=case.said(width)))
    up = (min(z, float(thickness) - z), say("the piece is {thickness} thick", thickness=case.said(thickness)))
    if hole.face in ("top", "bottom"):
        return across
    return up if hole.face in ("near", "far") else min(across, up)


def _on_the_face(hole: HoleShape, shape: Solid) -> bool:
    """Whether a hole opens on what ends and tapers leave of its face; a through hole must on both faces. One in an edge
    or the end must be inside just under its mouth."""
    if hole.face not in ("top", "bottom"):
        under = [a + (b - a) * 1e-3 for a, b in zip(hole.enters, hole.leaves, strict=True)]
        return shape.inset((under[0], under[1], under[2])) > 0
    mouths = (hole.enters, hole.leaves) if hole.kind == "through" else (hole.enters,)
    return all(shape.inset(mouth) > _radius(hole) for mouth in mouths)


def _laps(case: _Case) -> Iterator[Problem]:
    laps = laps_of(case.build, case.part, case.shape.hand)
    for lap in laps:
        row = f"laps.{lap.row}"
        other = case.build.part(lap.crosses)
        if other.thickness != case.part.thickness:
            yield case.problem(
                (f"{row}.crosses", row),
                say(
                    "a half-lap joins pieces of one thickness, and {other} is {thickness} thick",
                    other=other.name,
                    thickness=case.said(other.thickness),
                ),
                say("the piece is {thickness} thick", thickness=case.said(case.part.thickness)),
            )
        elif lap.off(case.shape):
            hint = say("its trench is {width} wide along the edge", width=case.said(lap.along))
            yield case.problem((f"{row}.from_end", row), say("the lap runs off the piece"), hint)
        elif any(lap.meets(before) for before in laps[: lap.row]):
            yield case.problem((f"{row}.from_end", row), say("the lap runs into another of the same piece"))


def _saw(case: _Case) -> Iterator[Problem]:
    said: set[str] = set()
    for end in ENDS:
        how = setting(case.shape.end(end), end, case.build.shop)
        if how.way != "plain" and how.note not in said:
            said.add(how.note)
            yield case.note(_angle_keys(case, end), say("end {end}: {note}", end=end, note=how.note))
    if too_small(case.shape.edges.overall) and not case.shape.square:
        yield case.note(
            ("length", "joint"),
            say("too short to hold by hand at the saw: clamp it in a jig"),
            say("common practice; follow the saw's manual"),
        )
