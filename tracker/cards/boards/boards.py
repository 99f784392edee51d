"""The boards screen: the boards with what is cut from each, and the current board, cut by cut."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.cards.boards.current_board import (
    BoardAction,
    BoardCard,
    board_card,
    long_words,
    planned_board_card,
)
from tracker.cards.boards.replanning import changes
from tracker.cards.boards.shopping import MOST_WASTE, about_money
from tracker.cards.boards.undo import undo_spoiled
from tracker.cards.marks import Tone
from tracker.cards.reports.boards import plan_proof_words, waste_percent
from tracker.cards.words import capital
from tracker.floor.board_words import names_of
from tracker.floor.boards import followed, key_of, laid_out, planned, title_of
from tracker.floor.cut_progress import AtTheSaw, all_at_the_saw, cut_from
from tracker.floor.floor import Floor
from tracker.floor.replanning import BoardProposal, to_follow
from tracker.plan.boards import BoardPlan, CutBoard
from tracker.plan.boards.replanning import Replan
from tracker.words import say
from tracker.work.decide.intents import KeepBoards
from tracker.work.run import item_key

Answer = BoardPlan | BoardProposal
"""A proposal that isn't in use yet: a first plan, or a new one for what is still to be cut."""


class BoardRow(Struct, frozen=True, kw_only=True):
    """A board in the list."""

    key: str
    title: str
    said: str
    tone: Tone


class WoodGroup(Struct, frozen=True, kw_only=True):
    """The boards of one wood. `said` gives their cost and what is proved about it."""

    title: str
    said: str
    rows: tuple[BoardRow, ...]


class BoardsCard(Struct, frozen=True, kw_only=True):
    """The whole screen. `said` tells what is known about the plan, in a sentence or two."""

    groups: tuple[WoodGroup, ...]
    said: str
    is_followed: bool
    board: BoardCard | None
    other: str = ""
    """The text of the button that shows the other proposal; empty where there is none."""


def boards_card(
    floor: Floor, answer: Answer | None, thinking: bool, current: str, *, cheaper: bool = False
) -> BoardsCard:
    """The boards in their present state: the proposal if there is one, otherwise the current plan.

    `cheaper`: of two proposals after a spoiled piece, show the one that costs less, not the one that changes less.
    """
    if isinstance(answer, BoardPlan):
        return _first_plan(floor, answer, thinking, current)
    if answer is not None:
        return _new_plan(floor, answer, current, cheaper)
    boards = boards_of(floor, None)
    saws = all_at_the_saw(floor, boards)
    mine = _chosen(saws, current)
    done = sum(len(saw.cut) for saw in saws)
    count = sum(len(board.pieces) for board in boards)
    return BoardsCard(
        groups=(*_groups(floor, saws), *_on_no_board(floor, boards)),
        said=say("{done} of {count} pieces cut", done=done, count=count)
        if boards
        else say("Looking for the best boards ..."),
        is_followed=bool(boards),
        board=board_card(floor, mine, saws) if mine else None,
    )


def boards_of(floor: Floor, answer: Answer | None) -> tuple[CutBoard, ...]:
    """The boards of a proposed first plan, or else of the current plan."""
    return laid_out(answer) if isinstance(answer, BoardPlan) else followed(floor.run, floor.state)


def _chosen(saws: list[AtTheSaw], current: str) -> AtTheSaw | None:
    """The current board, or the first one still to be cut."""
    open_ones = [saw for saw in saws if not saw.finished]
    first = next(iter(open_ones or saws), None)
    return next((saw for saw in saws if saw.board.key == current), first)


# -- the list ----------------------------------------------------------------------------------------------------------


def _groups(floor: Floor, saws: list[AtTheSaw], standing: dict[str, str] | None = None) -> Iterator[WoodGroup]:
    for wood in floor.run.build.woods:
        mine = [saw for saw in saws if saw.board.wood == wood.id]
        if mine:
            name = f"{wood.species[:1].upper()}{wood.species[1:]} {wood.section}".strip()
            said = (standing or {}).get(wood.id, "")
            yield WoodGroup(title=name, said=said, rows=tuple(_row(floor, saw) for saw in mine))


def _on_no_board(floor: Floor, boards: tuple[CutBoard, ...]) -> Iterator[WoodGroup]:
    """Pieces still to be cut that are on no board of the current plan."""
    planned = {key_of(piece) for board in boards for piece in board.pieces}
    keys = [item.key for item in floor.run.pieces if item.key not in planned and cut_from(floor, item.key) is None]
    if boards and keys:
        yield WoodGroup(
            title=say("No board yet"), said=say("{names}: plan again", names=names_of(floor.run, keys)), rows=()
        )


