"""The search for boards does the same work as before: how often each of its functions is called, and calls built-in
ones.

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
def counted() -> Iterator[Counter[tuple[str, str]]]:
    """Counts calls in the modules of boards: of their own functions by name, of built-in ones by their caller."""
    found = Counter[tuple[str, str]]()
    before = sys.getprofile()

    def count(frame: FrameType, event: str, _: Any) -> None:
        if event in ("call", "c_call"):
            code = frame.f_code
            if code.co_filename.startswith(MODULES) and code.co_name not in INLINED:
                module = Path(code.co_filename[len(MODULES) + 1 :]).stem
                found[module, code.co_qualname if event == "call" else f"{code.co_qualname} > built-in"] += 1

    sys.setprofile(count)
    try:
        yield found
    finally:
        sys.setprofile(before)


def work(kind: str) -> dict[str, list[int]]:
    """The counts of each module's functions, rising: a new name alone changes none."""
    plans: Callable[[int], Iterator[str]] = KINDS[kind][0]
    for known in (blanks._takes, by_grade._enough, nesting._ends):  # other tests may have asked before
        known.cache_clear()
    with counted() as found:
        for seed in COUNTED[kind]:
            for _ in plans(seed):
                pass
    modules = sorted({module for module, _ in found})
    return {module: sorted(count for (each, _), count in found.items() if each == module) for module in modules}


def steps_of_the_knapsack(seed: int) -> list[int]:
    """The fewest steps with which the depth-first knapsack finishes, from no value known and from all but the best."""
    sizes, demand, values, room = case(seed)
    worth = Valuation(sizes, demand, values)
    return [_least_patience(worth, room, beat) for beat in (0, worth.most(room) - 1)]


def _least_patience(worth: Valuation, room: int, beat: int) -> int:
    return next(steps for steps in range(4000) if worth.soon_better(room, beat, steps) is not None)


@pytest.mark.parametrize("kind", COUNTED)
def test_each_function_is_called_as_often_as_before(kind: str) -> None:
    assert work(kind) == json.loads(KEPT.read_text("utf-8"))[kind]


def test_the_knapsack_takes_as_many_steps_as_before() -> None:
    kept = json.loads(KEPT.read_text("utf-8"))["knapsack"]
    assert [steps_of_the_knapsack(seed) for seed in range(60)] == kept


if __name__ == "__main__":
    numbers: dict[str, Any] = {kind: work(kind) for kind in COUNTED}
    numbers["knapsack"] = [steps_of_the_knapsack(seed) for seed in range(60)]
    KEPT.write_text(json.dumps(numbers, indent=0).replace(",\n", ", ").replace("], ", "],\n") + "\n", "utf-8")
