"""A run: one making of a build. Its pieces and assemblies, each with its route, its code and the assembly it goes
into."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from tracker.design.copies import copy_of, copy_of_piece
from tracker.design.joining import joining
from tracker.design.model import Assembly, Build, Finish, Hand, RackBoard
from tracker.design.one_blank import one_blank, shared_steps
from tracker.design.own_step import OwnStep
from tracker.measure import Span
from tracker.words import say
from tracker.work.codes import code_for
from tracker.work.operations import ENDS, End, Step, WaitKind, between, glued_and_screwed, own_step, steps_for
from tracker.work.recorded_sizes import all_sizes, digest
from tracker.work.routes import assembly_route, part_route, trimmed_ends


class Item(Struct, frozen=True, kw_only=True):
    """A piece or an assembly: anything with a code, a label and a state.

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
    """Steps that may be done though the route doesn't ask for them: sanding over a coat that is past its recoat
    window."""
    copy: int = 0
    """The copy of the build it belongs to, from 1; 0 where there is only one."""
    within: str = ""
    """The copy of an assembly that it finally goes into: `Drawer 3`."""
    blank: tuple[str, ...] = ()
    """The keys of all pieces cut as one blank with this one, including it; empty where it has its own blank."""
    shared: frozenset[str] = frozenset()
    """The steps that are done to that blank before it is cut into pieces."""

    @property
    def title(self) -> str:
        """`Leg 2 of 4`, `Leg 2 of 4, left`, `Planter ring`, `Leg 5 of 12, copy 2`, `Side 5 of 8, Drawer 3`."""
        number = say(" {number} of {of}", number=self.number, of=self.of) if self.of > 1 else ""
        within = f", {self.within}" if self.within else ""
        copy = say(", copy {copy}", copy=self.copy) if self.copy else ""
        return f"{self.name}{number}{f', {self.hand}' if self.hand else ''}{within}{copy}"

    @property
    def short(self) -> str:
        """`Leg 2`: its short name for sentences."""
        return f"{self.name} {self.number}" if self.of > 1 else self.name

    def step(self, step_id: str) -> Step | None:
        """The step of that id, if the route has it or it may be done in addition."""
        return next((step for step in (*self.route, *self.extra) if step.id == step_id), None)

    def does(self, operation: str) -> bool:
        """Whether the route has an operation: `trim`."""
        return any(step.operation == operation for step in self.route)

    def before(self, step: Step) -> tuple[Step, ...]:
        """The steps of the route that come before one of its steps, or before an additional one. The two ends of a
        piece may be trimmed in either order."""
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
    """The code of everything that has a label, by its key: the items and the boards."""
    by_code: Mapping[str, str]
    """The key of the item of each code; for the code of a board see `board_of`."""
    boards: Mapping[str, RackBoard] = field(default_factory=dict)
    """The boards on the rack, by their keys: `rack/F2`, which can't be an item's key."""
    sizes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """Every part's sizes as plain values, by its id; see `tracker.work.recorded_sizes`."""
    digest: str = ""
    """A digest of all sizes and of what is joined to what; a different one means that the build was revised."""

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
    """The name of one making of a build: a second planter of the same file is run 2."""
    return f"{build_name}#{number}"


def build_of(run: str) -> str:
    """The name of the build that a run makes: the argument of `run_name`."""
    return run.rpartition("#")[0] or run


def start_run(build: Build, number: int = 1) -> Run:
    """Create every piece and assembly of a build (see `routes.check_routes` for possible mistakes in its routes)."""
    name = run_name(build.name, number)
    joined = joining(build)
    into = {item_key(*each): item_key(*assembly) for each, assembly in joined.into.items()}
    members = {item_key(*each): tuple(item_key(*one) for one in group) for each, group in joined.members.items()}
    laid_out = (*_pieces(build, into), *_assemblies(build, into, members))
    items = _named_by_copies(build, {item.key: item for item in laid_out})
    boards = {board_key(board.name): board for board in build.rack}
    codes = {key: code_for(name, key) for key in (*items, *boards)}
    sizes = all_sizes(build)
    return Run(
        name=name,
        build=build,
        items=items,
        codes=codes,
        by_code={codes[key]: key for key in items},
        boards=boards,
        sizes=sizes,
        digest=digest(sizes, [(assembly.id, assembly.joins) for assembly in build.assemblies]),
    )


