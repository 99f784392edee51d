"""How quickly a spoiled piece is planned again: some of a build's blanks are cut, then one of them is spoiled.

Every other time there is an offcut on the rack that the plan didn't know: then moving other pieces may pay.

    python tests/bench/boards_replan.py [--count 40] [--seconds 0.5]

Prints for each build the extra cost, the pieces that change their board, how few must, and the time. All times are of
the processor; fails on no clock.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time

sys.path[:0] = [str(Path(__file__).parents[2])]

from tracker.design.load import load_build  # noqa: E402
from tracker.design.model import Build  # noqa: E402
from tracker.measure import inches  # noqa: E402
from tracker.plan.boards import Replan, as_left, places, plan_boards, racked_offcut, replan  # noqa: E402

SIZES = (10, 20, 30, 40, 60, 80, 120)
HEAD = """
[build]
name = "Trial"
units = "in"
[shop]
kerf = "1/8"
[woods.oak]
species = "white oak"
section = "1x6"
lengths = ["6 ft", "8 ft", "10 ft"]
prices = [11.40, 15.20, 19.50]
"""


def some_build(seed: int, blanks: int) -> Build:
    """One to six blanks of each length, 5 to 50 in, in eighths."""
    chance = random.Random(f"spoiled {seed}")
    text, left = HEAD, blanks
    while left:
        many = min(left, chance.randint(1, 6))
        length = f"{chance.randint(5, 50)} {chance.randint(0, 7)}/8"
        text += f'[[parts]]\nid = "p{left}"\nname = "P{left}"\nquantity = {many}\nwood = "oak"\nlength = "{length}"\n'
        left -= many
    build = load_build(text).build
    assert build is not None
    return build


def within(seconds: float) -> Callable[[], bool]:
    until = process_time() + seconds
    return lambda: process_time() < until


def spoil_one(seed: int, blanks: int, seconds: float) -> tuple[Replan, float]:
    """Plan, cut a tenth to nine tenths, spoil one of those, plan again."""
    chance = random.Random(seed)
    build = some_build(seed, blanks)
    plan = plan_boards(build, keep_going=within(3))
    lies = dict(places(plan))
    order = sorted(lies, key=lambda piece: (lies[piece].board, lies[piece].at))
    cut = order[: max(1, blanks * chance.randint(1, 9) // 10)]
    gone = [lies[piece] for piece in cut]
    spoiled = chance.choice(cut)
    lies.pop(spoiled)
    boards = [as_left(board).without(gone, build.shop.kerf) for wood in plan.woods for board in wood.boards]
    if seed % 2:
        boards.append(racked_offcut(build.woods[0], "A1", inches(chance.randint(14, 40))))
    began = process_time()
    again = replan(build, left=boards, done=set(cut) - {spoiled}, previous=lies, keep_going=within(seconds))
    return again, process_time() - began


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=42)
    parser.add_argument("--seconds", type=float, default=0.5)
    asked = parser.parse_args()
    times, proved = [], 0
    for seed in range(asked.count):
        blanks = SIZES[seed % len(SIZES)]
        again, took = spoil_one(seed, blanks, asked.seconds)
        times.append(took)
        proved += again.proved
        cost = (
            f"{again.plan.cost} more, {again.plan.woods[0].proof_words if again.plan.woods else 'nothing left to cut'}"
        )
        print(f"{seed:3d} {blanks:4d} blanks: {took:6.3f} s; {cost}; {again.change_words}", flush=True)
    times.sort()
    print(
        f"median {times[len(times) // 2]:.3f} s, worst {times[-1]:.3f} s; proved to the last {proved} of {len(times)}"
    )


if __name__ == "__main__":
    main()
