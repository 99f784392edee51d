"""Random small changes of the core packages, and how many of them the tests detect.

    python -m tests.bench.covering covering
    python -m tests.bench.mutations --count 200 --map covering --log mutations.jsonl

The changes are described in `mutants`. A change is detected when a test fails or can't be collected, or when the tests
use three times their time plus 20 s, because they would never end. The tests that run the changed line according to the
map are run, those that run little else first, within `--seconds` of processor time. A change that none of them detects
by then counts as undetected; so does one of a line that no test runs.

A failing test counts only if it passes without the change. `--log` stores each result as a line of JSON, so that a run
can be interrupted and continued; `--table LOG` prints a log. `--again LOG`, with more `--seconds`, asks all tests that
run the function about the changes that it says were missed. The changes are made in copies of the tree.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import shutil
import tempfile
import threading
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from tests.bench.covering import Covering
from tests.bench.forked import Runner
from tests.bench.mutants import Site, mutated, sites

ROOT = Path(__file__).parents[2]
PACKAGES = ("measure", "design", "plan", "work", "floor", "cards", "store")
COPIED = ("tracker", "tests", "kv", "sample_projects", ".docs", "pyproject.toml")

# -- which tests are run ----------------------------------------------------------------------------------------------


def asked(site: Site, known: Covering, seconds: float) -> tuple[list[str], int]:
    """The tests that run the changed line, the most direct first, within a number of seconds; and their time."""
    chosen, spent = list[str](), 0.0
    for test in known.tests_of(site.path, site.line):
        if spent + known.seconds[test] > seconds:
            continue
        spent += known.seconds[test]
        chosen.append(test)
    return chosen, round(spent)


# -- running -----------------------------------------------------------------------------------------------------------

FAILS_ANYWAY: set[str] = set()
"""Tests that fail here without any change, as some do for root: these are left out."""


class Bench:
    """A copy of the tree in which one change after another is tried."""

    def __init__(self, tree: Path) -> None:
        tree.mkdir()
        for name in COPIED:
            if (ROOT / name).is_dir():
                shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__", "*.png"))
            else:
                shutil.copy(ROOT / name, tree / name)
        self._tree, self._changes = tree, 0
        self._runner = Runner(tree)

    def close(self) -> None:
        self._runner.close()

    def notices(self, site: Site, tests: list[str], spent: int, seed: int) -> Any:
        """Make one change, run the tests, and undo it."""
        path = self._tree / site.path
        text, before, after = mutated(path.read_text("utf-8"), site, random.Random(f"{seed} {site}"))
        by = self._failed(path, text, tests, 3 * spent + 20)
        noticed = "yes: never ends" if by is None else "yes" if by else "no" if tests else "no: no test runs it"
        return {**site._asdict(), "before": before, "after": after, "noticed": noticed, "by": by or ""}

    def _failed(self, path: Path, text: str, tests: list[str], seconds: int) -> str | None:
        """The test that fails because of the change, "" if none does; None when there was no time for all of them."""
        while tests:
            left_out = [f"--deselect={name}" for name in FAILS_ANYWAY]
            with self._changed(path, text):
                code, failed = self._runner.run([*tests, *left_out], seconds)
            if code == pytest.ExitCode.USAGE_ERROR:  # a conftest that can't be imported is noticed, too
                if self._runner.run([*tests, *left_out], seconds).code == code:
                    raise ValueError("The map knows tests that there are no more: run tests.bench.covering again.")
                return "a conftest can't be imported"
            if not failed:
                return None if code < 0 else ""
            again = self._runner.run([failed], seconds)
            if "::" not in failed or again.code == 0:
                if again.failed != failed:  # for a file that can't be collected, only that counts
                    return failed
                raise ValueError(f"{failed} can't be collected here without any change.")
            if again.code > 0:
                FAILS_ANYWAY.add(failed)
            else:
                return None  # there was no time left
        return ""

    @contextlib.contextmanager
    def _changed(self, path: Path, text: str) -> Iterator[None]:
        source, when = path.read_bytes(), path.stat().st_mtime
        path.write_text(text, "utf-8")
        self._changes += 1
        os.utime(path, (when + 100 * self._changes,) * 2)  # Python takes a compiled module by the time of its source
        try:
            yield
        finally:
            path.write_bytes(source)
            os.utime(path, (when, when))


def run(options: argparse.Namespace, log: Callable[[dict[str, Any]], None], done: set[tuple[str, int]]) -> None:
    known, lock = Covering(options.map), threading.Lock()
    modules = [path for each in options.packages for path in sorted((ROOT / "tracker" / each).rglob("*.py"))]
    if options.only:
        modules = [path for path in modules if any(path.is_relative_to(each.absolute()) for each in options.only)]
    everything = [site for path in modules for site in sites(ROOT, path)]
    chosen = random.Random(options.seed).sample(everything, min(options.count, len(everything)))
    if options.again:
        known_results = [json.loads(line) for line in options.again.read_text().splitlines()]
        missed = {(each["path"], each["place"]) for each in known_results if not each["noticed"].startswith("yes")}
        chosen = [site for site in chosen if (site.path, site.place) in missed]
    left = [site for site in chosen if (site.path, site.place) not in done]
    print(
        f"{len(everything):,} possible changes in {', '.join(options.packages)}; {len(chosen)} are tried.", flush=True
    )
    with tempfile.TemporaryDirectory(prefix="mutations") as scratch:
        free = [Bench(Path(scratch) / f"tree{number}") for number in range(options.jobs)]

        def one(site: Site) -> None:
            with lock:
                bench = free.pop()
            try:
                with lock:
                    tests, spent = asked(site, known, options.seconds)
                result = bench.notices(site, tests, spent, options.seed)
            finally:
                with lock:
                    free.append(bench)
            with lock:
                log(result)

        with ThreadPoolExecutor(options.jobs) as pool:
            list(pool.map(one, left))
        for bench in free:
            bench.close()


def table(results: list[dict[str, Any]]) -> None:
    """How many were detected, by package and by kind of change, and every one that wasn't."""
    by: dict[str, Counter[bool]] = defaultdict(Counter)
    for result in results:
        noticed = result["noticed"].startswith("yes")
        for name in ("all", result["path"].split("/")[1], result["kind"]):
            by[name][noticed] += 1
    for name, counts in sorted(by.items(), key=lambda each: -each[1].total()):
        print(f"{name:22} {counts[True]:4} of {counts.total():4} noticed: {counts[True] / counts.total():6.1%}")
    for result in sorted(results, key=lambda each: (each["path"], each["line"])):
        if not result["noticed"].startswith("yes"):
            print(f"\n{result['path']}:{result['line']} ({result['kind']}; {result['noticed']})")
            print(f"  - {result['before']}\n  + {result['after']}")


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--seconds", type=int, default=40, help="of processor time for the tests of a change")
    parser.add_argument("--map", type=Path, default=Path("covering"), help="which tests run which lines")
    parser.add_argument("--packages", nargs="+", default=list(PACKAGES), choices=list(PACKAGES))
    parser.add_argument("--only", type=Path, nargs="+", help="change only these modules or folders")
    parser.add_argument("--log", type=Path, help="keep the results here, and go on with those that it holds")
    parser.add_argument("--again", type=Path, help="only the changes that this log says were missed")
    parser.add_argument("--table", type=Path, help="print what a log holds, and do nothing else")
    options = parser.parse_args()
    path = options.table or options.log
    results = [json.loads(line) for line in path.read_text().splitlines()] if path and path.exists() else []
    if not options.table:
        done = {(result["path"], result["place"]) for result in results}

        def log(result: dict[str, Any]) -> None:
            results.append(result)
            if options.log:
                with options.log.open("a") as file:
                    file.write(json.dumps(result) + "\n")
            print(f"{len(results):4} {result['noticed']:20} {result['path']}:{result['line']}", flush=True)

        run(options, log, done)
    table(results)


if __name__ == "__main__":
    main()
