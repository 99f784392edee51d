"""A run: one making of a build. Its pieces and assemblies, each with its route, its code and what it goes into."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from msgspec import Struct, field

from tracker.design.joining import joining
from tracker.design.model import Assembly, Build, EndCuts, Finish, Hand, Hole, Part, RackBoard, Wood
from tracker.design.problems import Problem
from tracker.measure import Length, Span
from tracker.work.codes import code_for
from tracker.work.grits import came_sanded_to, grit_notes
from tracker.work.made_to import all_sizes, digest
from tracker.work.steps import EARLIER, ENDS, End, Step, WaitKind, between, glued_and_screwed, kind_of, steps_for


class Item(Struct, frozen=True, kw_only=True):
    """A piece or an assembly: whatever has a code, a label and a state of its own.

    `key` is `leg:2`; `members` are the keys of what is joined into an assembly; `into` is the key of the assembly that
    this goes into.
    """

    key: str
    kind: Literal["piece", "assembly"]
    id: str
    number: int
    of: int
    name: str
    route: tuple[Step, ...]
    hand: Hand | None = None
    members: tuple[str, ...] = ()
    into: str | None = None
    waits: Mapping[WaitKind, Span] = field(default_factory=dict)
    extra: tuple[Step, ...] = ()
    """Steps that may be done though the route doesn't ask for them: sanding over a coat that stood too long."""

    @property
    def title(self) -> str:
        """`Leg 2 of 4`, `Leg 2 of 4, left`, `Planter ring`."""
        number = f" {self.number} of {self.of}" if self.of > 1 else ""
        return f"{self.name}{number}{f', {self.hand}' if self.hand else ''}"

    @property
    def short(self) -> str:
        """`Leg 2`: as it is called in a sentence."""
        return f"{self.name} {self.number}" if self.of > 1 else self.name

    def step(self, step_id: str) -> Step | None:
        """The step of that id, if the route holds it or it may be done besides."""
        return next((step for step in (*self.route, *self.extra) if step.id == step_id), None)

    def does(self, operation: str) -> bool:
        """Whether the route holds an operation: `trim`."""
        return any(step.operation == operation for step in self.route)

    def before(self, step: Step) -> tuple[Step, ...]:
        """The steps of the route that come before one of its steps, or before one that may be done besides. The two
        ends of a piece may be trimmed in either order."""
        if step in self.route:
            earlier = self.route[: self.route.index(step)]
            return tuple(each for each in earlier if not (step.end and each.end and each.operation == step.operation))
        coat = f"finish {step.id.removeprefix('between ')}"
        at = next((at for at, each in enumerate(self.route) if each.id == coat), len(self.route) - 1)
        return self.route[: at + 1]


class Run(Struct, frozen=True, kw_only=True):
    """One making of a build. `name` is the same on every tablet, so that all print the same codes."""

    name: str
    build: Build
    items: Mapping[str, Item]
    codes: Mapping[str, str]
    """Code of whatever has a label, by its key: the items and the boards."""
    by_code: Mapping[str, str]
    """Key of the item of each code; a board's code is in `board_of`."""
    boards: Mapping[str, RackBoard] = field(default_factory=dict)
    """The boards on the rack, by their keys: `rack/F2`, which no item's key can be."""
    sizes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """Every part's sizes as plain values, by its id; see `tracker.work.made_to`."""
    digest: str = ""
    """Of all sizes and of what is joined to what: another one means that the build was revised."""

    @property
    def pieces(self) -> Iterator[Item]:
        return (item for item in self.items.values() if item.kind == "piece")

    @property
    def assemblies(self) -> Iterator[Item]:
        return (item for item in self.items.values() if item.kind == "assembly")

    def board_of(self, code: str) -> RackBoard | None:
        """The board on the rack whose label holds this code."""
        return next((board for key, board in self.boards.items() if self.codes[key] == code), None)


def run_name(build_name: str, number: int = 1) -> str:
    """The name of a making of a build: a second planter of the same file is run 2."""
    return f"{build_name}#{number}"


def build_of(run: str) -> str:
    """The name of the build that a run makes: what `run_name` was given."""
    return run.rpartition("#")[0] or run


def start_run(build: Build, number: int = 1) -> Run:
    """Lay out every piece and assembly of a build (see `check_routes` for what may be wrong with its routes)."""
    name = run_name(build.name, number)
    joined = joining(build)
    into = {item_key(*each): item_key(*assembly) for each, assembly in joined.into.items()}
    members = {item_key(*each): tuple(item_key(*one) for one in group) for each, group in joined.members.items()}
    items: dict[str, Item] = {}
    for part in build.parts:
        route = _expand(part_route(part, build.wood(part.wood)), ends=trimmed_ends(part))
        for piece in range(1, part.quantity + 1):
            key = item_key(part.id, piece)
            items[key] = Item(
                key=key,
                kind="piece",
                id=part.id,
                number=piece,
                of=part.quantity,
                name=part.name,
                route=route,
                hand=part.hand(piece),
                into=into.get(key),
            )
    for assembly in build.assemblies:
        route = _expand(assembly_route(build, assembly), assembly.finish)
        coats = [step.coat for step in route if step.coat]
        asked = {step.id for step in route}
        extra = tuple(step for coat in coats[:-1] if (step := between(coat)).id not in asked)
        for count in range(1, assembly.quantity + 1):
            key = item_key(assembly.id, count)
            items[key] = Item(
                key=key,
                kind="assembly",
                id=assembly.id,
                number=count,
                of=assembly.quantity,
                name=assembly.name,
                route=route,
                members=members.get(key, ()),
                into=into.get(key),
                waits=_waits(assembly),
                extra=extra,
            )
    boards = {board_key(board.name): board for board in build.rack}
    codes = {key: code_for(name, key) for key in (*items, *boards)}
    by_code = {codes[key]: key for key in items}
    sizes = all_sizes(build)
    joins = [(assembly.id, assembly.joins) for assembly in build.assemblies]
    return Run(
        name=name,
        build=build,
        items=items,
        codes=codes,
        by_code=by_code,
        boards=boards,
        sizes=sizes,
        digest=digest(sizes, joins),
    )


