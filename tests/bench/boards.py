"""The board planner beside OR-Tools CP-SAT and HiGHS on the same requests, in one run. Prints; fails on no clock.

    python tests/bench/boards.py [--count 300] [--seconds 60] [--judge-seconds 5] [--planner-only]
    python tests/bench/boards.py --growth [--seconds 20]
    python tests/bench/boards.py --table LOG

All times are of the processor, so that a busy machine changes little; each solver has one thread. Needs the extra
"bench" (ortools, highspy). Every plan goes through the tests' checker, and every proved price must
agree with every price that a judge proved: a disagreement ends the run with an error.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import sys
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from time import process_time
from typing import TYPE_CHECKING

sys.path[:0] = [str(Path(__file__).parents[1] / "plan" / "boards"), str(Path(__file__).parents[2])]

from board_checker import faults_of_cutting  # noqa: E402
from board_shop import shop_request  # noqa: E402

from tracker.plan.boards import Progress, Request, cut  # noqa: E402

if TYPE_CHECKING:
    from boards_judges import Stopwatched, Verdict

SOON = 0.05
SIZES = (5, 8, 12, 16, 20, 25, 30, 40, 50, 60, 80, 100, 120)


@dataclass(slots=True)
class Run:
    """The planner's result for one request: seconds to the first plan and to the proof of the price.

    `soon_gap` is how far the best plan after SOON seconds is above the final bound, `gap` how far the last plan is.
    """

    price: int
    proved: bool
    first: float
    soon_gap: float
    gap: float
    seconds: float


def plan(request: Request, seconds: float, *, all_aims: bool = False) -> Run:
    """Plan until the price is proved (or, with `all_aims`, everything), or until the time is over."""
    began = process_time()
    soon: Progress | None = None
    first_at = proved_at = 0.0

    def report(progress: Progress) -> None:
        nonlocal soon, first_at, proved_at
        now = process_time() - began
        first_at = first_at or now
        if soon is None or now <= SOON:
            soon = progress
        if not proved_at and progress.price_bound >= progress.price:
            proved_at = process_time() - began

    def keep_going() -> bool:
        return process_time() - began < seconds and (all_aims or not proved_at)

    cutting = cut(request, keep_going, report)
    faults = faults_of_cutting(request, cutting)
    if faults:
        raise SystemExit(f"a plan with faults: {faults}")
    assert soon is not None
    least = cutting.price_bound or 1
    done = process_time() - began if all_aims or not proved_at else proved_at
    soon_gap, gap = (max(0.0, price / least - 1) for price in (soon.price, cutting.price))
    return Run(cutting.price, bool(proved_at), first_at, soon_gap, gap, done)


def requests(count: int) -> list[tuple[str, Request]]:
    """Half with prices by length, half with a dealer's prices; two thirds with a rack."""
    named = []
    for seed in range(count):
        blanks = SIZES[seed % len(SIZES)]
        request = shop_request(seed, blanks, linear=seed % 2 == 0, rack=seed % 3 != 0)
        named.append((f"{seed:4d} {blanks:4d} blanks", request))
    return named


def agree(name: str, run: Run, verdicts: list[Verdict]) -> None:
    for verdict in verdicts:
        wrong = verdict.price is not None and (
            (run.proved and verdict.price < run.price) or (verdict.proved and run.price < verdict.price)
        )
        if wrong or (run.proved and verdict.proved and run.price != verdict.price):
            raise SystemExit(f"{name}: {run} and {verdict} disagree")


