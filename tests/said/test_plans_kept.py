"""The same cut list gives the same plan of boards, in the same number of steps, on every machine and after every change
that isn't meant to alter it: somebody may have marked the boards by it.

`tests/plan/boards` checks the quality of plans. Here a bound that no longer prunes, a memory that isn't filled, or a
worse start that a longer search makes up for shows as other steps, or as branches that are taken more or less often
(`work`): a clock wouldn't show that on a busy machine.

    PYTHONPATH=tests:. python -m said.test_plans_kept                stores the present result
    PYTHONPATH=tests:. python -m said.test_plans_kept show > FILE    writes how often each branch is taken
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

import pytest
from plan.boards.board_shop import shop_request
from said.branches import in_boards, total
from said.lines import stamp
from said.odd_plans import ODD, Asked

from tests.cards.board_shop import SHELF, Saw
from tracker.design import load_build
from tracker.floor.boards import laid_out, planned
from tracker.floor.replanning import new_plans, replan_request, to_follow
from tracker.plan.boards import Progress, board_plans, cut, plan_boards
from tracker.work.decide.intents import Do, KeepBoards

KEPT = Path(__file__).parent / "plans.json"
PATIENCE = (0, 30, 600)
REQUESTS, SHEETS, AGAIN = range(72), range(18), range(28)


def crosscut(seed: int) -> Iterator[str]:
    """The plans of one request for several limits: costs, every step, and how often the search asked."""
    request = shop_request(seed, (4, 9, 16, 30)[seed % 4], linear=seed % 3 == 0, rack=seed % 2 == 0)
    for patience in PATIENCE:
        asked, told = Asked(patience), list[Progress]()
        found = cut(request, asked, told.append)
        yield f"{patience}: {found.price} {found.length}, asked {asked.count}, {stamp(found)} {stamp(told)}"


def ripped(seed: int) -> Iterator[str]:
    """Plans of boards that are ripped, of sheets, and of boards on the rack of different widths."""
    loaded = load_build(_sheet_goods(Random(f"ripped {seed}"), ("board", "sheet", "rack")[seed % 3]))
    assert loaded.build is not None, loaded.problems
    for patience in PATIENCE[:2]:
        asked = Asked(patience)
        plans = list(board_plans(loaded.build, keep_going=asked))
        boards = [laid_out(plan) for plan in plans]
        yield f"{patience}: {len(plans)} plans, asked {asked.count}, {stamp(boards)} {stamp(plans)}"


def _sheet_goods(chance: Random, kind: str) -> str:
    wood = {
        "board": 'section = "1x12"\nrip = true\nlengths = ["8 ft", "10 ft"]\nprices = [38, 47]',
        "sheet": 'thickness = "3/4"\nsheets = [["4 ft", "8 ft"]]\nprices = [80]\ngrain = "none"',
        "rack": 'rough = "4/4"\nwidths = "random"\nprice_per_board_foot = 8',
    }[kind]
    lines = ['[build]\nname = "x"\nunits = "in"\n[woods.oak]\nspecies = "white oak"', wood]
    if kind == "rack":
        lines += [
            f'[[rack]]\nwood = "oak"\nname = "R{n}"\nthickness = 1\n'
            f"length = {chance.randint(60, 130)}\nwidth = {chance.randint(5, 10)}"
            for n in range(1, 6)
        ]
    for part in range(chance.randint(2, 4)):
        size = f'length = {chance.randint(8, 40)}\nwidth = {chance.randint(2, 4)}\nthickness = "3/4"'
        lines.append(f'[[parts]]\nid = "p{part}"\nquantity = {chance.randint(1, 4)}\nwood = "oak"\n{size}')
    return "\n".join(lines) + "\n"


def planned_again(seed: int) -> Iterator[str]:
    """The proposal for the remaining boards when half of the pieces are cut and one of these is spoiled."""
    chance = Random(f"again {seed}")
    saw = Saw(_cut_list(chance, seed))
    asked = Asked(PATIENCE[1])
    saw.must(KeepBoards(planned(laid_out(plan_boards(saw.run.build, keep_going=asked)))))
    cut_ones = []
    for _ in range(len(saw.run.items) // 2):
        card = saw.card()
        assert card.board is not None
        if isinstance(card.board.action.intent, Do):
            saw.must(card.board.action.intent)
            cut_ones.append(card.board.action.intent.item)
    saw.spoil(chance.choice(cut_ones))
    for patience in PATIENCE[:2]:
        asked = Asked(patience)
        found = list(new_plans(saw.run.build, replan_request(saw.floor), keep_going=asked))
        boards = [to_follow(saw.floor, each.chosen(cheaper)) for each in found for cheaper in (False, True)]
        yield f"{patience}: {len(found)} proposals, asked {asked.count}, {stamp(boards)} {stamp(found)}"


def _cut_list(chance: Random, seed: int) -> str:
    """Boards with prices or, every third, without; every fourth is ripped, from 5 1/2 in to two lanes or one."""
    text = SHELF[: SHELF.index("[[parts]]")]
    if seed % 3 == 2:
        text = text.replace("prices = [8.00, 10.00]\n", "")
    ripped = seed % 4 == 3
    if ripped:
        text += "rip = true\n"
    for part in range(chance.randint(3, 6)):
        length = f"{chance.randint(6, 44)} {chance.choice(('0/8', '1/8', '3/8', '1/2'))}"
        more = 'sequence = "face"\n' if part == 1 and chance.random() < 0.4 and not ripped else ""
        more += f"width = {chance.choice((2, 2.5, 5))}\n" if ripped else ""
        text += (
            f'[[parts]]\nid = "p{part}"\nquantity = {chance.randint(1, 4)}\nwood = "cedar"\nlength = "{length}"\n{more}'
        )
    return text


KINDS: dict[str, tuple[Callable[[int], Iterator[str]], range]] = {
    "crosscut": (crosscut, REQUESTS), "ripped": (ripped, SHEETS), "again": (planned_again, AGAIN), **ODD,
}  # fmt: skip


def kept(kind: str, seed: int) -> list[str]:
    """The plans of one request, and how much work they are."""
    with in_boards() as taken:
        found = list(KINDS[kind][0](seed))
    return [*found, f"work: {total(taken)} branches {stamp(taken)}"]


@pytest.mark.parametrize(("kind", "seed"), [(kind, seed) for kind, (_, seeds) in KINDS.items() for seed in seeds])
def test_the_plan_is_the_one_that_was_found_before(kind: str, seed: int) -> None:
    assert kept(kind, seed) == json.loads(KEPT.read_text("utf-8"))[kind][seed]


def show() -> None:
    """Write how often each branch is taken, to be compared with another version."""
    for kind, (plans, seeds) in KINDS.items():
        for seed in seeds:
            with in_boards() as taken:
                list(plans(seed))
            for module, functions in taken.items():
                for function, counts in functions.items():
                    print(f"{kind} {seed}: {module} {function}: {' '.join(map(str, counts))}")


if __name__ == "__main__":
    if sys.argv[1:] == ["show"]:
        show()
    else:
        found = {kind: [kept(kind, seed) for seed in seeds] for kind, (_, seeds) in KINDS.items()}
        KEPT.write_text(json.dumps(found, indent=0) + "\n", "utf-8")
