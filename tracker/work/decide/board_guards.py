"""The requirements of labels, of plans of boards, of the rack and of readings of moisture."""

from __future__ import annotations

from collections import Counter

from tracker.words import say
from tracker.work.board_of_piece import what_was_cut_from
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.guards import LIKELY_MEASURE, refuse
from tracker.work.decide.intents import (
    GiveBack,
    KeepBoards,
    Label,
    Rack,
    ReadMoisture,
    Refusal,
)
from tracker.work.facts import Racked
from tracker.work.run import Run, board_key
from tracker.work.state.state import State

LONGEST_NAME = 40
LONGEST_PICTURE = 255
LIKELY_MOISTURE = (3.0, 60.0)
"""Percent. A reading drier than a kiln leaves wood, or wetter than most meters show, is a typing slip."""
MOST_DEFECTS = 60


def something_to_label(run: Run, state: State, intent: Label, now: Now) -> Refusal | None:
    return refuse(not intent.items, say("There is nothing to label."))


def all_known(run: Run, state: State, intent: Label, now: Now) -> Refusal | None:
    racked = {board_key(name) for name in state.racked(run)}
    return refuse(not set(intent.items) <= {*run.items, *run.boards, *racked}, say("This build has no such piece."))


def a_plan(run: Run, state: State, intent: KeepBoards, now: Now) -> Refusal | None:
    return refuse(not intent.boards, say("There is no plan to keep."))


def each_once(run: Run, state: State, intent: KeepBoards, now: Now) -> Refusal | None:
    """Each board only once, each piece only once, and each cut within its board."""
    boards = Counter(board.key for board in intent.boards)
    cuts = Counter(cut.item for board in intent.boards for cut in board.pieces)
    inside = all(
        cut.at >= 0 and cut.length > 0 and cut.at + cut.length <= board.length
        for board in intent.boards
        for cut in board.pieces
    )
    fits = inside and set(cuts) <= set(run.items) and max((*boards.values(), *cuts.values()), default=1) == 1
    return refuse(not fits, say("This plan isn't one of this build."))


def some_name(run: Run, state: State, intent: Rack, now: Now) -> Refusal | None:
    return refuse(not 0 < len(intent.name.strip()) <= LONGEST_NAME, say("A board on the rack needs a short name."))


def free_name(run: Run, state: State, intent: Rack, now: Now) -> Refusal | None:
    mine, listed = intent.name in state.racked(run), board_key(intent.name) in run.boards
    if intent.again:
        return refuse(not mine, say("{intent} isn't a board that was entered here.", intent=intent.name))
    return refuse(mine or listed, say("There is a board {intent} on the rack already.", intent=intent.name))


def known_wood(run: Run, state: State, intent: Rack, now: Now) -> Refusal | None:
    known = intent.wood in {wood.id for wood in run.build.woods}
    return refuse(not known or intent.length <= 0, say("This build has no such board."))


def likely_board(run: Run, state: State, intent: Rack, now: Now) -> Refusal | None:
    """The board's sizes are plausible and its defects are on it; a known board from which something was cut keeps its
    sizes."""
    sizes = (intent.length, intent.width, intent.thickness)
    if not all(0 <= size <= LIKELY_MEASURE for size in sizes):
        return Refusal(say("That isn't the size of a board."))
    for each in intent.defects:
        if not 0 <= each.start < each.end <= intent.length or each.deep < 0:
            return Refusal(say("A defect begins and ends on the board."))
    if len(intent.defects) > MOST_DEFECTS:
        return Refusal(say("A board has up to {most} defects.", most=MOST_DEFECTS))
    if len(intent.picture) > LONGEST_PICTURE or intent.picture.startswith(".") or set(intent.picture) & set("/\\\0"):
        return Refusal(say("A photo is a file in the folder of pictures."))
    known = state.racked(run).get(intent.name) if intent.again else None
    if known is None or _same_size(known.fact, intent):
        return None
    cut = what_was_cut_from(run, state, board_key(intent.name))
    return Refusal(say("{cut} was cut from it: its sizes stay as they were.", cut=cut)) if cut else None


def _same_size(known: Racked, intent: Rack) -> bool:
    """Whether sizes and defects are unchanged, so that at most the price or the photo is new."""
    return all(getattr(known, what) == getattr(intent, what) for what in ("length", "width", "thickness", "defects"))


def on_the_rack(run: Run, state: State, intent: GiveBack, now: Now) -> Refusal | None:
    return refuse(
        intent.name not in state.racked(run), say("{intent} isn't a board that was entered here.", intent=intent.name)
    )


def uncut(run: Run, state: State, intent: GiveBack, now: Now) -> Refusal | None:
    cut = what_was_cut_from(run, state, board_key(intent.name))
    return Refusal(say("{cut} was cut from it: its rest goes to the rack by itself.", cut=cut)) if cut else None


def piece_or_board(run: Run, state: State, intent: ReadMoisture, now: Now) -> Refusal | None:
    boards = {board_key(name) for name in state.racked(run)} | {each.key for each in state.boards(run)}
    return refuse(intent.of not in {*run.items, *run.boards, *boards}, say("This build has no such piece."))


def likely_moisture(run: Run, state: State, intent: ReadMoisture, now: Now) -> Refusal | None:
    low, high = LIKELY_MOISTURE
    return refuse(
        not low <= intent.percent <= high, say("A meter reads from {low:g} to {high:g} %.", low=low, high=high)
    )
