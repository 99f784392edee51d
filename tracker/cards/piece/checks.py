"""What to check on the finished piece: where to put the tape and the gauge, what they should read, and the effect of a
slip."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.piece.laps import lap_words
from tracker.cards.words import capital
from tracker.design.model import Build, CornerJoint, Hand, Part, SplayedLegJoint
from tracker.measure import Angle, Length, Mark, millimetres, read_angle, read_length
from tracker.measure.tape_reading import small_words
from tracker.plan import checks, geometry
from tracker.plan.compound_mitre import corner, dihedral, splayed_leg
from tracker.plan.geometry import Solid
from tracker.plan.laps import laps_of
from tracker.plan.loops import Loop, loop_of
from tracker.plan.taper_marks import finished_width
from tracker.words import say

LONG = millimetres(1000)
"""From this length on, the disagreement between two tapes shows in a joint."""
SCALES: dict[Literal["miter", "bevel"], str] = {"miter": say("Swing"), "bevel": say("Tilt")}


class Check(Struct, frozen=True, kw_only=True):
    """One check: either `length` or `angle` is the expected value."""

    what: str
    length: Length | None = None
    angle: Angle | None = None
    words: str
    """Ready to show: `Far top edge 9 1⁄4″`."""


def piece_checks(build: Build, part: Part, hand: Hand | None) -> tuple[Check, ...]:
    """The checks of one piece, first those on the piece itself. Lengths read on the build's tape."""
    solid, mark = geometry.solid(part, hand), build.shop.mark
    loop = loop_of(build, part)
    return (
        *_laps(build, part, hand),
        *_on_the_piece(solid, mark),
        *(_around(loop, solid, mark) if loop else _at_its_ends(solid, mark)),
        *(_corner(part.ends) if isinstance(part.ends, CornerJoint) and not loop else ()),
        *(_leg(part.ends, mark) if isinstance(part.ends, SplayedLegJoint) else ()),
        *_tape(max((solid.edges.overall, *(loop.sides_long if loop else ()))), mark),
    )


def _measured(what: str, length: Length, mark: Mark) -> Check:
    return Check(what=what, length=length, words=f"{capital(what)} {read_length(length, mark).text}")


def _angled(what: str, angle: Angle, words: str) -> Check:
    return Check(what=what, angle=angle, words=words.format(angle=f"{read_angle(angle)}°"))


def _gap(what: str, gap: Length, words: str, mark: Mark) -> Check:
    """Gaps are smaller than the tape's marks, so they are worded like a remainder."""
    return Check(what=what, length=gap, words=words.format(gap=small_words(gap, mark.units)))


def _on_the_piece(solid: Solid, mark: Mark) -> Iterator[Check]:
    before = say(", before the taper") if solid.tapers else ""
    for each in checks.measures(solid):
        check = _measured(each.what, each.length, mark)
        yield replace(check, words=check.words + before)
    for end in dict.fromkeys(each.end for each in solid.tapers):
        square = solid.end(end).square
        what = say("width left at end {end}", end=end) if square else say("end {end}, top face, along the cut", end=end)
        yield _measured(what, finished_width(solid, end), mark)


def _laps(build: Build, part: Part, hand: Hand | None) -> Iterator[Check]:
    """These come first, because the drawing doesn't show them and a piece's card has room for few checks."""
    for lap in laps_of(build, part, hand):
        what = say("half-lap {row}, from end {end}", row=lap.row + 1, end=lap.end)
        yield Check(what=what, length=lap.from_end, words=lap_words(build, lap))