def _row(floor: Floor, saw: AtTheSaw) -> BoardRow:
    board = saw.board
    tone: Tone = "done" if saw.finished else "ready"
    left, count = len(saw.left.pieces), len(board.pieces)
    names = names_of(floor.run, [key_of(piece) for piece in saw.left.pieces])
    said = (
        names
        if left == count
        else say("{done} of {count} cut", done=count - left, count=count)
        if left
        else say("all cut")
        if count
        else say("not used")
    )
    said = f"{long_words(floor, board)}, {said}"
    return BoardRow(key=board.key, title=capital(title_of(board)), said=said, tone=tone)


# -- a plan that isn't in use yet -------------------------------------------------------------------------------------


def _first_plan(floor: Floor, plan: BoardPlan, thinking: bool, current: str) -> BoardsCard:
    boards = laid_out(plan)
    saws, said = all_at_the_saw(floor, boards), plan_words(floor, plan, thinking)
    mine = _chosen(saws, current)
    keep = _keep(floor, boards, say("as good as it is now") if thinking and not plan.proved else "")
    standing = {wood.wood: wood_words(floor, plan, wood.wood) for wood in plan.woods}
    return BoardsCard(
        groups=tuple(_groups(floor, saws, standing)),
        said=said,
        is_followed=False,
        board=planned_board_card(floor, mine, said, keep, None) if mine else None,
    )


def _new_plan(floor: Floor, proposal: BoardProposal, current: str, cheaper: bool) -> BoardsCard:
    answer = proposal.chosen(cheaper)
    boards = to_follow(floor, answer)
    saws, said = all_at_the_saw(floor, boards), _change_words(floor, answer)
    mine = _chosen(saws, current)
    two = proposal.least_change is not None and proposal.least_cost is not None
    return BoardsCard(
        groups=tuple(_groups(floor, saws)),
        said=said,
        is_followed=False,
        board=planned_board_card(floor, mine, said, _keep(floor, boards, ""), undo_spoiled(floor)) if mine else None,
        other=(say("fewer changes") if cheaper else say("cheaper")) if two else "",
    )


def _keep(floor: Floor, boards: tuple[CutBoard, ...], said: str) -> BoardAction:
    intent = KeepBoards(planned(boards), run=floor.run.name)
    return BoardAction(text=say("Use this plan"), said=said, intent=intent, refusal=floor.refusal(intent))


def plan_words(floor: Floor, plan: BoardPlan, thinking: bool) -> str:
    """The cost of the whole plan, what is proved about it, and how much of the wood is waste."""
    build = floor.run.build
    waste = waste_percent(laid_out(plan))
    cost = capital(about_money(build, plan.cost)) if len(plan.unpriced) < len(plan.woods) else say("price not known")
    standing = plan_proof_words(plan)
    looking = say("; still looking for better") if thinking and not plan.proved else ""
    all_woods = say("{cost} for all woods", cost=cost) if len(plan.woods) > 1 and plan.cost else cost
    said = say("{cost}, {standing}{looking}.", cost=all_woods, standing=standing, looking=looking)
    said = f"{said} {_left_over(waste)}"
    return f"{_unplaced(floor, plan)}{said}"


def _left_over(percent: float) -> str:
    """Beyond what is usual the rest is offcuts, which nobody calls waste."""
    if percent > MOST_WASTE:
        return say("{percent:.0f} % of the wood is left over, offcuts included.", percent=percent)
    return say("{waste:.0f} % waste.", waste=percent)


def _unplaced(floor: Floor, plan: BoardPlan) -> str:
    """Pieces that no available board can hold, with the reason; shown before everything else."""
    if not plan.unplaced:
        return ""
    names = names_of(floor.run, [item_key(each.part, each.piece) for each in plan.unplaced])
    return say("No board for {names}: {why}. ", names=names, why=plan.unplaced[0].why)


def wood_words(floor: Floor, plan: BoardPlan, wood_id: str) -> str:
    """`about $17, lowest cost possible (proved)`."""
    wood = next(each for each in plan.woods if each.wood == wood_id)
    if wood.cost is None:
        return wood.proof_words
    return f"{about_money(floor.run.build, wood.cost)}, {wood.proof_words}" if wood.bought else say("all from the rack")


def _change_words(floor: Floor, answer: Replan) -> str:
    """What a new plan changes, in sentences."""
    told = changes(floor, answer)
    more = capital(about_money(floor.run.build, answer.plan.cost)) if answer.plan.cost else ""
    cost = say("{more} more, {standing}.", more=more, standing=plan_proof_words(answer.plan)) if more else ""
    broken = say("The grain won't match across {broken}.", broken=", ".join(answer.broken)) if answer.broken else ""
    left = any(wood.boards for wood in answer.plan.woods)
    stay = say("Nothing else moves.") if told else say("Nothing changes.") if left else say("Nothing is left to cut.")
    said = f"{'; '.join(told)}. {stay}" if told else stay
    return _unplaced(floor, answer.plan) + " ".join(words for words in (said, cost, broken) if words)
