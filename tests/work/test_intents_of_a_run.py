"""A tap is recorded only in the run for which it was made."""

from __future__ import annotations

import ast
import inspect
from pathlib import Path

import pytest
from msgspec.structs import replace
from one_tablet import Bench, towel_frame

from tracker.work.decide import intents
from tracker.work.decide.decide import Intent, Refusal, decide
from tracker.work.decide.intents import Do, Note, OfRun, SetAir, Spoil

DECIDE = Path(__file__).parents[2] / "tracker" / "work" / "decide"
"""Exempt: an intent that `decide` makes of one for several items belongs to the run given to `decide`."""
TRACKER = Path(__file__).parents[2] / "tracker"
INTENTS = {name for name, each in inspect.getmembers(intents, inspect.isclass) if issubclass(each, OfRun)} - {"OfRun"}


def made(module: Path) -> list[tuple[int, str, bool]]:
    """The line, the name, and whether the run is given, of each intent that a module makes."""
    text = module.read_text(encoding="utf-8")
    if "tracker.work.decide" not in text:
        return []
    tree = ast.parse(text)
    names = {
        alias.asname or alias.name: alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("tracker.work.decide")
        for alias in node.names
        if alias.name in INTENTS
    }
    return [
        (node.lineno, node.func.id, any(keyword.arg == "run" for keyword in node.keywords))
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names
    ]


@pytest.mark.parametrize(
    "intent", [Do("rail:1", "cut"), Note("rail:1", "a knot"), Spoil("rail:1", "Split"), SetAir(20.0, 50.0)]
)
def test_an_intent_is_refused_for_any_other_run_than_its_own(intent: Intent) -> None:
    bench = Bench(towel_frame())
    bench.do(Do("rail:2", "cut"))
    meant_for_another = decide(bench.run, bench.state, replace(intent, run="Hall stand#1"), bench.now)
    assert isinstance(meant_for_another, Refusal)
    assert "Hall stand" in meant_for_another.reason
    assert not meant_for_another.overridable
    for run in ("", bench.run.name):
        bench = Bench(towel_frame())
        if isinstance(intent, Spoil):
            bench.do(Do("rail:1", "cut"))
        assert not isinstance(decide(bench.run, bench.state, replace(intent, run=run), bench.now), Refusal)


def test_every_intent_that_is_made_for_a_tap_says_its_run() -> None:
    found = {
        path.relative_to(TRACKER): made(path) for path in sorted(TRACKER.rglob("*.py")) if DECIDE not in path.parents
    }
    assert sum(map(len, found.values())) > 30, "the search finds them"
    silent = [f"{path}:{line} {name}" for path, all_ in found.items() for line, name, says in all_ if not says]
    assert not silent
