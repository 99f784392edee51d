"""The operations that a piece or an assembly goes through, in order, and the possible mistakes in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tracker.design.model import Assembly, Build, EndCuts, Hole, Part, Wood
from tracker.design.name_lookup import nearest
from tracker.design.one_blank import APART, is_short
from tracker.design.own_step import unplaced, with_own_steps
from tracker.design.problems import Problem
from tracker.design.route_words import OPERATIONS
from tracker.measure import Length
from tracker.words import say
from tracker.work.grits import came_sanded_to, grit_notes
from tracker.work.operations import EARLIER, ENDS, JOINERY, End, kind_of


def part_route(part: Part, wood: Wood, slotted: bool = False) -> tuple[str, ...]:
    """The operations of a piece, as written or as its features need, with the maker's own steps inserted.

    `slotted`: the screws of a top go through it, in slots.
    """
    return with_own_steps(_part_operations(part, wood, slotted), part.steps)


def _part_operations(part: Part, wood: Wood, slotted: bool) -> tuple[str, ...]:
    """As written, or as its features need.

    A wood that is ripped while its boards are cut has no ripping step: its pieces have their width already. Rough wood
    is ripped with an allowance for jointing, then jointed, planed and ripped to width. A board that is resawn is
    jointed first; its leaves rest before they are planed. A piece too short to be milled is cut to length afterwards.
    """
    if part.route is not None:
        return part.route
    featured = {feature.operation for feature in part.features}
    angled = not isinstance(part.ends, EndCuts) or not (part.ends.a.square and part.ends.b.square)
    needs = (
        ("cut", True),
        ("joint", wood.mill is not None),
        ("resaw", part.resaw is not None),
        ("rest", part.resaw is not None),
        ("plane", wood.mill is not None or part.resaw is not None),
        ("rip", wood.mill is not None or (not wood.ripped and _across_board(part) < wood.width)),
        (APART, is_short(part, wood)),
        ("trim", angled or bool(part.allowance)),
        ("taper", bool(part.tapers)),
        *((operation, operation in featured) for operation in OPERATIONS if operation in JOINERY),
        ("shape", bool(part.laps)),
        ("drill", bool(part.holes) or slotted or "drill" in featured),
        ("profile", "profile" in featured),
    )
    return tuple(operation for operation, needed in needs if needed)


def _across_board(part: Part) -> Length:
    """The width of board that the blank takes. A splayed leg has no length of its own, and lies along the board."""
    if part.grain == "across" and part.length is not None:
        return part.length + part.allowance
    return part.width


def trimmed_ends(part: Part) -> tuple[End, ...]:
    """The ends that the trim of a part cuts; an end that is square and has no allowance is finished with the blank.

    Both ends where a route asks for a trim though neither needs one.
    """
    if not isinstance(part.ends, EndCuts) or part.allowance:
        return ENDS
    cuts = {"A": part.ends.a, "B": part.ends.b}
    return tuple(end for end in ENDS if not cuts[end].square) or ENDS


def assembly_route(build: Build, assembly: Assembly) -> tuple[str, ...]:
    """The operations of an assembly, as written or as its way of joining needs, with the maker's own steps inserted; at
    the end the checks to pass.

    Where the file says which screws join its parts, driving them is the step that puts it together.
    """
    return with_own_steps(_assembly_operations(build, assembly), assembly.steps)


def _assembly_operations(build: Build, assembly: Assembly) -> tuple[str, ...]:
    if assembly.route is not None:
        unasked = assembly.prove and "prove" not in assembly.route
        return (*assembly.route, "prove") if unasked else assembly.route
    driven = [hole for hole in _holes_of(build, assembly) if hole.driven]
    needs = (
        ("dry fit", True),
        ("glue", "glue" in assembly.by),
        ("drive screws", bool(driven)),
        ("take screws out", any(hole.temporary for hole in driven)),
        ("attach", "screws" in assembly.by and not driven),
        ("finish", assembly.finish is not None),
        ("prove", bool(assembly.prove)),
    )
    return tuple(operation for operation, needed in needs if needed)


def _holes_of(build: Build, assembly: Assembly) -> tuple[Hole, ...]:
    """The holes of the parts that the assembly joins directly."""
    joined = {id_ for id_, _ in assembly.joins}
    return tuple(hole for part in build.parts if part.id in joined for hole in part.holes)


def check_routes(build: Build) -> tuple[Problem, ...]:
    """Routes in which an operation comes before something it needs, that glue without a glue, or that skip grits; and
    own steps and notes for a step that isn't in the route."""
    problems: list[Problem] = []
    for part in build.parts:
        route = _part_operations(part, build.wood(part.wood), build.is_slotted(part.id))
        line = part.lines.get("route", part.line)
        known = _known_words(route, part)
        problems += [*_order_problems(part.name, known, line), *grit_notes(part.name, known, line)]
        problems += [*_lost_steps(part, route), *_lost_notes(part, route), *_lost_features(part, route)]
    for assembly in build.assemblies:
        route, line = _assembly_operations(build, assembly), assembly.lines.get("route", assembly.line)
        came, known = came_sanded_to(build, assembly.joins), _known_words(route, assembly)
        problems += [*_order_problems(assembly.name, known, line), *grit_notes(assembly.name, known, line, came)]
        problems += [*_lost_steps(assembly, route), *_lost_notes(assembly, route)]
        if "glue" in known and assembly.glue is None:
            problems.append(
                Problem(
                    line,
                    say("{assembly}: the route glues, but no glue is named", assembly=assembly.name),
                    say('add glue = "..."'),
                )
            )
        temporary = any(hole.temporary for hole in _holes_of(build, assembly))
        if temporary and "drive screws" in known and "take screws out" not in known:
            what = say(
                "{assembly}: some of its screws are temporary, and its route doesn't take them out",
                assembly=assembly.name,
            )
            problems.append(Problem(line, what, say('"take screws out", once the glue is dry')))
        if any(kind_of(word) == "finish" for word in known) and assembly.finish is None:
            problems.append(
                Problem(
                    line,
                    say("{assembly}: the route finishes, but no finish is named", assembly=assembly.name),
                    say("add finish = { ... }"),
                )
            )
    return tuple(problems)


