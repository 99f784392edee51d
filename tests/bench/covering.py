"""Which tests run which line of the program, so that a change of a line needs only the tests that run it.

    python -m tests.bench.covering MAP [FOLDER ...] [--jobs 2]

runs the test files of these folders of `tests` under coverage.py, each folder in its own process, and adds to the map
which test ran which lines of `tracker`, with the processor time of each test. The map is coverage.py's own data file,
with the test as the context; MAP.json beside it holds the times, and the text of each module then, so that a map is
still of use when the program has changed. What ran while a shared fixture was made counts for the first test that used
it, and the lines of a module's own level for none: see `Covering.tests_of`.
"""

from __future__ import annotations

import argparse
import ast
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from difflib import SequenceMatcher
from functools import cache, cached_property
from pathlib import Path

import coverage
import pytest
from msgspec import Struct
from msgspec.json import decode as json_decode
from msgspec.json import encode as json_encode

ROOT = Path(__file__).parents[2]
FOLDERS = (
    "measure", "design", "place", "wood", "work", "floor", "cards", "said", "store", "samples", "outlines", "commands",
    "plan", "intake", "paper", "words", "faults", "together", "screens",
)  # fmt: skip
"""The folders of tests that need neither a real window nor a camera, those of the trade's rules first."""


class Covering:
    """A map of tests and lines.

    Raises FileNotFoundError where there is no map at `path`."""

    def __init__(self, path: Path) -> None:
        self._seen = _seen(path)
        self.seconds = self._seen.seconds
        """The processor time of each test."""
        self._data = coverage.CoverageData(str(path))
        self._data.read()
        self._tests_of_lines = cache(lambda path: _tests_of_lines(self._data, self._seen, path))

    def tests_of(self, path: str, line: int) -> list[str]:
        """The tests that run the statement around a line of a module, first those that run few lines of the program.

        A statement at the level of a module or a class runs on import, so for this the tests that run a line with one
        of its names count; where there is none, all tests that run a function of the module. For a default value of a
        function the tests that run the function count."""
        above = _statements_at(path, line)
        if not above:
            return []
        statement = above[-1]
        inside = any(isinstance(each, ast.FunctionDef) for each in above[:-1])
        if isinstance(statement, ast.FunctionDef):
            found = self._that_run(path, range(statement.body[0].lineno, (statement.end_lineno or 0) + 1))
        elif inside:
            body = getattr(statement, "body", None)
            last = body[0].lineno - 1 if body else statement.end_lineno or 0
            found = self._that_run(path, range(statement.lineno, max(last, statement.lineno) + 1))
        else:
            found = self._that_use(_names(statement)) or self._that_run(path, _lines_of_functions(path))
        return sorted(found, key=lambda test: (self._breadth[test], test))

    def _that_run(self, path: str, lines: Sequence[int]) -> set[str]:
        known = self._tests_of_lines(path)
        return {test for line in lines for test in known.get(line, ()) if test in self.seconds}

    def _that_use(self, names: Sequence[str]) -> set[str]:
        if not names:
            return set()
        word = re.compile(rf"\b(?:{'|'.join(map(re.escape, names))})\b")
        found = set[str]()
        for path in _modules():
            within = _lines_of_functions(path)
            lines = (ROOT / path).read_text("utf-8").splitlines()
            found |= self._that_run(path, [line for line in within if word.search(lines[line - 1])])
        return found

    @cached_property
    def _breadth(self) -> Counter[str]:
        """How many lines of the program each test runs."""
        found = Counter[str]()
        for path in _modules():
            for tests in self._tests_of_lines(path).values():
                found.update(tests)
        return found


class _Seen(Struct, frozen=True):
    """The tests of a map with their times, and the modules as they were."""

    seconds: dict[str, float]
    modules: dict[str, str]


def _beside(path: Path) -> Path:
    return path.with_name(path.name + ".json")


def _seen(path: Path) -> _Seen:
    return json_decode(_beside(path).read_bytes(), type=_Seen)


def _tests_of_lines(data: coverage.CoverageData, seen: _Seen, path: str) -> dict[int, list[str]]:
    """The tests that run each line of a module, by its number in the module as it is now. A line that was written since
    has the tests of the line above it."""
    found = {line: tests for line, tests in data.contexts_by_lineno(path).items() if any(tests)}
    before, now = seen.modules.get(path, ""), (ROOT / path).read_text("utf-8")
    if before == now:
        return found
    moved: dict[int, list[str]] = {}
    matcher = SequenceMatcher(None, before.splitlines(), now.splitlines(), autojunk=False)
    for kind, old, _, new, end in matcher.get_opcodes():
        for line in range(new + 1, end + 1):
            known = old + line - new if kind == "equal" else old
            if known in found:
                moved[line] = found[known]
    return moved


