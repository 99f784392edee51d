"""What the wood of a build will do that its maker should know before cutting it."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.design.model import Assembly, Build
from tracker.design.problems import Problem
from tracker.measure import Length, read_length
from tracker.plan.place import PlaceError, Placer
from tracker.plan.wood.assessment import assess
from tracker.plan.wood.cross_grain import held_by_contact
from tracker.plan.wood.placed import slanted_fields
from tracker.words import say


def wood_problems(build: Build) -> tuple[Problem, ...]:
    """Notes: wide pieces held solid across their grain, fasteners and grooves that aren't enough, slanted boards whose
    edges are held."""
    return (*_held(build), *_gaps(build), *_fields(build))


def _held(build: Build) -> Iterator[Problem]:
    names = {each.id: each.name for each in build.assemblies}
    for found in (*assess(build).held, *held_by_contact(build)):
        if found.verdict == "no":
            moves, widest = _read(build, found.moves), _read(build, found.widest)
            by = say("{by} on {to}", by=found.by, to=found.to) if found.to else found.by
            hold = "holds" if found.by == "glue" else "hold"
            said = say(
                "{names}: {of} wants to move {moves}, and {by} {hold} it solid",
                names=names[found.assembly],
                of=found.of,
                moves=moves,
                by=by,
                hold=hold,
            )
            hint = say(
                "slots, buttons or figure eights; up to {widest} wide may be held (common practice)", widest=widest
            )
            yield Problem(found.line, said, hint, "note")


def _gaps(build: Build) -> Iterator[Problem]:
    lines = {(each.id, one.id): one.line for each in build.assemblies for one in each.fastens}
    for gap in assess(build).gaps:
        if not gap.enough and gap.stays is not None:
            stays = _read(build, max(0.0, gap.stays))
            said = say(
                "{of}: only {stays} of its edge stays in its groove in the driest season", of=gap.of, stays=stays
            )
            yield Problem(
                lines[gap.assembly, gap.id], said, say("a deeper groove (common practice: 3 mm or 1/8 in)"), "note"
            )
    for slot in assess(build).slots:
        if not slot.enough:
            said = say(
                "{of}: a figure eight doesn't follow the wood {at} from where it is held",
                of=slot.of,
                at=_read(build, abs(slot.at)),
            )
            yield Problem(lines[slot.assembly, slot.id], said, say("slots there, or a longer figure eight"), "note")


def _fields(build: Build) -> Iterator[Problem]:
    try:
        found = slanted_fields(build, Placer(build))
    except (
        PlaceError,
        ValueError,
    ):  # problems of places and parts are reported elsewhere
        return
    for field in found:
        if field.held and field.along > 1.0:
            mine: Assembly = next(each for each in build.assemblies if each.name == field.assembly)
            grows = _read(build, field.along)
            said = say(
                "{assembly}: wants to grow {grows} lengthwise with the seasons, and {held} holds it",
                assembly=field.assembly,
                grows=grows,
                held=field.held,
            )
            yield Problem(mine.line, said, say("thin strips, or a field that floats"), "note")


def _read(build: Build, millimetres: float) -> str:
    return read_length(Length.of(millimetres, "mm"), build.shop.mark).plain
