"""Published bin-packing sets: how many are proved, how soon, and the gap of the others.

    python tests/bench/boards_published.py [--seconds 60] [--small | --harder]

Instances are printed ones (tests/plan/boards/published, with sources) and ones made by published recipes with fixed
seeds (tests/plan/boards/published_sets.py). A plan better than a published optimum, or a bound above one, ends the run
with an error. All times are of the processor; fails on no clock.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from time import process_time

sys.path[:0] = [str(Path(__file__).parents[1] / "plan" / "boards"), str(Path(__file__).parents[2])]

from board_checker import faults_of_cutting  # noqa: E402
from published_sets import Instance, harder, small  # noqa: E402

from tracker.plan.boards import Progress, cut  # noqa: E402


def solve(instance: Instance, seconds: float) -> tuple[int, int, float]:
    """Bins, the bound, and the time to prove the plan (or the whole time)."""
    began = process_time()
    proved = False

    def report(progress: Progress) -> None:
        nonlocal proved
        proved = proved or progress.length_bound >= progress.length

    cutting = cut(instance.request, lambda: not proved and process_time() - began < seconds, report)
    took = process_time() - began
    if faults := faults_of_cutting(instance.request, cutting):
        raise SystemExit(f"{instance.name}: {faults}")
    best = instance.optimum
    if best is not None and not cutting.length_bound <= best <= cutting.length:
        raise SystemExit(f"{instance.name}: {cutting.length_bound} to {cutting.length}, published {best}")
    return cutting.length, cutting.length_bound, took


def run(name: str, instances: Iterator[Instance], seconds: float) -> None:
    times, open_ = [], 0
    for instance in instances:
        bins, bound, took = solve(instance, seconds)
        times.append(took)
        if bins > bound:
            open_ += 1
            print(f"  {instance.name}: {bins} bins, at least {bound}, {bins / bound - 1:.2%} above", flush=True)
        elif took > seconds / 10:
            print(f"  {instance.name}: {bins} bins after {took:.1f} s", flush=True)
    times.sort()
    middle, late = times[len(times) // 2], times[int(0.95 * len(times))]
    print(
        f"{name}: {len(times) - open_} of {len(times)} proved within {seconds:g} s each; "
        f"median {middle:.3f} s, p95 {late:.2f} s, worst {times[-1]:.2f} s",
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--small", action="store_true")
    parser.add_argument("--harder", action="store_true")
    asked = parser.parse_args()
    if not asked.harder:
        run("small", small(), asked.seconds)
    if not asked.small:
        run("harder", harder(), asked.seconds)


if __name__ == "__main__":
    main()
