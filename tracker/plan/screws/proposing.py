"""`places = 3`: where along its joint a row of screws has the most room, on the marks of the shop's tape."""

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
from tracker.plan.screws.clearance import FAR, LEAST_CLEARANCE, Clearance, clearance, to_screws
from tracker.plan.screws.placed_screws import PAST, around, entering, screw_of
from tracker.plan.screws.rods import Screw, along, beyond
from tracker.plan.screws.survey import Survey, surveys
from tracker.plan.screws.timber import Timber
from tracker.plan.screws.words import mm_words, nearest_words
from tracker.plan.shape import HoleShape
from tracker.words import say

EDGE = 12.0
"""Millimetres from an edge."""
SPACING = 25.0
"""Millimetres from one screw to the next."""
ROUNDS = 5
MOST_HOLES = 2_000
"""The most holes of a build for which places are found."""
MOST_SITES = 12
"""The most pieces of one part that are examined, evenly chosen; the check of a build examines all."""


class ScrewProposal(Struct, frozen=True, kw_only=True):
    """Where the screws of a row go, from the near edge; their clearance (None where none has room); and a message.
    `wanted`: how many were asked for."""

    wanted: int
    places: tuple[Length, ...]
    clearance: float | None
    notes: tuple[str, ...] = ()


class _Site(Struct):
    """One piece of the part in its place, and the screws that the row would have there at each mark."""

    survey: Survey
    timber: Timber
    screws: tuple[tuple[Screw, ...], ...] = ()


class _Row(Struct):
    """One row of the file: its holes of the part, one or one for each end; the nearest thing to a screw at each mark
    among all that the file says; and the proposal so far."""

    part: Part
    rows: tuple[int, ...]
    marks: tuple[Length, ...] = ()
    sites: tuple[_Site, ...] = ()
    nearest: tuple[Clearance, ...] = ()
    proposal: ScrewProposal | None = None

    @property
    def hole(self) -> Hole:
        return self.part.holes[self.rows[0]]


def with_places(build: Build) -> tuple[Build, tuple[Problem, ...]]:
    """The build with the places of every row that asks for them, and messages: a note where fewer screws fit than were
    asked for, a problem where none fits."""
    rows = [_Row(part, group) for part in build.parts for group in _groups(part)]
    if not rows:
        return build, ()
    if holes_of(build) > MOST_HOLES:
        what = say("in a build of more than {most} holes no places are found", most=MOST_HOLES)
        return build, tuple(Problem(_line(row), f"{row.part.name}: {what}", say("say from_edge")) for row in rows)
    found = surveys(build, Placer(build))
    for row in rows:
        _lay_out(build, found, row)
    for turn in range(ROUNDS):
        before = [row.proposal for row in rows]
        for row in rows:
            _propose(build, rows, row)
        if [row.proposal for row in rows] == before or len(rows) == 1 or (turn and not _gained(before, rows)):
            break
    return _filled(build, rows), tuple(_said(rows))


def _groups(part: Part) -> Iterator[tuple[int, ...]]:
    """The holes for which one row of the file asks places: those of both ends together."""
    by_row: dict[tuple[int, Hole], list[int]] = {}
    for at, hole in enumerate(part.holes):
        if hole.places and not hole.from_edge:
            by_row.setdefault((hole.line, replace(hole, end="A")), []).append(at)
    yield from map(tuple, by_row.values())


def _gained(before: Sequence[ScrewProposal | None], rows: Sequence[_Row]) -> bool:
    return any(
        (row.proposal.clearance if row.proposal and row.proposal.clearance is not None else -FAR)
        > (old.clearance if old and old.clearance is not None else -FAR) + 1e-9
        for old, row in zip(before, rows, strict=True)
    )