def _around(loop: Loop, solid: Solid, mark: Mark) -> Iterator[Check]:
    """A ring, or a frame of two lengths: across it, in its corners, and the gap that a slip at every cut opens."""
    if loop.sides == 4 and loop.sides_long:
        yield from _frame(loop.sides_long[0], loop.sides_long[-1], mark)
    elif loop.sides_long:
        across = checks.ring_across(loop.sides, loop.sides_long[0])
        odd = (say("from a corner to the side across, outside"),)
        names = (say("across the corners, outside"), say("across the flats, outside")) if len(across) == 2 else odd
        yield from (_measured(name, length, mark) for name, length in zip(names, across, strict=True))
    if loop.cut.bevel:
        yield _gauge(dihedral(loop.cut))
    else:
        yield _angled(say("inside of every corner"), 180.0 - 360.0 / loop.sides, say("Inside of every corner {angle}"))
    if not loop.butted:
        yield from _slip(loop, solid, mark)


def _gauge(inside: Angle) -> Check:
    return _angled(
        say("inside of every corner"), inside, say("Gauge in every corner {angle}, held square across the joint")
    )


def _corner(joint: CornerJoint) -> Iterator[Check]:
    """The faces meet at the same angle whether they are mitred or butted."""
    yield _gauge(dihedral(corner(joint.angle, joint.lean)))


def _frame(width: Length, height: Length, mark: Mark) -> Iterator[Check]:
    """Its diagonals, and what it means when they differ by one mark of the tape."""
    diagonal = checks.frame_diagonal(width, height)
    yield _measured(say("both diagonals of the frame, outside"), diagonal, mark)
    half = mark.length / 2
    off = checks.out_of_square(width, height, diagonal + half, diagonal - half)
    apart = read_length(mark.length, mark).text
    words = say("Diagonals {apart} apart: {off}° out of square", apart=apart, off=read_angle(off, 0.01))
    yield Check(what=say("out of square"), angle=off, words=words)


def _slip(loop: Loop, solid: Solid, mark: Mark) -> Iterator[Check]:
    """The effect of a slip of the scale that matters more in this ring."""
    scale = max(SCALES, key=lambda scale: checks.ring_slip(loop.cut, scale))
    edges = solid.edges
    shortest = min(edges.near_top, edges.far_top, edges.near_bottom, edges.far_bottom)
    width = checks.plan_width(solid.width, solid.thickness, loop.lean)
    error = checks.ring_error(loop.sides, checks.ring_slip(loop.cut, scale), width, shortest)
    off = say("{scales} {slip:g}° off at every cut", scales=SCALES[scale], slip=checks.SLIP)
    yield _gap(
        say("last joint"), error.one_joint, say("{off} opens the last joint by {gap}", off=off, gap="{gap}"), mark
    )
    if error.half_rings is not None and loop.sides > 4:
        words = say("Glued as two halves first it is {gap} at each end, which can be trimmed")
        yield _gap(say("two halves"), error.half_rings, words, mark)


def _at_its_ends(solid: Solid, mark: Mark) -> Iterator[Check]:
    """The effect of a slip of the mitre scale across the width of a piece that isn't a side of a ring."""
    if solid.a.miter or solid.b.miter:
        gap = checks.drift(checks.SLIP, solid.width)
        yield _gap(
            say("gap at an end"),
            gap,
            say("A cut {slip:g}° off opens the joint by {gap}", slip=checks.SLIP, gap="{gap}"),
            mark,
        )


def _leg(joint: SplayedLegJoint, mark: Mark) -> Iterator[Check]:
    leg = splayed_leg(joint.height, joint.front, joint.side)
    if not leg.resultant:
        return
    yield _angled(say("sight line"), leg.sight, say("Sight line {angle} from the front of the seat"))
    yield _angled(
        say("lean along the sight line"), leg.resultant, say("Along the sight line it leans {angle} from upright")
    )
    for what, run in (
        (say("foot out, seen from the front"), leg.run_front),
        (say("foot out, seen from the side"), leg.run_side),
    ):
        if run:
            yield _measured(what, abs(run), mark)


def _tape(longest: Length, mark: Mark) -> Iterator[Check]:
    if longest >= LONG:
        may_be = checks.tape_error(longest)
        yield _gap("tape", may_be, say("Tapes differ by up to {gap} over this length: use one tape throughout"), mark)
