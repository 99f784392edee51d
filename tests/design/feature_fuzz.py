"""Fuzzed files with the keys for features, own steps, mates, copies and labels: loading returns values.

Most are plausible: half are right or nearly right, the others have one mistake or several, and some a wrong character.
`PYTHONPATH=tests:. python -m design.feature_fuzz 6000 SEED` counts them, and prints how many loaded, the longest time
and the most memory.
"""

from __future__ import annotations

import random
import resource
import sys
import time

from design.plausible_files import plausible, slip, toml

from tracker.design import load_build
from tracker.plan.feasibility import check
from tracker.work.routes import check_routes
from tracker.work.run import start_run


def text(chance: random.Random) -> str:
    data = plausible(chance)
    for _ in range(chance.choice([0, 0, 1, 1, 1, 2, 3, 8])):
        slip(chance, data)
    source = toml(data)
    if chance.random() < 0.03:
        at = chance.randrange(len(source))
        source = source[:at] + chance.choice(["", '"', "}", "\n", "=", "\0", "é"]) + source[at + 1 :]
    return source


def one(source: str) -> tuple[float, bool, bool]:
    """The processor seconds to load a file and check it completely; whether it loads, and whether it has no problem."""
    began = time.process_time()
    build = load_build(source).build
    right = False
    if build is not None:
        problems = [*check_routes(build), *check(build)]
        right = not any(problem.kind == "problem" for problem in problems)
        if right:
            start_run(build)
    return time.process_time() - began, build is not None, right


def count(files: int, seed: int = 1) -> tuple[float, int, int]:
    """The longest time, how many files loaded, and how many of these had no problem."""
    chance = random.Random(seed)
    longest, loaded, right = 0.0, 0, 0
    for _ in range(files):
        source = text(chance)
        try:
            taken, loads, is_right = one(source)
        except Exception:
            print(source, flush=True)
            raise
        loaded, right = loaded + loads, right + is_right
        if taken > 2:
            print(f"{taken:.2f} s\n{source}", flush=True)
        longest = max(longest, taken)
    return longest, loaded, right


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    began = time.process_time()
    slowest, loads, right = count(wanted, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    took = time.process_time() - began
    print(
        f"{wanted} files, {loads} of them loaded, {right} without a problem: {slowest:.2f} s the slowest, "
        f"{memory:.0f} MB in all; {took:.0f} s"
    )
