"""Each part of `tracker.plan` does the same work as before and finds the same: asked directly, a few pieces at a time.

That a box no longer excludes what is far away, or that something is looked at twice, shows in nothing else. See
`test_plans_kept` for whole requests for boards.

    PYTHONPATH=tests:. python -m said.test_work_kept                  stores it, where more or less work is meant
    PYTHONPATH=tests:. python -m said.test_work_kept show > FILE      writes how often each branch is taken
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest
from plan.boards.test_knapsack import case
from said.branches import Taken, in_boards, in_shapes
from said.lines import stamp
from said.small_rips import RIPS
from said.small_screws import JOINED
from said.small_searches import SEARCHES
from said.small_shapes import SHAPES

from tracker.plan.boards.solver.knapsack import Valuation

KEPT = Path(__file__).parent / "work.json"
IN_BOARDS = {**SEARCHES, **RIPS}
ASKED = {**IN_BOARDS, **SHAPES, **JOINED}


def work(kind: str) -> tuple[list[Any], Taken]:
    """What is found, and how often each branch is taken."""
    with in_boards() if kind in IN_BOARDS else in_shapes() as taken:
        found = list(ASKED[kind]())
    return found, taken


def kept(kind: str) -> dict[str, str]:
    """A stamp of what is found and, for each module, the number of branches taken with a stamp of all of them."""
    found, taken = work(kind)
    named = sorted((module.removeprefix("tracker.plan."), functions) for module, functions in taken.items())
    counts = {module: f"{sum(map(sum, functions.values()))} {stamp(functions)}" for module, functions in named}
    return {"found": stamp(found), **counts}


def steps_of_the_knapsack(seed: int) -> list[int]:
    """The fewest steps with which the depth-first knapsack finishes, from no value known and from all but the best."""
    sizes, demand, values, room = case(seed)
    worth = Valuation(sizes, demand, values)
    return [_least_patience(worth, room, beat) for beat in (0, worth.most(room) - 1)]


def _least_patience(worth: Valuation, room: int, beat: int) -> int:
    return next(steps for steps in range(4000) if worth.soon_better(room, beat, steps) is not None)


@pytest.mark.parametrize("kind", ASKED)
def test_the_branches_of_a_module_are_taken_as_often_as_before(kind: str) -> None:
    assert kept(kind) == json.loads(KEPT.read_text("utf-8"))[kind]


def test_the_knapsack_takes_as_many_steps_as_before() -> None:
    steps = json.loads(KEPT.read_text("utf-8"))["knapsack"]
    assert [steps_of_the_knapsack(seed) for seed in range(60)] == steps


def show() -> None:
    """Write how often each branch is taken, to be compared with another version."""
    for kind in ASKED:
        for module, functions in work(kind)[1].items():
            for function, counts in functions.items():
                print(f"{kind}: {module} {function}: {' '.join(map(str, counts))}")


if __name__ == "__main__":
    if sys.argv[1:] == ["show"]:
        show()
    else:
        numbers: dict[str, Any] = {kind: kept(kind) for kind in ASKED}
        numbers["knapsack"] = [steps_of_the_knapsack(seed) for seed in range(60)]
        KEPT.write_text(json.dumps(numbers, indent=1) + "\n", "utf-8")
