"""Old files and old logs keep their meaning: every card of the samples, and the work in every released log.

`kept_cards.json` was written by the version of 2026-11-30, before parts had features of their own, from the samples of
that day:

    python tests/samples/test_kept_cards.py

Words may be improved and reports may gain keys; no number, angle, place, route, code or state may change.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from tracker.cli.main import commands
from tracker.shop import Shop
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.prerequisites import next_step
from tracker.work.misfits import misfits
from tracker.work.revision import is_revised

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
KEPT = HERE / "kept_cards.json"
FILES = {
    **{f"earlier/{name}": HERE / "earlier" / f"{name}.toml" for name in ("hall_bench", "planter", "stool")},
    **{name: HERE / "kept" / f"{name}.toml" for name in ("hall_bench", "planter", "stool")},
}
LOGS = sorted((ROOT / "tests" / "store" / "released").glob("*.db"))
NOW = datetime(2026, 12, 1, 8, 0, tzinfo=UTC)
WORDS = frozenset({"words", "checks", "marking", "note", "notes", "warning", "name"})
"""The keys whose words may be improved."""
PIECE = [
    "part", "piece", "of", "hand", "code", "length_mm", "length", "left_over_mm", "measured", "width_mm",
    "thickness_mm", "blank", "ends", "edges_mm", "laps", "weight_kg", "route", "goes_into", "cuts", "blank_cut", "rip",
    "tapers", "holes", "joints",
]  # fmt: skip
ASSEMBLY = [
    "assembly", "number", "of", "code", "joins", "members", "goes_into", "by", "clamps", "glue", "finish", "prove",
    "route",
]  # fmt: skip
"""The keys that a card had then, except its words."""


def plain(value: Any) -> Any:
    """A report without its words, with numbers rounded to what a file can set."""
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items() if key not in WORDS}
    if isinstance(value, list):
        return [plain(each) for each in value]
    return round(value, 5) + 0.0 if isinstance(value, float) else value


def stamp(value: Any) -> str:
    return hashlib.sha256(json.dumps(plain(value), sort_keys=True).encode()).hexdigest()[:16]


def cards_of(file: Path) -> dict[str, str]:
    """The hash of every card, by its item."""
    result = CliRunner().invoke(commands, ["cards", str(file), "--json"])
    assert result.exit_code == 0, result.output
    report = json.loads(result.stdout)
    pieces = {f"{each['part']}:{each['piece']}": stamp([each[key] for key in PIECE]) for each in report["pieces"]}
    return pieces | {
        f"{each['assembly']}:{each['number']}": stamp([each[key] for key in ASSEMBLY]) for each in report["assemblies"]
    }


def state_of(log: Path, home: Path) -> dict[str, list[Any]]:
    """The state of every item of the planter: the steps done, the next one, and the misfits."""
    shutil.copy(log, home / "kerfcard.db")
    shop = Shop(home, lambda: Now(NOW, "a later boot", 100.0))
    try:
        assert shop.open(HERE / "kept" / "planter.toml") == ()
        run = shop.run
        assert run is not None
        found: dict[str, list[Any]] = {"": [run.digest, is_revised(run, shop.state)]}
        for item in run.items.values():
            step = next_step(run, shop.state, item)
            wrong = [each.what for each in misfits(run, shop.state, item)]
            found[item.key] = [sorted(shop.state.steps(run, item)), step.id if step else "", wrong]
        return found
    finally:
        shop.close()


@pytest.mark.parametrize("name", FILES)
def test_the_cards_of_a_file_are_what_they_were(name: str) -> None:
    assert cards_of(FILES[name]) == json.loads(KEPT.read_text("utf-8"))["cards"][name]


@pytest.mark.parametrize("log", LOGS, ids=lambda log: log.stem)
def test_the_work_in_a_released_log_stands_where_it_stood(log: Path, tmp_path: Path) -> None:
    kept = json.loads(KEPT.read_text("utf-8"))["logs"]
    if log.stem not in kept:  # a log of a later version has its own test in tests/store
        pytest.skip("written since")
    assert state_of(log, tmp_path) == kept[log.stem]


def keep() -> None:
    import tempfile

    if KEPT.exists():
        sys.exit(f"{KEPT} is kept as it is")
    logs = {}
    for log in LOGS:
        with tempfile.TemporaryDirectory() as home:
            logs[log.stem] = state_of(log, Path(home))
    cards = {name: cards_of(file) for name, file in FILES.items()}
    KEPT.write_text(json.dumps({"cards": cards, "logs": logs}, indent=0) + "\n", encoding="utf-8")


if __name__ == "__main__":
    keep()
