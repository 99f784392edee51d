"""A build of one wood for the tests of boards, and a tablet at its saw."""

from __future__ import annotations

from work.one_tablet import Bench

from tracker.cards.boards.boards import BoardsCard, boards_card
from tracker.design.load import load_build
from tracker.floor.boards import followed, key_of, laid_out, planned
from tracker.floor.floor import Floor
from tracker.floor.replanning import BoardProposal, only_lost, replan_request, to_follow
from tracker.plan.boards import BoardPlan, plan_boards
from tracker.plan.boards.replanning import Replan, replan
from tracker.work.decide.decide import Refusal
from tracker.work.decide.intents import Do, KeepBoards, Spoil
from tracker.work.run import Run, start_run

SHELF = """
[build]
name = "Box shelf"
units = "in"
currency = "USD"
[shop]
kerf = "1/8"
end_trim = "1/2"
least_offcut = 12
[woods.cedar]
species = "western redcedar"
section = "1x6"
lengths = ["6 ft", "8 ft"]
prices = [8.00, 10.00]
[[parts]]
id = "side"
name = "Side"
quantity = 2
wood = "cedar"
length = 30
[[parts]]
id = "shelf"
name = "Shelf"
quantity = 3
wood = "cedar"
length = 20
[[parts]]
id = "cleat"
name = "Cleat"
quantity = 4
wood = "cedar"
length = 6
"""
"""By hand: an 8 ft board has 95 in clear, a 6 ft one 71. 144 in of pieces don't fit two of 6 ft (142), but one of each:
the least cost is 18.00."""


class Saw(Bench):
    """One tablet at the saw of one build, made from a file's text or from a run that was started."""

    def __init__(self, of: str | Run = SHELF) -> None:
        super().__init__(of if isinstance(of, Run) else _run(of))

    @property
    def floor(self) -> Floor:
        return Floor(self.run, self.state, self.now)

    def card(
        self, current: str = "", answer: BoardPlan | BoardProposal | None = None, *, cheaper: bool = False
    ) -> BoardsCard:
        return boards_card(self.floor, answer, False, current, cheaper=cheaper)

    def plan(self) -> BoardPlan:
        return plan_boards(self.run.build, keep_going=lambda: True)

    def take_plan(self) -> None:
        assert self.do(KeepBoards(planned(laid_out(self.plan())))) is None

    def plan_again(self, *, only_the_lost: bool = False) -> Replan:
        asked = replan_request(self.floor)
        if only_the_lost:
            asked = only_lost(asked, self.run.build.shop.kerf)
        calls = iter(range(3000))
        return replan(
            self.run.build,
            left=asked.left,
            done=asked.done,
            previous=asked.previous,
            keep_going=lambda: next(calls, None) is not None,
        )

    def take_new_plan(self, *, only_the_lost: bool = False) -> Replan:
        answer = self.plan_again(only_the_lost=only_the_lost)
        assert self.do(KeepBoards(planned(to_follow(self.floor, answer)))) is None
        return answer

    def tap(self, current: str = "") -> str:
        """Tap the large button of a board's card; returns its words."""
        board = self.card(current).board
        assert board is not None
        assert board.action.intent is not None, board.action
        assert self.do(board.action.intent) is None
        return f"{board.action.text}: {board.action.said}"

    def spoil(self, key: str) -> Refusal | None:
        return self.do(Spoil(key, "Cut short"))


def _run(text: str) -> Run:
    loaded = load_build(text.encode())
    assert loaded.build is not None, loaded.problems
    return start_run(loaded.build)


def board_of(saw: Saw, key: str) -> str:
    """The key of the board on which a piece is planned."""
    found = [b.key for b in followed(saw.run, saw.state) if any(key_of(p) == key for p in b.pieces)]
    assert len(found) == 1
    return found[0]


def cut_all_of(saw: Saw, key: str) -> None:
    while (board := saw.card(key).board) and isinstance(board.action.intent, Do):
        saw.tap(key)
