"""All screws of a build in place, each with the nearest thing to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.design.model import Assembly, Build
from tracker.plan.geometry import solid
from tracker.plan.place.placer import Placer
from tracker.plan.screws.clearance import Clearance, clearance
from tracker.plan.screws.placed_screws import Finder, around, finder, screws_of
from tracker.plan.screws.rods import Screw
from tracker.plan.screws.timber import Timber, Timbers


class Survey(Struct, frozen=True, kw_only=True):
    """Pieces that are placed together, and their screws. `assembly` is None for a single piece whose place isn't
    known."""

    assembly: Numbered | None
    timbers: Mapping[Numbered, Timber]
    screws: tuple[Screw, ...]
    bores: tuple[Screw, ...]
    """The round holes that features bore, which screws may run into."""
    find: Finder
    in_piece: Mapping[Numbered, tuple[Screw, ...]]
    """The screws in each piece: its own, and those that go on into it."""

    def clearance(self, screw: Screw) -> Clearance:
        """The clearance of a screw."""
        near = {id(each): each for rod in screw.rods for each in self.in_piece[rod.piece]}
        return clearance(screw, self.timbers, around(screw, near.values()))


def surveys(build: Build, placer: Placer | None = None) -> tuple[Survey, ...]:
    """A survey of every largest placed assembly; then of one piece of each part without a place.

    A wrong place is left to the check of places: its pieces are examined separately.
    """
    placer = Placer(build) if placer is None else placer
    timbers = Timbers(build, placer)
    found = [
        survey for assembly in largest_placed(build, placer) for survey in _whole(build, placer, timbers, assembly)
    ]
    known = {key[0] for survey in found for key in survey.timbers}
    return (*found, *_alone(build, timbers, known))


def largest_placed(build: Build, placer: Placer) -> tuple[Assembly, ...]:
    """Assemblies with places that aren't joined by another one with places."""
    known = [assembly for assembly in build.assemblies if placer.has_places(assembly.id)]
    inner = {id_ for assembly in known for id_, _ in assembly.joins}
    return tuple(assembly for assembly in known if assembly.id not in inner)


def survey_of(build: Build, assembly: Numbered | None, timbers: Sequence[Timber]) -> Survey:
    """A survey of pieces in their places."""
    by_key = {timber.key: timber for timber in timbers}
    find = finder(by_key)
    screws = tuple(screw for timber in timbers for screw in screws_of(build, timber, find))
    bores = tuple(bore for timber in timbers for bore in timber.bores)
    in_piece: dict[Numbered, list[Screw]] = {key: [] for key in by_key}
    for screw in (*screws, *bores):
        for piece in {rod.piece for rod in screw.rods}:
            in_piece[piece].append(screw)
    return Survey(
        assembly=assembly, timbers=by_key, screws=screws, bores=bores, find=find,
        in_piece={key: tuple(each) for key, each in in_piece.items()},
    )  # fmt: skip


def _whole(build: Build, placer: Placer, timbers: Timbers, assembly: Assembly) -> Iterator[Survey]:
    for copy in range(1, assembly.quantity + 1):
        try:
            placed = placer.placed(assembly.id, copy)
        except ValueError:  # PlaceError, or a part without a shape
            return
        yield survey_of(build, (assembly.id, copy), [timbers.of(piece) for piece in placed])


def _alone(build: Build, timbers: Timbers, known: set[str]) -> Iterator[Survey]:
    for part in build.parts:
        if part.id in known or not part.holes:
            continue
        try:
            made = solid(part, part.first_hand)
            yield survey_of(build, None, [timbers.alone(part, made)])
        except (ValueError, IndexError):  # it has no shape; `feasibility` reports it
            continue