def beside(count: int, seconds: float, judges: list[Stopwatched], judge_seconds: float) -> None:
    """The comparison, a line for each request and the sums at the end."""
    runs: list[Run] = []
    fastest: list[float] = []
    proved = [0] * len(judges)
    worse = [0] * len(judges)
    for name, request in requests(count):
        run = plan(request, seconds)
        for judge in judges:
            judge.ask(request, judge_seconds)
        verdicts = [judge.answer() for judge in judges]
        agree(name, run, verdicts)
        for at, verdict in enumerate(verdicts):
            proved[at] += verdict.proved
            worse[at] += verdict.price is None or verdict.price > run.price
        if verdicts:
            fastest.append(min(v.seconds for v in verdicts))
        runs.append(run)
        seen = " ".join(f"{v.seconds:8.3f}{' ' if v.proved else '?'}" for v in verdicts)
        print(f"{name}: {run.seconds:8.3f}{' ' if run.proved else '?'} {seen}", flush=True)
    print(f"planner proved {sum(r.proved for r in runs)} of {count} within {seconds:g} s")
    for judge, n, bad in zip(judges, proved, worse, strict=True):
        print(f"{judge} proved {n} within {judge_seconds:g} s; dearer than the planner's on {bad}")
    print("every proved price agrees with every other")
    tell_times(runs, fastest)
    if not judges:
        print(f"peak memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def tell_times(runs: list[Run], fastest: list[float]) -> None:
    """`fastest`: the seconds of the faster judge; one that proved nothing counts with its full time."""
    first = sorted(r.first for r in runs)
    gaps = sorted(r.soon_gap for r in runs)
    print(f"first plan: median {first[len(first) // 2] * 1000:.1f} ms, worst {first[-1] * 1000:.1f} ms")
    within = sum(gap <= 0.05 for gap in gaps)
    print(
        f"plan after {SOON * 1000:.0f} ms above the bound: median {gaps[len(gaps) // 2]:.2%}, worst {gaps[-1]:.2%}, "
        f"within 5 % on {within} of {len(gaps)}"
    )
    times = sorted(r.seconds for r in runs)
    print(f"price proved: median {statistics.median(times):.3f} s, p95 {times[int(0.95 * len(times))]:.3f} s")
    if not fastest:
        return
    tell_ratios([r.seconds for r in runs], fastest)


def tell_ratios(times: list[float], fastest: list[float]) -> None:
    """The faster judge's time over the planner's, request by request; times below a millisecond count as one."""
    ratios = sorted(max(judge, 0.001) / max(mine, 0.001) for judge, mine in zip(fastest, times, strict=True))
    late = int(0.95 * len(times))
    print(
        f"faster judge's time over the planner's: median {statistics.median(ratios):.1f}, "
        f"p5 {ratios[int(0.05 * len(ratios))]:.2f}, worst {ratios[0]:.2f}; planner no slower on "
        f"{sum(ratio >= 1 for ratio in ratios)} of {len(ratios)}"
    )
    print(f"p95 of the times: planner {sorted(times)[late]:.3f} s, faster judge {sorted(fastest)[late]:.3f} s")


def table(log: Path) -> None:
    """The sums of a log of this script, finished or not."""
    rows = [line.split() for line in log.read_text("utf-8").splitlines() if " blanks: " in line]
    seen = [[float(word.rstrip("?")) for word in row[3:6]] for row in rows if len(row) == 6]
    open_ = [[word.endswith("?") for word in row[3:6]] for row in rows if len(row) == 6]
    planner, first, second = (sum(not each[at] for each in open_) for at in range(3))
    print(f"{len(seen)} requests: proved by the planner {planner}, by CP-SAT {first}, by HiGHS {second}")
    print(f"by neither judge {sum(each[1] and each[2] for each in open_)}; any disagreement would have ended the run")
    tell_ratios([mine for mine, *_ in seen], [min(judges) for _, *judges in seen])


def grow(seconds: float) -> None:
    """How time and memory grow with the number of blanks; each in a separate process, to measure its memory."""
    for blanks in (10, 30, 100, 300, 1000):
        for seed in range(3):
            with get_context("spawn").Pool(1) as pool:
                run, megabytes = pool.apply(_grown, (seed, blanks, seconds))
            state = "proved after" if run.proved else f"within {run.gap:.2%} after"
            print(
                f"{blanks:5d} blanks: first plan {run.first * 1000:6.1f} ms; after {SOON * 1000:.0f} ms "
                f"{run.soon_gap:.2%} above the bound; {state} {run.seconds:.2f} s; {megabytes:.0f} MB",
                flush=True,
            )


def _grown(seed: int, blanks: int, seconds: float) -> tuple[Run, float]:
    run = plan(shop_request(seed, blanks, linear=seed == 0), seconds)
    return run, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def both_judges() -> list[Stopwatched]:
    """Imported here, so that the planner alone needs neither the judges nor their memory."""
    from boards_judges import Stopwatched, by_cp_sat, by_highs

    return [Stopwatched(by_cp_sat), Stopwatched(by_highs)]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=39)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--judge-seconds", type=float, default=5.0)
    parser.add_argument("--table", type=Path, metavar="LOG", help="print the sums of a log of this script")
    parser.add_argument("--growth", action="store_true")
    parser.add_argument("--planner-only", action="store_true")
    asked = parser.parse_args()
    if asked.table:
        table(asked.table)
    elif asked.growth:
        grow(asked.seconds)
    else:
        beside(asked.count, asked.seconds, [] if asked.planner_only else both_judges(), asked.judge_seconds)


if __name__ == "__main__":
    main()
