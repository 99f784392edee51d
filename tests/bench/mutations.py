"""Random small changes of the core packages, and how many of them the packages' own tests notice.

    python -m tests.bench.mutations --count 200 --log mutations.jsonl

A mutant is one change of one module: a comparison or a sign turned, a number one off, a `not` dropped, `and` for `or`,
a condition reversed, a statement left out. It is noticed when a test fails or can't be collected. The tests that are
asked are the module's own package's, those that import it most directly first, within `--seconds` of processor time: a
change that none of them finds until then counts as not noticed.

A failing test counts only if it passes without the change. `--log` keeps each result as a line of JSON, so that a run
can be interrupted and gone on with; `--table LOG` prints what it holds. The changes are made in copies of the tree.
"""

from __future__ import annotations

import argparse
import ast
import copy
import json
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import threading
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).parents[2]
OWN_TESTS = {
    "measure": ("measure",),
    "design": ("design", "place"),
    "plan": ("plan", "place"),
    "work": ("work",),
    "floor": ("floor", "cards"),
    "cards": ("cards",),
    "store": ("store",),
}
"""The folders of `tests` that belong to each package. What stands on the floor is tested by the cards made from it."""
COPIED = ("tracker", "tests", "kv", "sample_projects", "pyproject.toml")

_OTHER: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip


class Site(NamedTuple):
    """One possible change: of the `place`-th node of the module's walk."""

    path: str
    place: int
    kind: str
    line: int


def sites(root: Path, path: Path) -> Iterator[Site]:
    """Every change that can be made of a module of the tree `root`."""
    tree = ast.parse(path.read_text("utf-8"))
    skipped = _not_code(tree)
    name = path.relative_to(root).as_posix()
    for place, node in enumerate(ast.walk(tree)):
        if node in skipped:
            continue
        for kind in _kinds(node):
            yield Site(name, place, kind, getattr(node, "lineno", 0))


def _kinds(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _OTHER:
        yield "comparison"
    elif isinstance(node, ast.BoolOp):
        yield "and/or"
    elif isinstance(node, ast.BinOp) and type(node.op) in _OTHER and not _is_text(node):
        yield "sign"
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield "not or minus dropped"
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
        yield "constant"
    elif isinstance(node, ast.If | ast.IfExp):
        yield "condition reversed"
    elif isinstance(node, ast.Expr | ast.AugAssign | ast.Continue | ast.Raise):
        yield "statement removed"


def _is_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    return any(
        isinstance(s, ast.JoinedStr) or (isinstance(s, ast.Constant) and isinstance(s.value, str)) for s in sides
    )


def _not_code(tree: ast.Module) -> set[ast.AST]:
    """Annotations, docstrings, assertions for the type checker, names of types: nothing runs by them."""
    found: set[ast.AST] = set()
    for node in ast.walk(tree):
        dropped: list[ast.AST | None] = []
        match node:
            case ast.FunctionDef():
                dropped = [node.returns, *(arg.annotation for arg in ast.walk(node.args) if isinstance(arg, ast.arg))]
            case ast.AnnAssign():
                dropped = [node.annotation]
            case ast.ClassDef():
                dropped = list(node.keywords)
            case ast.Assert() | ast.Expr(value=ast.Constant()) | ast.If(test=ast.Name(id="TYPE_CHECKING")):
                dropped = [node]
            case ast.Assign(value=ast.BinOp(op=ast.BitOr())) | ast.Call(func=ast.Name(id="TypeVar" | "cast")):
                dropped = [node]
        found.update(each for top in dropped if top is not None for each in ast.walk(top))
    return found


def mutated(source: str, site: Site, chance: random.Random) -> tuple[str, str, str]:
    """The module with one change, and the changed code before and after."""
    tree = ast.parse(source)
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    node = next(each for place, each in enumerate(ast.walk(tree)) if place == site.place)
    shown = node
    while not isinstance(shown, ast.stmt) and shown in parents:
        shown = parents[shown]
    before = _first_line(shown)
    new = _changed(node, chance)
    _put(parents[node], node, new)
    after = _first_line(new if node is shown else shown)
    return ast.unparse(ast.fix_missing_locations(tree)) + "\n", before, after


def _changed(node: Any, chance: random.Random) -> Any:
    new = copy.copy(node)
    if isinstance(node, ast.Compare):
        new.ops = [_OTHER[type(node.ops[0])](), *node.ops[1:]]
    elif isinstance(node, ast.BoolOp | ast.BinOp):
        new.op = _OTHER[type(node.op)]()
    elif isinstance(node, ast.UnaryOp):
        new = node.operand
    elif isinstance(node, ast.Constant):
        value: Any = node.value
        new.value = not value if isinstance(value, bool) else value + chance.choice((-1, 1))
    elif isinstance(node, ast.If | ast.IfExp):
        new.test = ast.UnaryOp(ast.Not(), node.test)
    else:
        new = ast.Pass()
    return new


def _put(parent: ast.AST, old: ast.AST, new: ast.AST) -> None:
    for name, value in ast.iter_fields(parent):
        if value is old:
            setattr(parent, name, new)
        elif isinstance(value, list):
            setattr(parent, name, [new if each is old else each for each in value])


def _first_line(node: ast.AST) -> str:
    return ast.unparse(node).splitlines()[0][:160]


# -- which tests are asked --------------------------------------------------------------------------------------------


class Imports:
    """Which module imports which, in the program and in its tests, by their paths."""

    def __init__(self) -> None:
        paths = [*(ROOT / "tracker").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]
        self._known = {path.relative_to(ROOT).as_posix() for path in paths}
        self._imports = {name: set(self._imported(name)) for name in self._known}

    def _imported(self, name: str) -> Iterator[str]:
        for node in ast.walk(ast.parse((ROOT / name).read_text("utf-8"))):
            if isinstance(node, ast.Import):
                dotted = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and node.module:
                dotted = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
            else:
                continue
            for each in dotted:
                path = each.replace(".", "/")
                for place in ("", "tests/", f"{Path(name).parent.as_posix()}/"):  # a test's helpers lie beside it
                    yield from (
                        f"{place}{path}{end}" for end in (".py", "/__init__.py") if f"{place}{path}{end}" in self._known
                    )

    def steps(self, start: str, goal: str) -> int:
        """How many imports lead from one module to another; 99 when none do."""
        reached, at, steps = {start}, {start}, 0
        while at and goal not in reached:
            at = {name for each in at for name in self._imports[each]} - reached
            reached |= at
            steps += 1
        return steps if goal in reached else 99


def asked(site: Site, imports: Imports) -> list[str]:
    """The test files of the module's own package, those that import it most directly first, of these the shortest."""
    folders = [ROOT / "tests" / each for each in OWN_TESTS[site.path.split("/")[1]]]
    files = [path.relative_to(ROOT).as_posix() for folder in folders for path in folder.rglob("test_*.py")]
    near = {name: imports.steps(name, site.path) for name in files}
    chosen = [name for name in files if near[name] < 99]
    return sorted(chosen, key=lambda name: (near[name], (ROOT / name).stat().st_size))


# -- running -----------------------------------------------------------------------------------------------------------


def _pytest(tree: Path, asked: list[str], seconds: int) -> tuple[int, str]:
    """The exit code of pytest in a copy of the tree, negative when it used up its processor time; and what failed."""
    env = os.environ | {"PYTHONPATH": str(tree), "KERFCARD_TEST_DISPLAY": "null", "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "-p", "no:cacheprovider", "--tb=no", *asked],
        cwd=tree,
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1)),
        text=True,
        check=False,
    )
    failed = re.search(r"^(?:FAILED|ERROR) (.+?)(?: - .*)?$", done.stdout, re.MULTILINE)
    return done.returncode, failed[1] if failed else ""


