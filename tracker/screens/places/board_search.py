"""Thinking of boards beside the screens: of a first plan, or of one anew when a piece has lost its wood."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.design.model import Build, Part
from tracker.floor.floor import Floor, cached_solid
from tracker.floor.replanning import Again, Proposal, again, is_cheaper, lost_pieces, needed, only_lost, started
from tracker.measure import Length
from tracker.plan.boards import board_plans
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.replanning.replan import Replan, replans
from tracker.screens.device.background_search import Plans, Thinker


class Asked(Struct, frozen=True):
    """What the thinker was asked: boards for all of a build, or, with `left`, for what is still to be cut of it."""

    build: Build
    left: Again | None = None


def look_for_boards(thinker: Thinker, floor: Floor) -> None:
    """Think of boards where they are needed. An answer to a question that isn't asked any more is dropped.

    Without a plan the first one is looked for; with one in which a piece has lost its wood, a new one.
    """
    asked = thinker.asked
    if isinstance(asked, Asked) and not _still_asked(asked, floor):
        thinker.forget()
    if thinker.asked is None and (not floor.state.boards(floor.run) or needed(floor)):
        plan_anew(thinker, floor)


def plan_anew(thinker: Thinker, floor: Floor) -> None:
    """Look for a plan: for all of the build while nothing is cut, else for what is still to be cut."""
    build = floor.run.build
    if not started(floor):
        thinker.think(Asked(build), lambda keep_going: board_plans(build, blank_length, keep_going=keep_going))
        return
    left = again(floor)
    thinker.think(Asked(build, left), _new_plans(build, left))


def _still_asked(asked: Asked, floor: Floor) -> bool:
    if asked.build is not floor.run.build:
        return False
    return asked.left == again(floor) if asked.left is not None else not started(floor)


def _new_plans(build: Build, asked: Again) -> Plans:
    """First what changes nothing else, then whether it could be had for less."""

    def answers(question: Again, keep_going: KeepGoing) -> Iterator[Replan]:
        return replans(
            build,
            blank_length,
            left=question.left,
            done=question.done,
            previous=question.previous,
            keep_going=keep_going,
        )

    def plans(keep_going: KeepGoing) -> Iterator[Proposal]:
        calm = None
        if lost_pieces(asked):
            for calm in answers(only_lost(asked, build.shop.kerf), keep_going):
                yield Proposal(calm=calm, cheap=None)
        for cheap in answers(asked, keep_going):
            if calm is None or is_cheaper(cheap, calm):
                yield Proposal(calm=calm, cheap=cheap)

    return plans


def blank_length(part: Part, piece: int) -> Length:
    """The length of a blank, remembered between one look and the next."""
    return cached_solid(part, part.hand(piece)).blank_length
