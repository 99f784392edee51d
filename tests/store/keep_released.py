"""Stores a log as this version writes it, with a fact of every kind; run once for each release.

    python tests/store/keep_released.py

writes `released/schema-NNNN.db` and its contents as `released/schema-NNNN.json`, and doesn't overwrite files. From then
on `test_released.py` opens every one of them.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tracker.shop import Shop
from tracker.store.schema import VERSION
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Do
from tracker.work.facts import (
    Air,
    Answered,
    BoardsPlanned,
    Checked,
    CheckedIn,
    ClockConfirmed,
    Defect,
    Done,
    Fact,
    GivenBack,
    Labelled,
    Measured,
    MoistureRead,
    Noted,
    Overruled,
    PlannedBoard,
    PlannedCut,
    Proven,
    Racked,
    Resumed,
    SetAside,
    Spoiled,
    Swapped,
    Undone,
    Unknown,
    Wait,
    to_data,
)

SAMPLE = Path(__file__).resolve().parents[2] / "sample_projects" / "planter.toml"
BOOT = "5f0c7b1e-0000-4000-8000-000000000001"
TABLET = "5a31c0de"


class Clock:
    """A clock that is half a minute later at each reading."""

    def __init__(self) -> None:
        self.looks = 0

    def __call__(self) -> Now:
        self.looks += 1
        passed = 30.0 * self.looks
        return Now(datetime(2026, 11, 25, 8, 0, tzinfo=UTC) + timedelta(seconds=passed), BOOT, 1000.0 + passed)


def others(run: str) -> Iterator[Fact]:
    """A fact of every kind that isn't made by tapping through a build."""
    wait = Wait("cure", 86_400, BOOT, 5000.5, 3600, 0, "default: PVA, interior (white); the label governs", 18.5, 45.0)
    cut = PlannedCut("side:1", 6400, 192_000, 320, 28_800, True)
    yield Done(run, "side:2", "sand 120", answers=((TABLET, 2),), board="cedar/1", at=320, to=(("length", "600 mm"),))
    yield Done(run, "ring:1", "unclamp", anyway="the label says 30 min", against="In clamps", wait=wait, early=900,
               late=30, unchecked=("dry fit",))  # fmt: skip
    yield Answered(TABLET, 3)
    yield Labelled(run, ("side:1", "side:2"))
    yield Measured(run, "side:1", "length", 192_000, 191_840)
    yield Spoiled(run, "side:2", "split at the end")
    yield SetAside(run, "side:1", "knot near ½″ of end B")
    yield Resumed(run, "side:1")
    yield Swapped(run, "side:1", "side:2")
    yield Noted(run, "side:1", "keep the cup outside")
    yield Checked(run, "ring:1", "clamps")
    yield CheckedIn(run, "ring:1", "side:1")
    yield Air(18.5, 45.0)
    yield Overruled(run, "ring:1", "clamp", 1800, "the bottle says 30 min")
    yield Proven(run, "ring:1", "square", True, "1 mm over the diagonals", "me")
    yield ClockConfirmed(BOOT, 6000.25)
    yield BoardsPlanned(run, (PlannedBoard("cedar/1", "cedar", "dealer", 780_288, (cut,)),))
    yield Racked(run, "K7", "cedar", 160_000, "cedar/1")
    yield Racked(run, "R2", "cedar", 480_000, width=64_000, thickness=8_000, defects=(Defect(0, 9600, "far", 3200),),
                 price="18.50", rough_ends=True)  # fmt: skip
    yield GivenBack(run, "R2")
    yield MoistureRead(run, "side:1", 9.5)
    yield Unknown("polished", {"run": run, "times": 3, "with": ["wax", "cloth ½″"]})


def work(home: Path) -> list[list[object]]:
    """Do a build, and append the other facts; returns the contents of the log."""
    shop = Shop(home, Clock())
    shop.tablet = shop.settings["tablet"] = TABLET
    shop.open(SAMPLE)
    run = shop.run
    assert run is not None
    for piece in run.pieces:
        for step in piece.route:
            if shop.do(Do(piece.key, step.id)) is not None:
                shop.do(Do(piece.key, step.id, "checked by hand"))
    log = shop._log
    now = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
    log.append(TABLET, now, others(run.name))
    log.append(TABLET, now, [Undone(TABLET, log.seen[TABLET])])
    log.append("b0b0b0b0", now, [Done(run.name, "cleat:1", "cut")])
    shop.beat()
    shop.settings["build file"] = SAMPLE.name  # a path of this machine must not be published
    log.db.execute("VACUUM")
    said = [
        [entry.tablet, entry.count, dict(entry.seen), entry.at.isoformat(), *to_data(entry.fact)]
        for entry in log.entries()
    ]
    shop.close()
    return said


def main() -> int:
    to = Path(__file__).parent / "released" / f"schema-{VERSION:04}.db"
    if to.exists():
        print(f"{to.name} is kept already; what was released is never written again", file=sys.stderr)
        return 1
    with tempfile.TemporaryDirectory() as folder:
        said = work(Path(folder))
        to.write_bytes((Path(folder) / "kerfcard.db").read_bytes())
    lines = ",\n".join(json.dumps(each, ensure_ascii=False) for each in said)
    to.with_suffix(".json").write_text(f"[\n{lines}\n]\n", "utf-8")
    print(f"{to.name}: {len(said)} entries")
    return 0


if __name__ == "__main__":
    sys.exit(main())