def _lay_out(build: Build, found: Sequence[Survey], row: _Row) -> None:
    """The screws at every mark of every piece of the row's part, and the nearest thing to each before any is
    proposed."""
    row.marks = marks_between(build, row.part)
    there = [
        (survey, timber) for survey in found for timber in survey.timbers.values() if timber.part.id == row.part.id
    ]  # fmt: skip
    some = there[:: -(-len(there) // MOST_SITES) or 1]
    row.sites = tuple(_Site(survey, timber, tuple(_along(build, row, survey, timber))) for survey, timber in some)
    row.nearest = tuple(_nearest(row, at) for at in range(len(row.marks)))


def _propose(build: Build, rows: Sequence[_Row], row: _Row) -> None:
    if not row.sites or not row.marks:
        wide, edge = mm_words(build, 2 * EDGE), mm_words(build, EDGE)
        why = say("the piece is narrower than {wide}: a screw keeps {edge} from each edge", wide=wide, edge=edge)
        row.proposal = ScrewProposal(
            wanted=row.hole.places, places=(), clearance=None, notes=(why,) if row.sites else ()
        )
        return
    others = [_proposed(rows, row, site.survey) for site in row.sites]
    nearest = row.nearest
    if any(others):
        nearest = tuple(_nearer(row, at, others, before) for at, before in enumerate(nearest))
    thick = 2 * max(screw.thickest for screw in row.sites[0].screws[0])
    row.proposal = propose(build, row.marks, nearest, row.hole.places, thick)


def propose(
    build: Build, marks: Sequence[Length], nearest: Sequence[Clearance], wanted: int, thickness: float
) -> ScrewProposal:
    """The best of the marks, or fewer than wanted where more don't have `LEAST_CLEARANCE` around them. `nearest`: the
    nearest thing to a screw at each mark; `thickness` of a screw, in mm."""
    values, places = [each.mm for each in nearest], [float(mark) for mark in marks]
    for count in range(wanted, 0, -1):
        best = choose(values, places, count, SPACING, thickness)
        if best is None or best.clearance < LEAST_CLEARANCE:
            continue
        even = evened(values, places, SPACING, thickness, best)
        best = even if even.clearance >= LEAST_CLEARANCE else best
        notes = (_fewer(build, wanted, count, values, nearest),) if count < wanted else ()
        return ScrewProposal(
            wanted=wanted, places=tuple(marks[at] for at in best.marks), clearance=best.clearance, notes=notes
        )
    best = choose(values, places, 1, SPACING, thickness) or Choice(-FAR, (0,))
    what = _what(build, nearest[best.marks[0]])
    why = say(
        "no mark has {least_clearance} around it: the best comes near with {what}",
        least_clearance=mm_words(build, LEAST_CLEARANCE),
        what=what,
    )
    return ScrewProposal(wanted=wanted, places=(), clearance=None, notes=(why,))


def _fewer(build: Build, wanted: int, count: int, values: Sequence[float], nearest: Sequence[Clearance]) -> str:
    fit = say("1 does") if count == 1 else say("{count} do", count=count)
    worst = nearest[min(range(len(values)), key=values.__getitem__)]
    way = say("; in the way: {what}", what=_what(build, worst)) if worst.mm < LEAST_CLEARANCE else ""
    return say(
        "{wanted} don't fit with {spacing} from one to the next, {fit}{way}",
        wanted=wanted,
        spacing=mm_words(build, SPACING),
        fit=fit,
        way=way,
    )


def _what(build: Build, found: Clearance) -> str:
    return nearest_words(build, found) or "nothing"


def marks_between(build: Build, part: Part) -> tuple[Length, ...]:
    """The marks of the tape from edge to edge, from the near edge."""
    step = build.shop.mark.length
    first = -(-Length.of(EDGE, "mm").mm // step.mm)
    last = (part.width - Length.of(EDGE, "mm")).mm // step.mm
    return tuple(step * count for count in range(int(first), int(last) + 1))


def _along(build: Build, row: _Row, survey: Survey, timber: Timber) -> Iterator[tuple[Screw, ...]]:
    """The screws of a row at each mark of one piece: one at each end that the row is for."""
    first = [_at(build, row, survey, timber, at, mark) for mark in row.marks[:1] for at in row.rows]
    for mark in row.marks:
        yield tuple(
            _moved(survey, timber, screw, mark - row.marks[0]) or _at(build, row, survey, timber, at, mark)
            for at, screw in zip(row.rows, first, strict=True)
        )


def _at(build: Build, row: _Row, survey: Survey, timber: Timber, at: int, mark: Length) -> Screw:
    hole = row.part.holes[at]
    enters, leaves = hole_axis(hole, mark, timber.solid)
    shape = HoleShape(
        kind=hole.kind, end=hole.end, face=hole.face, enters=enters, leaves=leaves, diameter=hole.diameter, row=at,
        which=0,
    )  # fmt: skip
    return screw_of(build, timber, survey.find, shape, -1 - at)


def _moved(survey: Survey, timber: Timber, first: Screw, by: Length) -> Screw | None:
    """A pocket farther along its flat end: the same one moved, where it goes into the same face of the same piece. None
    for one that must be computed again."""
    if first.kind != "pocket" or first.enters is None or len(first.rods) != 3:
        return None
    _, slope, _ = timber.solid.plane_a if first.end == "A" else timber.solid.plane_b
    across = float(-by if timber.solid.hand == "right" else by)
    moved = first.moved(timber.pose.turned((slope * across, across, 0.0)))
    thread = moved.rods[2]
    way = along(thread.a, thread.b)
    mate = survey.find(beyond(thread.a, way, PAST), timber.key)
    same = mate is not None and mate.key == first.enters and thread.opens == {entering(mate.wood, thread.a, way)}
    return moved if same else None


def _nearest(row: _Row, at: int) -> Clearance:
    """The nearest thing to a screw at mark number `at` among all that the file says, over all pieces of the part and
    both ends."""
    best = Clearance(FAR)
    for site in row.sites:
        screws = site.screws[at]
        for screw in screws:
            others = around(screw, [*site.survey.screws, *site.survey.bores, *screws])
            found = clearance(screw, site.survey.timbers, others, best.mm)
            if found.mm < best.mm:
                best = found
    return best


def _nearer(row: _Row, at: int, proposed: Sequence[Sequence[Screw]], best: Clearance) -> Clearance:
    """The same, including the screws `proposed` around each piece."""
    for site, others in zip(row.sites, proposed, strict=True):
        for screw in site.screws[at]:
            best = to_screws(screw, around(screw, others), best)
    return best


def _proposed(rows: Sequence[_Row], row: _Row, survey: Survey) -> list[Screw]:
    """The screws proposed so far for the other rows, among these pieces."""
    return [
        screw
        for other in rows
        if other is not row and other.proposal is not None
        for site in other.sites
        if site.survey is survey
        for mark in other.proposal.places
        for screw in site.screws[other.marks.index(mark)]
    ]


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
        line = _line(row)
        kind = "screws" if row.hole.kind in ("pocket", "screw") else f"{row.hole.kind}s"
        if not row.proposal.places:
            hint = row.proposal.notes[0] if row.proposal.notes else say("say from_edge")
            yield Problem(line, say("{part}: no place is found for its {kind}", part=row.part.name, kind=kind), hint)
        else:
            for note in row.proposal.notes:
                yield Problem(line, f"{row.part.name}: {kind}: {note}", "", "note")


def _line(row: _Row) -> int:
    """The line of the file where a row asks for its places."""
    key = f"holes.{row.rows[0]}"
    return row.part.lines.get(f"{key}.places", row.part.lines.get(key, row.part.line))


def holes_of(build: Build) -> int:
    """The number of holes in all pieces of a build, including those whose places are to be found."""
    return sum(part.quantity * sum(len(hole.from_edge) or hole.places for hole in part.holes) for part in build.parts)
