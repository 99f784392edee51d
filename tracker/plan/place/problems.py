"""Problems with places: pieces that overlap or touch nothing, and a size that isn't the given one."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.design.model import Assembly, Build, SplayedLegJoint
from tracker.design.problems import Problem
from tracker.measure import Length, read_length
from tracker.plan.place.bodies import Vector, bounds
from tracker.plan.place.meetings import NEAR, TooManyError, extent, loose, meetings, overlaps
from tracker.plan.place.placed import Placed, PlaceError
from tracker.plan.place.placer import Placer
from tracker.words import say

MOST_COMPARED = 1_000
"""The most pairs of pieces in one assembly for which meetings are checked."""
_MEASURES = ("wide", "deep", "high")


def place_problems(build: Build) -> tuple[Problem, ...]:
    """Check every assembly that says where its pieces are. An assembly that doesn't has no problem."""
    placer = Placer(build)
    found: list[Problem] = []
    for assembly in build.assemblies:
        if not assembly.place and not (assembly.size and placer.has_places(assembly.id)):
            continue
        try:
            placed = placer.placed(assembly.id)
        except PlaceError as wrong:
            found.append(Problem(wrong.line, wrong.what, wrong.hint))
            continue
        except ValueError:  # a part without a shape; `feasibility` reports it
            continue
        found += _size(build, assembly, placed)
        found += _contact_problems(build, assembly, placed)
    return tuple(dict.fromkeys(found))


def _size(build: Build, assembly: Assembly, placed: tuple[Placed, ...]) -> Iterator[Problem]:
    if assembly.size is None:
        return
    low, high = extent(placed)
    seat_low, seat_high = _seat(placed) or (low, high)
    for axis, measure in enumerate(_MEASURES):
        meant = float(assembly.size[axis])
        found = high[axis] - low[axis] if axis == 2 else seat_high[axis] - seat_low[axis]
        if abs(meant - found) > NEAR:
            line = assembly.lines.get("size", assembly.line)
            change = (
                say("{found} more", found=_read(build, abs(found - meant)))
                if found > meant
                else say("{found} less", found=_read(build, abs(found - meant)))
            )
            said = say(
                "{assembly}: {meant} {measure} is meant, and its pieces make {change}",
                assembly=assembly.name,
                meant=_read(build, meant),
                measure=measure,
                change=change,
            )
            yield Problem(line, said, say("measured over all; on splayed legs, over the seat"), "note")


def _seat(placed: tuple[Placed, ...]) -> tuple[Vector, Vector] | None:
    """With splayed legs, width and depth are measured at their seat end and above it. None without such legs."""
    legs = [piece for piece in placed if isinstance(piece.shape.part.ends, SplayedLegJoint)]
    if not legs:
        return None
    seat = max(point[2] for leg in legs for point in leg.points) - NEAR
    return bounds([point for piece in placed for point in piece.points if point[2] > seat])


def _contact_problems(build: Build, assembly: Assembly, placed: tuple[Placed, ...]) -> Iterator[Problem]:
    """Check only pieces that this assembly itself brings together: problems inside an assembly it joins are reported
    there."""
    line = assembly.lines.get("place", assembly.line)
    try:
        found = meetings(placed, most=MOST_COMPARED)
    except TooManyError:
        yield Problem(
            line, say("{assembly}: so many pieces meet that they aren't compared", assembly=assembly.name), "", "note"
        )
        return
    for each in overlaps(found):
        first, second = placed[each.first], placed[each.second]
        if _together_before(first, second):
            continue
        names = say("{name} and {other}", name=_name(first), other=_name(second))
        yield Problem(
            line,
            say(
                "{assembly}: {names} overlap by {gap}", assembly=assembly.name, names=names, gap=_read(build, -each.gap)
            ),
            "",
            "note",
        )
    for at in loose(placed, found):
        yield Problem(
            line,
            say("{assembly}: {name} touches nothing", assembly=assembly.name, name=_name(placed[at])),
            say("is its place right?"),
            "note",
        )


def _together_before(first: Placed, second: Placed) -> bool:
    return len(first.within) > 1 and first.within[1:2] == second.within[1:2]


def _name(piece: Placed) -> str:
    return f"{piece.shape.part.name} {piece.number}" if piece.shape.part.quantity > 1 else piece.shape.part.name


def _read(build: Build, millimetres: float) -> str:
    return read_length(Length.of(millimetres, "mm"), build.shop.mark).plain
