"""Which tests run which function of the program, so that a change of a function needs only the tests that run it.

    python -m tests.bench.covering MAP.json [FOLDER ...]

runs the test files of these folders of `tests` and adds to the map, for each test, its processor time and the functions
of `tracker` that it called. What ran while a shared fixture was made counts for the first test that used it.
"""

from __future__ import annotations

import ast
import sys
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest
from msgspec import Struct
from msgspec.json import decode as json_decode
from msgspec.json import encode as json_encode

ROOT = Path(__file__).parents[2]
FOLDERS = (
    "measure", "design", "place", "wood", "work", "cards", "said", "store", "samples", "outlines", "commands", "plan",
)  # fmt: skip
"""The tests that need no screen: those of the rules of the trade and of the record."""

MOST_CALLS = 300_000
"""Later calls of a test repeat earlier ones with other values, so they needn't be watched so closely."""


class Covering(Struct, frozen=True):
    """Each test with its seconds of processor time, and the functions that it ran: their path and name."""

    seconds: dict[str, float]
    ran: dict[str, list[tuple[str, str]]]

    def without(self, folder: str) -> Covering:
        """All but the tests of a folder or a file, some of which may be gone."""

        def kept(test: str) -> bool:
            return not test.startswith((f"{folder}/", f"{folder}::"))

        return Covering(
            {test: seconds for test, seconds in self.seconds.items() if kept(test)},
            {test: ran for test, ran in self.ran.items() if kept(test)},
        )

    def tests_of(self, path: str, line: int) -> list[str]:
        """The tests that ran the function around a line, first those that run little else; for a module-level line, all
        of the module's tests."""
        around = function_at(path, line)
        found = (
            test
            for test, ran in self.ran.items()
            if any(name == path and (not around or function == around) for name, function in ran)
        )
        return sorted(found, key=lambda test: (len(self.ran[test]), self.seconds[test]))


def function_at(path: str, line: int) -> str:
    """The function around a line, `Class.method` or `function`; a nested function counts as the outer one. Empty for
    what runs when the module is imported."""
    at: Sequence[ast.stmt] = ast.parse((ROOT / path).read_text("utf-8")).body
    names: list[str] = []
    while True:
        node = next((each for each in at if each.lineno <= line <= (each.end_lineno or 0)), None)
        if isinstance(node, ast.ClassDef):
            names.append(node.name)
            at = node.body
        elif isinstance(node, ast.FunctionDef) and line >= node.body[0].lineno:
            return ".".join([*names, node.name])
        else:
            return ""


class Recorder:
    """A pytest plugin that records every call of a function of the program."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self._ran: dict[str, set[CodeType]] = defaultdict(set)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        seen, began, calls = self._ran[item.nodeid], time.process_time(), 0

        def called(frame: FrameType, event: str, argument: Any) -> None:
            nonlocal calls
            seen.add(frame.f_code)
            calls += 1
            if calls > MOST_CALLS:
                sys.settrace(None)

        sys.settrace(called)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            self.seconds[item.nodeid] = round(time.process_time() - began, 3)

    def covering(self) -> Covering:
        """The recorded calls of the program's own functions."""
        return Covering(self.seconds, {test: sorted(set(self._own(codes))) for test, codes in self._ran.items()})

    def _own(self, codes: set[CodeType]) -> Iterator[tuple[str, str]]:
        for code in codes:
            path = Path(code.co_filename)
            if path.is_relative_to(ROOT / "tracker"):
                yield path.relative_to(ROOT).as_posix(), code.co_qualname.split(".<locals>")[0]


def read(path: Path) -> Covering:
    """The map in a file; empty if the file doesn't exist."""
    return json_decode(path.read_bytes(), type=Covering) if path.exists() else Covering({}, {})


def main() -> None:
    """The command line."""
    to, *folders = sys.argv[1:]
    for folder in folders or FOLDERS:
        recorder = Recorder()
        pytest.main(
            ["-q", "-n", "0", "-p", "no:cacheprovider", "--tb=line", str(ROOT / "tests" / folder)], plugins=[recorder]
        )
        known, found = read(Path(to)).without(f"tests/{folder}"), recorder.covering()
        Path(to).write_bytes(json_encode(Covering(known.seconds | found.seconds, known.ran | found.ran)))


if __name__ == "__main__":
    main()