def copied(to: Path) -> Path:
    """A copy of the tree."""
    to.mkdir()
    for name in COPIED:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, to / name, ignore=shutil.ignore_patterns("__pycache__", "*.png"))
        else:
            shutil.copy(ROOT / name, to / name)
    return to


FAILS_ANYWAY: set[str] = set()
"""Tests that fail here without any change, as some do for a root user: they are left out."""


def verdict(tree: Path, site: Site, files: list[str], options: argparse.Namespace) -> dict[str, Any]:
    """Make one change in a copy, ask the tests, and put it back."""
    path = tree / site.path
    source = path.read_text("utf-8")
    text, before, after = mutated(source, site, random.Random(f"{options.seed} {site}"))
    code, failed = 0, ""
    while files:
        left_out = [f"--deselect={name}" for name in FAILS_ANYWAY]
        try:
            path.write_text(text, "utf-8")
            code, failed = _pytest(tree, [*files, *left_out], options.seconds)
        finally:
            path.write_text(source, "utf-8")
        if not failed or failed in FAILS_ANYWAY or _pytest(tree, [failed], options.seconds)[0] == 0:
            break
        FAILS_ANYWAY.add(failed)
    noticed = "no" if code in (0, 5) else "no: out of time" if code < 0 else "yes"
    return {**site._asdict(), "before": before, "after": after, "noticed": noticed, "by": failed}


def run(options: argparse.Namespace, log: Callable[[dict[str, Any]], None], done: set[tuple[str, int]]) -> None:
    free, lock = list[Path](), threading.Lock()
    with tempfile.TemporaryDirectory(prefix="mutations") as scratch:
        free += [copied(Path(scratch) / f"tree{number}") for number in range(options.jobs)]
        first, imports = free[0], Imports()
        modules = ((first / "tracker" / package).rglob("*.py") for package in options.packages)
        everything = [site for each in modules for path in sorted(each) for site in sites(first, path)]
        chosen = random.Random(options.seed).sample(everything, min(options.count, len(everything)))
        left = [site for site in chosen if (site.path, site.place) not in done]
        print(
            f"{len(everything):,} possible changes in {', '.join(options.packages)}; {len(chosen)} are tried.",
            flush=True,
        )

        def one(site: Site) -> None:
            with lock:
                tree = free.pop()
            try:
                result = verdict(tree, site, asked(site, imports), options)
            finally:
                with lock:
                    free.append(tree)
            with lock:
                log(result)

        with ThreadPoolExecutor(options.jobs) as pool:
            list(pool.map(one, left))


def table(results: list[dict[str, Any]]) -> None:
    """How many were noticed, by package and by kind of change, and every one that wasn't."""
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
    parser.add_argument("--seconds", type=int, default=40, help="of processor time for the tests of each change")
    parser.add_argument("--packages", nargs="+", default=list(OWN_TESTS), choices=list(OWN_TESTS))
    parser.add_argument("--log", type=Path, help="keep the results here, and go on with those that it holds")
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
