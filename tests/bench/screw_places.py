"""How long it takes to find the places of screws: two rails in one leg, each with two to four screws.

`python -m tests.bench.screw_places 200` prints processor time for placing the pieces and proposing both rows.
"""

from __future__ import annotations

import random
import sys
from time import process_time

from tests.place.mesh_joints import random_joint
from tracker.design.load import load_build
from tracker.plan.screws import surveys, with_places


def main() -> None:
    chance = random.Random(11)
    laid: list[float] = []
    found: list[float] = []
    marks: list[int] = []
    for _ in range(int(sys.argv[1])):
        build = load_build(random_joint(chance).text).build
        assert build is not None
        start = process_time()
        surveys(build)
        middle = process_time()
        with_places(build)
        laid.append(middle - start)
        found.append((process_time() - middle - laid[-1]) / 2)
        marks.append(max(round(float(part.width)) - 24 for part in build.parts))
    for what, times in (("placing the pieces", laid), ("one proposal", found)):
        ordered = sorted(1e3 * each for each in times)
        last = len(ordered) - 1
        median, most, worst = ordered[last // 2], ordered[last * 95 // 100], ordered[last]
        print(f"{what}: median {median:.1f} ms, 95 % {most:.1f}, worst {worst:.1f}")
    print(f"up to {max(marks)} marks")


if __name__ == "__main__":
    main()