def item_key(id_: str, number: int) -> str:
    """`leg:2`."""
    return f"{id_}:{number}"


def board_key(name: str) -> str:
    """`rack/F2`."""
    return f"rack/{name}"


def part_route(part: Part, wood: Wood) -> tuple[str, ...]:
    """The operations of a piece: as written, or what its features need.

    A wood that is ripped for its boards' sake has no step of its own for it: what is cut from it is ripped by then.
    """
    if part.route is not None:
        return part.route
    angled = not isinstance(part.ends, EndCuts) or not (part.ends.a.square and part.ends.b.square)
    needs = (
        ("cut", True),
        ("rip", not wood.ripped and _across_board(part) < wood.width),
        ("trim", angled or bool(part.allowance)),
        ("taper", bool(part.tapers)),
        ("shape", bool(part.laps)),
        ("drill", bool(part.holes)),
    )
    return tuple(operation for operation, needed in needs if needed)


def _across_board(part: Part) -> Length:
    """What the blank takes across its board. A splayed leg has no length of its own, and lies along."""
    if part.grain == "across" and part.length is not None:
        return part.length + part.allowance
    return part.width


def trimmed_ends(part: Part) -> tuple[End, ...]:
    """The ends that the trim of a part cuts; one that is square and has no allowance is finished with the blank.

    Both where a route asks for a trim though neither end needs one.
    """
    if not isinstance(part.ends, EndCuts) or part.allowance:
        return ENDS
    cuts = {"A": part.ends.a, "B": part.ends.b}
    return tuple(end for end in ENDS if not cuts[end].square) or ENDS


def assembly_route(build: Build, assembly: Assembly) -> tuple[str, ...]:
    """The operations of an assembly: as written, or what its way of joining needs; at the end what is to be proven.

    Where the file says which screws its parts are joined with, driving them is what puts it together.
    """
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
    """The holes of the parts that an assembly itself joins."""
    joined = {id_ for id_, _ in assembly.joins}
    return tuple(hole for part in build.parts if part.id in joined for hole in part.holes)


def check_routes(build: Build) -> tuple[Problem, ...]:
    """Routes in which something comes before what it needs, that glue where there is no glue, or that skip grits."""
    problems: list[Problem] = []
    for part in build.parts:
        route, line = part_route(part, build.wood(part.wood)), part.lines.get("route", part.line)
        problems += [*_order_problems(part.name, route, line), *grit_notes(part.name, route, line)]
    for assembly in build.assemblies:
        route, line = assembly_route(build, assembly), assembly.lines.get("route", assembly.line)
        came = came_sanded_to(build, assembly.joins)
        problems += [*_order_problems(assembly.name, route, line), *grit_notes(assembly.name, route, line, came)]
        if "glue" in route and assembly.glue is None:
            problems.append(
                Problem(line, f"{assembly.name}: the route glues, but no glue is named", 'add glue = "..."')
            )
        temporary = any(hole.temporary for hole in _holes_of(build, assembly))
        if temporary and "drive screws" in route and "take screws out" not in route:
            what = f"{assembly.name}: some of its screws are temporary, and its route doesn't take them out"
            problems.append(Problem(line, what, '"take screws out", once the glue is dry'))
        if any(kind_of(word) == "finish" for word in route) and assembly.finish is None:
            problems.append(
                Problem(line, f"{assembly.name}: the route finishes, but no finish is named", "add finish = { ... }")
            )
    return tuple(problems)


def _order_problems(name: str, route: tuple[str, ...], line: int) -> list[Problem]:
    kinds = [kind_of(word) for word in route]
    found = []
    for at, kind in enumerate(kinds):
        if late := sorted(EARLIER.get(kind, frozenset()) & set(kinds[at + 1 :])):
            found.append(Problem(line, f"{name}: {route[at]!r} stands before {late[0]!r}", "put them in working order"))
    doubled = {word for word in route if route.count(word) > 1}
    found += [Problem(line, f"{name}: {word!r} stands twice in the route", "") for word in sorted(doubled)]
    return found


def _expand(route: tuple[str, ...], finish: Finish | None = None, ends: tuple[End, ...] = ENDS) -> tuple[Step, ...]:
    coats, grit = (finish.coats, finish.sand_between or 0) if finish else (0, 0)
    steps: list[Step] = []
    for at, operation in enumerate(route):
        if operation == "glue" and route[at + 1 : at + 2] == ("drive screws",):
            steps += glued_and_screwed()
        elif not (operation == "drive screws" and route[at - 1 : at] == ("glue",)):
            steps += steps_for(operation, coats, grit, ends)
    return tuple(steps)


def _waits(assembly: Assembly) -> dict[WaitKind, Span]:
    waits: dict[WaitKind, Span] = {}
    if assembly.glue:
        glue = assembly.glue
        waits |= {"open": glue.open_time, "clamp": glue.clamp_time, "cure": glue.cure_time}
    if assembly.finish:
        waits |= {"recoat": assembly.finish.recoat, "dry": assembly.finish.cure}
    return waits
