"""Searching for boards in the background: for a first plan, or for a new one when a piece has lost its wood."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, RackBoard
from tracker.floor.floor import Floor
from tracker.floor.rack import entered
from tracker.floor.replanning import ReplanRequest, needed, new_plans, replan_request, started
from tracker.plan.boards import board_plans
from tracker.screens.device.background_search import BackgroundSearch


class SearchRequest(Struct, frozen=True):
    """What is searched for: boards for the whole build, or, with `left`, for what is still to be cut."""

    build: Build
    left: ReplanRequest | None = None
    rack: tuple[RackBoard, ...] = ()
    """The boards on the rack besides those of the build file."""


def look_for_boards(search: BackgroundSearch, floor: Floor) -> None:
    """Search for boards if they are needed. An answer to an outdated question is dropped.

    Without a plan the first one is searched for; if a piece of the plan has lost its wood, a new one.
    """
    request = search.request
    if isinstance(request, SearchRequest) and not _still_asked(request, floor):
        search.forget()
    if search.request is None and (not floor.state.boards(floor.run) or needed(floor)):
        plan_again(search, floor)


def plan_again(search: BackgroundSearch, floor: Floor) -> None:
    """Search for a plan: for the whole build while nothing is cut, otherwise for what is still to be cut."""
    build = floor.run.build
    if started(floor):
        left = replan_request(floor)
        search.look_for(SearchRequest(build, left), new_plans, build, left)
    else:
        rack = _entered(floor)
        search.look_for(SearchRequest(build, rack=rack), board_plans, replace(build, rack=(*build.rack, *rack)))


def _entered(floor: Floor) -> tuple[RackBoard, ...]:
    """The boards entered on the tablet, and the offcuts."""
    listed = {board.name for board in floor.run.build.rack}
    return tuple(board for board in entered(floor.run, floor.state).values() if board.name not in listed)


def _still_asked(request: SearchRequest, floor: Floor) -> bool:
    if request.build is not floor.run.build:
        return False
    if request.left is not None:
        return request.left == replan_request(floor)
    return not started(floor) and request.rack == _entered(floor)