@cache
def _modules() -> tuple[str, ...]:
    return tuple(path.relative_to(ROOT).as_posix() for path in sorted((ROOT / "tracker").rglob("*.py")))


@cache
def _tree(path: str) -> ast.Module:
    return ast.parse((ROOT / path).read_text("utf-8"))


def _statements_at(path: str, line: int) -> list[ast.stmt]:
    """The statements around a line, the outermost first."""
    found: list[ast.stmt] = []
    at: list[ast.stmt] = _tree(path).body
    while True:
        node = next((each for each in at if _first_line(each) <= line <= (each.end_lineno or 0)), None)
        if node is None:
            return found
        found.append(node)
        at = list(_inner(node))


def _inner(node: ast.AST) -> Iterator[ast.stmt]:
    for each in ast.iter_child_nodes(node):
        if isinstance(each, ast.stmt):
            yield each
        elif isinstance(each, ast.ExceptHandler | ast.match_case):
            yield from _inner(each)


def _first_line(node: ast.stmt) -> int:
    decorators = getattr(node, "decorator_list", [])
    return min([node.lineno, *(each.lineno for each in decorators)])


@cache
def _lines_of_functions(path: str) -> tuple[int, ...]:
    found = set[int]()
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.FunctionDef):
            found.update(range(node.body[0].lineno, (node.end_lineno or 0) + 1))
    return tuple(sorted(found))


def _names(statement: ast.stmt) -> list[str]:
    """What a statement of a module or class assigns to."""
    targets = {ast.Assign: "targets", ast.AnnAssign: "target"}.get(type(statement))
    value = getattr(statement, targets) if targets else []
    nodes = value if isinstance(value, list) else [value]
    return [each.id for node in nodes for each in ast.walk(node) if isinstance(each, ast.Name)]


# -- making the map ----------------------------------------------------------------------------------------------------


class Recorder:
    """A pytest plugin that gives coverage.py each test's name as the context, and takes its time."""

    def __init__(self, watched: coverage.Coverage) -> None:
        self.seconds: dict[str, float] = {}
        self._watched = watched

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self._watched.switch_context(item.nodeid)
        began = time.process_time()
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = round(time.process_time() - began, 3)
            self._watched.switch_context("")


def record(to: Path, folder: str) -> None:
    """Run one folder of tests, or one file, and write its map."""
    watched = coverage.Coverage(
        data_file=str(to), source=[str(ROOT / "tracker")], branch=False, config_file=False, messages=False
    )
    watched.set_option("run:relative_files", True)  # so that another copy of the tree can use the map
    recorder = Recorder(watched)
    watched.start()
    pytest.main(
        ["-q", "-n", "0", "-p", "no:cacheprovider", "--tb=line", str(ROOT / "tests" / folder)], plugins=[recorder]
    )
    watched.stop()
    watched.save()
    _beside(to).write_bytes(json_encode(_Seen(recorder.seconds, _texts())))


def _texts() -> dict[str, str]:
    return {path: (ROOT / path).read_text("utf-8") for path in _modules()}


def merge(to: Path, parts: Sequence[Path]) -> None:
    """Add maps to the one at `to`, which needn't exist. A test that is in several has what the last of them says."""
    seconds = dict[str, float]()
    lines: dict[str, dict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
    for path in [*([to] if _beside(to).exists() else []), *parts]:
        seen, data = _seen(path), coverage.CoverageData(str(path))
        data.read()
        for test in seen.seconds:
            lines.pop(test, None)
        for module in _modules():
            for line, tests in _tests_of_lines(data, seen, module).items():
                for test in tests:
                    lines[test][module].add(line)
        seconds |= seen.seconds
    to.unlink(missing_ok=True)
    merged = coverage.CoverageData(str(to))
    for test, ran in lines.items():
        merged.set_context(test)
        merged.add_lines(ran)
    merged.write()
    _beside(to).write_bytes(json_encode(_Seen(seconds, _texts())))


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("map", type=Path)
    parser.add_argument("folders", nargs="*", default=list(FOLDERS))
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--part", action="store_true", help="run one folder in this process and write its own map")
    options = parser.parse_args()
    if options.part:
        record(options.map, options.folders[0])
        return
    with tempfile.TemporaryDirectory(prefix="covering") as scratch:
        parts = [Path(scratch) / str(number) for number in range(len(options.folders))]

        def run(part: Path, folder: str) -> None:
            subprocess.run(
                [sys.executable, "-m", "tests.bench.covering", str(part), folder, "--part"], check=True, cwd=ROOT
            )

        with ThreadPoolExecutor(options.jobs) as pool:
            list(pool.map(run, parts, options.folders))
        merge(options.map, parts)


if __name__ == "__main__":
    main()
