"""The search for boards does the same work as before: how often the functions of each module are called.

A bound that no longer prunes, a memory that isn't filled, a try in the wrong order often find the same plan later. A
clock wouldn't show that on a busy machine; these numbers do, and the module that differs says where to look.

    PYTHONPATH=tests:. python -m said.test_work_kept      stores the present numbers, where more or less work is meant
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from plan.boards.test_knapsack import case
from said.test_plans_kept import KINDS

from tracker.plan import boards
from tracker.plan.boards import blanks, by_grade, nesting
from tracker.plan.boards.solver.knapsack import Valuation

KEPT = Path(__file__).parent / "work.json"
MODULES = str(Path(boards.__file__).parent)
INLINED = ("<listcomp>", "<setcomp>", "<dictcomp>")
"""Calls of their own in Python 3.11, no longer in 3.12."""
COUNTED = {
    "crosscut": (1, 2, 6, 10, 18, 38, 58, 62),
    "ripped": (0, 2, 3, 7, 11, 17),
    "again": (8, 10, 13, 18),
    "nested": (0, 1, 2, 3, 7),
    "mixed": (1, 3, 5, 7),
    "graded": (0,),
    "moves": (0, 1),
    "tight": (1, 9, 13),
}
"""Seeds of `test_plans_kept` that reach most functions in little time."""


@contextmanager
def counted() -> Iterator[Counter[str]]:
    """Counts the calls of the functions of each module of boards."""
    found = Counter[str]()
    before = sys.getprofile()

    def count(frame: FrameType, event: str, _: Any) -> None:
        code = frame.f_code
        if event == "call" and code.co_filename.startswith(MODULES) and code.co_name not in INLINED:
            found[Path(code.co_filename[len(MODULES) + 1 :]).stem] += 1

    sys.setprofile(count)
    try:
        yield found
    finally:
        sys.setprofile(before)


def work(kind: str) -> dict[str, int]:
    """The number of calls in each module."""
    plans: Callable[[int], Iterator[str]] = KINDS[kind][0]
    for known in (blanks._takes, by_grade._enough, nesting._ends):  # other tests may have asked before
        known.cache_clear()
    with counted() as found:
        for seed in COUNTED[kind]:
            for _ in plans(seed):
                pass
    return dict(sorted(found.items()))


def steps_of_the_knapsack(seed: int) -> list[int]:
    """The fewest steps with which the depth-first knapsack finishes, from no value known and from all but the best."""
    sizes, demand, values, room = case(seed)
    worth = Valuation(sizes, demand, values)
    return [_least_patience(worth, room, beat) for beat in (0, worth.most(room) - 1)]


def _least_patience(worth: Valuation, room: int, beat: int) -> int:
    return next(steps for steps in range(4000) if worth.soon_better(room, beat, steps) is not None)


@pytest.mark.parametrize("kind", COUNTED)
def test_the_functions_of_a_module_are_called_as_often_as_before(kind: str) -> None:
    assert work(kind) == json.loads(KEPT.read_text("utf-8"))[kind]


def test_the_knapsack_takes_as_many_steps_as_before() -> None:
    kept = json.loads(KEPT.read_text("utf-8"))["knapsack"]
    assert [steps_of_the_knapsack(seed) for seed in range(60)] == kept


if __name__ == "__main__":
    numbers: dict[str, Any] = {kind: work(kind) for kind in COUNTED}
    numbers["knapsack"] = [steps_of_the_knapsack(seed) for seed in range(60)]
    KEPT.write_text(json.dumps(numbers, indent=1) + "\n", "utf-8")
