"""`places = 3`: where along its joint a row of screws has the most room, on the marks of the shop's tape.

How near an edge and how close together screws may be is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, Hole, Part
from tracker.design.problems import Problem
from tracker.measure import Length
from tracker.plan.geometry import hole_axis
from tracker.plan.place.placer import Placer
from tracker.plan.screws.choose import Choice, choose, evened
from tracker.plan.screws.clearance import FAR, Clearance, clearance
from tracker.plan.screws.made import coaxial, screw_of
from tracker.plan.screws.rods import Screw
from tracker.plan.screws.survey import Survey, surveys
from tracker.plan.screws.timber import Timber
from tracker.plan.screws.words import mm_words, nearest_words
from tracker.plan.shape import HoleShape

EDGE = 12.0
"""Millimetres from an edge."""
SPACING = 25.0
"""Millimetres from one screw to the next."""
LEAST = 3.0
"""Millimetres that a proposed screw is clear of everything."""
ROUNDS = 5


class Proposal(Struct, frozen=True, kw_only=True):
    """Where the screws of a row go, from the near edge; how clear they are (None where none has room); what is to be
    said of it. `wanted`: how many were asked for."""

    wanted: int
    places: tuple[Length, ...]
    clearance: float | None
    notes: tuple[str, ...] = ()


class _Row(Struct):
    """One row of the file: its holes of the part, one or one for each end, and what is proposed so far."""

    part: Part
    rows: tuple[int, ...]
    proposal: Proposal | None = None

    @property
    def hole(self) -> Hole:
        return self.part.holes[self.rows[0]]


class _Site(Struct):
    """One piece of the part where it is."""

    survey: Survey
    timber: Timber


def with_places(build: Build) -> tuple[Build, tuple[Problem, ...]]:
    """The build with the places of every row that asks for them, and what is to be said: a note where fewer screws have
    room than were asked for, a problem where none has."""
    rows = [_Row(part, group) for part in build.parts for group in _groups(part)]
    if not rows:
        return build, ()
    found = surveys(build, Placer(build))
    for turn in range(ROUNDS):
        before = [row.proposal for row in rows]
        for row in rows:
            _propose(build, found, rows, row)
        if [row.proposal for row in rows] == before or len(rows) == 1 or (turn and not _gained(before, rows)):
            break
    return _filled(build, rows), tuple(_said(rows))


def _groups(part: Part) -> Iterator[tuple[int, ...]]:
    """The holes that one row of the file asks places for: of both ends together."""
    by_row: dict[tuple[int, Hole], list[int]] = {}
    for at, hole in enumerate(part.holes):
        if hole.places and not hole.from_edge:
            by_row.setdefault((hole.line, replace(hole, end="A")), []).append(at)
    yield from map(tuple, by_row.values())


def _gained(before: Sequence[Proposal | None], rows: Sequence[_Row]) -> bool:
    return any(
        (row.proposal.clearance if row.proposal and row.proposal.clearance is not None else -FAR)
        > (old.clearance if old and old.clearance is not None else -FAR) + 1e-9
        for old, row in zip(before, rows, strict=True)
    )


def _propose(build: Build, found: Sequence[Survey], rows: Sequence[_Row], row: _Row) -> None:
    sites = [
        _Site(survey, timber) for survey in found for timber in survey.timbers.values() if timber.part.id == row.part.id
    ]
    marks = marks_between(build, row.part)
    if not sites or not marks:
        wide, edge = mm_words(build, 2 * EDGE), mm_words(build, EDGE)
        why = f"the piece is narrower than {wide}: a screw keeps {edge} from each edge"
        row.proposal = Proposal(wanted=row.hole.places, places=(), clearance=None, notes=(why,) if sites else ())
        return
    fixed = [_fixed(build, rows, row, site.survey) for site in sites]
    nearest = [_nearest(build, row, sites, fixed, mark) for mark in marks]
    thick = 2 * max(screw.thickest for screw in _at(build, row, sites[0], marks[0]))
    row.proposal = propose(build, marks, nearest, row.hole.places, thick)


def propose(
    build: Build, marks: Sequence[Length], nearest: Sequence[Clearance], wanted: int, thickness: float
) -> Proposal:
    """The best of the marks, or fewer than were wanted where more don't have `LEAST` around them. `nearest`: what a
    screw at each mark comes nearest to; `thickness` of a screw, in mm."""
    values, places = [each.mm for each in nearest], [float(mark) for mark in marks]
    for count in range(wanted, 0, -1):
        best = choose(values, places, count, SPACING, thickness)
        if best is None or best.clearance < LEAST:
            continue
        even = evened(values, places, SPACING, thickness, best)
        best = even if even.clearance >= LEAST else best
        notes = (_fewer(build, wanted, count, values, nearest),) if count < wanted else ()
        return Proposal(
            wanted=wanted, places=tuple(marks[at] for at in best.marks), clearance=best.clearance, notes=notes
        )
    best = choose(values, places, 1, SPACING, thickness) or Choice(-FAR, (0,))
    what = _what(build, nearest[best.marks[0]])
    why = f"no mark has {mm_words(build, LEAST)} around it: the best comes near with {what}"
    return Proposal(wanted=wanted, places=(), clearance=None, notes=(why,))


def _fewer(build: Build, wanted: int, count: int, values: Sequence[float], nearest: Sequence[Clearance]) -> str:
    fit = "1 does" if count == 1 else f"{count} do"
    worst = nearest[min(range(len(values)), key=values.__getitem__)]
    way = f"; in the way: {_what(build, worst)}" if worst.mm < LEAST else ""
    return f"{wanted} don't fit with {mm_words(build, SPACING)} from one to the next, {fit}{way}"


def _what(build: Build, found: Clearance) -> str:
    return nearest_words(build, found) or "nothing"


def marks_between(build: Build, part: Part) -> tuple[Length, ...]:
    """Marks of the tape from edge to edge, from the near edge."""
    step = build.shop.mark.length
    first = -(-Length.of(EDGE, "mm").mm // step.mm)
    last = (part.width - Length.of(EDGE, "mm")).mm // step.mm
    return tuple(step * count for count in range(int(first), int(last) + 1))


def _at(build: Build, row: _Row, site: _Site, mark: Length) -> list[Screw]:
    """The screws of a row at one mark of one piece: one at each end that the row is for."""
    screws = []
    for at in row.rows:
        hole = row.part.holes[at]
        enters, leaves = hole_axis(hole, mark, site.timber.solid)
        shape = HoleShape(
            kind=hole.kind, end=hole.end, face=hole.face, enters=enters, leaves=leaves, diameter=hole.diameter, row=at,
            which=0,
        )  # fmt: skip
        screws.append(screw_of(build, site.timber, site.survey.find, shape, -1 - at))
    return screws


def _nearest(
    build: Build, row: _Row, sites: Sequence[_Site], fixed: Sequence[Sequence[Screw]], mark: Length
) -> Clearance:
    """What a screw at a mark comes nearest to, on whichever piece of the part and at whichever end. `fixed`: the other
    screws around each piece."""
    best = Clearance(FAR)
    for site, around in zip(sites, fixed, strict=True):
        screws = _at(build, row, site, mark)
        for screw in screws:
            pieces = {rod.piece for rod in screw.rods}
            others = [
                each for each in (*around, *screws)
                if each is not screw and not pieces.isdisjoint(rod.piece for rod in each.rods)
                and not coaxial(screw, each)
            ]  # fmt: skip
            found = clearance(screw, site.survey.timbers, others, best.mm)
            if found.mm < best.mm:
                best = found
    return best


def _fixed(build: Build, rows: Sequence[_Row], row: _Row, survey: Survey) -> list[Screw]:
    """All other screws of these pieces: those of the file, and those that are proposed so far."""
    proposed = [
        screw
        for other in rows
        if other is not row and other.proposal is not None
        for timber in survey.timbers.values()
        if timber.part.id == other.part.id
        for mark in other.proposal.places
        for screw in _at(build, other, _Site(survey, timber), mark)
    ]
    return [*survey.screws, *proposed]


def _filled(build: Build, rows: Sequence[_Row]) -> Build:
    places = {(row.part.id, at): row.proposal.places for row in rows if row.proposal for at in row.rows}
    parts = []
    for part in build.parts:
        holes = tuple(
            replace(hole, from_edge=places.get((part.id, at), hole.from_edge)) for at, hole in enumerate(part.holes)
        )
        parts.append(replace(part, holes=holes) if holes != part.holes else part)
    return replace(build, parts=tuple(parts))


def _said(rows: Sequence[_Row]) -> Iterator[Problem]:
    for row in rows:
        if row.proposal is None:
            continue
        key = f"holes.{row.rows[0]}"
        line = row.part.lines.get(f"{key}.places", row.part.lines.get(key, row.part.line))
        kind = "screws" if row.hole.kind in ("pocket", "screw") else f"{row.hole.kind}s"
        if not row.proposal.places:
            hint = row.proposal.notes[0] if row.proposal.notes else "say from_edge"
            yield Problem(line, f"{row.part.name}: no place is found for its {kind}", hint)
        else:
            for note in row.proposal.notes:
                yield Problem(line, f"{row.part.name}: {kind}: {note}", "", "note")