def _known_words(route: tuple[str, ...], thing: Part | Assembly) -> tuple[str, ...]:
    """The operations of a route, without the maker's own steps."""
    own = {step.do for step in thing.steps}
    return tuple(word for word in route if word not in own)


def _lost_steps(thing: Part | Assembly, route: tuple[str, ...]) -> Iterator[Problem]:
    """Own steps that come after or before something that isn't in the route."""
    lost = unplaced(route, thing.steps)
    for row, step in enumerate(thing.steps):
        if step in lost:
            key, near = ("after", step.after) if step.after else ("before", step.before)
            words = [*route, *(each.do for each in thing.steps if each is not step and each.do not in route)]
            what = say(
                "{thing}: '{do}' comes {key} '{near}', which isn't in the route",
                thing=thing.name,
                do=step.do,
                key=key,
                near=near,
            )
            line = thing.lines.get(f"steps.{row}.{key}", step.line)
            yield Problem(line, what, nearest(near, words) or _one_of(words))
    doubled = sorted({step.do for step in thing.steps if route.count(step.do) > 1})
    line = thing.lines.get("route", thing.line)
    yield from (
        Problem(line, say("{thing}: {word!r} is twice in the route", thing=thing.name, word=word), "")
        for word in doubled
    )


def _lost_features(part: Part, route: tuple[str, ...]) -> Iterator[Problem]:
    """Features that no operation of a written route makes."""
    for operation in dict.fromkeys(feature.operation for feature in part.features):
        if operation not in route:
            first = next(feature for feature in part.features if feature.operation == operation)
            what = say(
                "{part}: '{operation}' is missing from the route, which makes its {kind}",
                part=part.name,
                operation=operation,
                kind=first.kind,
            )
            yield Problem(
                part.lines.get("route", part.line), what, say('put "{operation}" in it', operation=operation), "note"
            )


def _lost_notes(thing: Part | Assembly, route: tuple[str, ...]) -> Iterator[Problem]:
    """Notes on a step that isn't in the route."""
    words = with_own_steps(route, thing.steps)
    for step, _ in thing.step_notes:
        if step not in words:
            line = thing.lines.get(f"notes.{step}", thing.lines.get("notes", thing.line))
            what = say("{thing}: there is a note on '{step}', which isn't in the route", thing=thing.name, step=step)
            yield Problem(line, what, nearest(step, words) or _one_of(words))


def _one_of(words: Iterable[str]) -> str:
    return say("one of: {words}", words=", ".join(words))


def _order_problems(name: str, route: tuple[str, ...], line: int) -> list[Problem]:
    kinds = [kind_of(word) for word in route]
    found = []
    for at, kind in enumerate(kinds):
        if late := sorted(EARLIER.get(kind, frozenset()) & set(kinds[at + 1 :])):
            found.append(
                Problem(
                    line,
                    say("{name}: {route!r} comes before {late!r}", name=name, route=route[at], late=late[0]),
                    say("put them in working order"),
                )
            )
    doubled = {word for word in route if route.count(word) > 1}
    found += [
        Problem(line, say("{name}: {word!r} is twice in the route", name=name, word=word), "")
        for word in sorted(doubled)
    ]
    return found