def _named_by_copies(build: Build, items: dict[str, Item]) -> dict[str, Item]:
    """Each item with the copy of the innermost assembly with copies that it goes into."""
    copied = {assembly.id for assembly in build.assemblies if assembly.copies > 1}
    if not copied:
        return items
    found = dict(items)
    for key, item in items.items():
        above = items.get(item.into or "")
        while above is not None and above.id not in copied:
            above = items.get(above.into or "")
        if above is not None:
            found[key] = replace(item, within=above.short)
    return found


def _pieces(build: Build, into: Mapping[str, str]) -> Iterator[Item]:
    for part in build.parts:
        words = part_route(part, build.wood(part.wood), build.is_slotted(part.id))
        route = _expand(words, part.steps, ends=trimmed_ends(part))
        wood = build.wood(part.wood)
        whole = set(shared_steps(part, wood, words))
        shared = frozenset(step.id for step in route if step.operation in whole)
        for piece in range(1, part.quantity + 1):
            key = item_key(part.id, piece)
            blank = one_blank(part, wood, piece) if shared else ()
            yield Item(
                key=key,
                kind="piece",
                id=part.id,
                number=piece,
                of=part.quantity,
                name=part.name,
                route=route,
                hand=part.hand(piece),
                into=into.get(key),
                copy=_copy_into(build, into.get(key)) or copy_of_piece(build.copies, part, piece),
                blank=tuple(item_key(part.id, each) for each in blank) if len(blank) > 1 else (),
                shared=shared if len(blank) > 1 else frozenset(),
            )


def _copy_into(build: Build, into: str | None) -> int:
    """The copy that a piece belongs to, from the assembly it goes into; 0 where it goes into nothing."""
    if into is None or build.copies == 1:
        return 0
    id_, _, number = into.rpartition(":")
    return copy_of(build.copies, int(number), build.assembly(id_).quantity)


def _assemblies(build: Build, into: Mapping[str, str], members: Mapping[str, tuple[str, ...]]) -> Iterator[Item]:
    for assembly in build.assemblies:
        route = _expand(assembly_route(build, assembly), assembly.steps, assembly.finish)
        coats = [step.coat for step in route if step.coat]
        asked = {step.id for step in route}
        extra = tuple(step for coat in coats[:-1] if (step := between(coat)).id not in asked)
        for count in range(1, assembly.quantity + 1):
            key = item_key(assembly.id, count)
            yield Item(
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
                copy=copy_of(build.copies, count, assembly.quantity),
            )


def item_key(id_: str, number: int) -> str:
    """`leg:2`."""
    return f"{id_}:{number}"


def board_key(name: str) -> str:
    """`rack/F2`."""
    return f"rack/{name}"


def _expand(
    route: tuple[str, ...], own: tuple[OwnStep, ...], finish: Finish | None = None, ends: tuple[End, ...] = ENDS
) -> tuple[Step, ...]:
    coats, grit = (finish.coats, finish.sand_between or 0) if finish else (0, 0)
    ours = {each.do: own_step(each.do, each.station, each.jig) for each in own}
    steps: list[Step] = []
    for at, word in enumerate(route):
        if word in ours:
            steps.append(ours[word])
        elif word == "glue" and route[at + 1 : at + 2] == ("drive screws",):
            steps += glued_and_screwed()
        elif not (word == "drive screws" and route[at - 1 : at] == ("glue",)):
            steps += steps_for(word, coats, grit, ends)
    return tuple(steps)


def _waits(assembly: Assembly) -> dict[WaitKind, Span]:
    waits: dict[WaitKind, Span] = {}
    if assembly.glue:
        glue = assembly.glue
        waits |= {"open": glue.open_time, "clamp": glue.clamp_time, "cure": glue.cure_time}
    if assembly.finish:
        waits |= {"recoat": assembly.finish.recoat, "dry": assembly.finish.cure}
    return waits
