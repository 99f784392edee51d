"""The volume that features leave of random parts, by the program and by `feature_judge`.

`PYTHONPATH=tests python -m plan.feature_solids 2000 [SEED]` counts.
"""

from __future__ import annotations

import random
import sys
import time

from plan.feature_judge import Board
from plan.random_features import build_text, random_board

from tracker.design import load_build
from tracker.plan.features import feature_problems, features_of, net_volume
from tracker.plan.geometry import solid
from tracker.plan.place.cells import cells_of


def relative_error(board: Board) -> float | None:
    """The relative error of the program's volume against that of `feature_judge`; None if the file is refused."""
    build = load_build(build_text(board)).build
    if build is None:
        raise AssertionError(load_build(build_text(board)).problems, build_text(board))
    part = build.parts[0]
    made = solid(part, None)
    if any(each.kind == "problem" for each in feature_problems(build, part, made)):
        return None
    found = net_volume(made, cells_of(made), features_of(part, made))
    judged = float(board.left().volume())
    return abs(found - judged) / judged


def count(wanted: int, seed: int = 1) -> tuple[int, int, float]:
    """Check `wanted` combinations that load; returns how many there were, how many were refused, and the largest
    error."""
    chance = random.Random(seed)
    taken, refused, worst = 0, 0, 0.0
    while taken < wanted:
        board = random_board(chance)
        error = relative_error(board)
        if error is None:
            refused += 1
            continue
        taken += 1
        if error > worst:
            worst = error
        if error > 1e-6:
            print(error, build_text(board), flush=True)
    return taken, refused, worst


if __name__ == "__main__":
    began = time.process_time()
    wanted, seed = (int(word) for word in (*sys.argv[1:3], *("100", "1")[len(sys.argv) - 1 :]))
    made, refused, worst = count(wanted, seed)
    print(f"{made} combinations ({refused} refused): largest error {worst:.2e}; {time.process_time() - began:.0f} s")
