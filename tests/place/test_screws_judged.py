"""Screws against independent checks: meshes, every subset of the marks, trigonometry by hand."""

from __future__ import annotations

import itertools
import json
import random
from math import cos, radians, sin, tan
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.place.mesh_clearances import count as judged_clearances
from tests.place.mesh_joints import count
from tracker.cli.main import commands
from tracker.plan.pocket_holes import pocket, pocket_entry
from tracker.plan.screws import choose

SAMPLES = Path(__file__).parents[2] / "sample_projects"
INCH = 25.4


def test_screws_that_are_placed_are_clear_of_everything_by_a_mesh(tmp_path: Path) -> None:
    """Two joints in one leg; `python -m tests.place.mesh_joints 1300` is the whole count."""
    found = count(3, 23, tmp_path)
    assert found.broken == ()
    assert found.wrong == ()
    assert found.both >= 2
    assert all(each > -0.01 for each in found.over), "ours is a lower bound"


def test_no_clearance_is_more_than_that_of_meshes() -> None:
    """Screws at random, with hollows and curves; `python -m tests.place.mesh_clearances 2000` counts more."""
    found = judged_clearances(40, 7)
    assert found.too_kind == ()
    assert found.clear >= 10


@pytest.mark.parametrize(
    ("thickness", "seat", "screw", "goes_in", "square", "sideways"),
    [
        (12.7, 6.8, 25.4, 18.6, 18.0, 4.8),
        (19.05, 15.2, 31.75, 16.5, 15.9, 4.3),
        (25.4, 20.3, 38.1, 17.8, 17.2, 4.6),
        (38.1, 30.5, 63.5, 33.0, 31.9, 8.5),
    ],
)
def test_pockets_by_thickness(
    thickness: float, seat: float, screw: float, goes_in: float, square: float, sideways: float,
) -> None:  # fmt: skip
    """The axis leaves the end at mid-thickness at 15 degrees; a bore of 9.5 mm, the seat 0.8 of the thickness from the
    end or as far as its edge stays in the wood: worked by hand (common practice for the seat)."""
    made = pocket(thickness)
    assert pocket_entry(thickness) == pytest.approx(thickness / 2 / tan(radians(15)))
    assert made.seat == pytest.approx(seat, abs=0.06)
    assert screw - made.seat == pytest.approx(goes_in, abs=0.06)
    assert (screw - made.seat) * cos(radians(15)) == pytest.approx(square, abs=0.06)
    assert (screw - made.seat) * sin(radians(15)) == pytest.approx(sideways, abs=0.06)


def test_the_choice_of_marks_is_the_best_of_every_subset() -> None:
    """`python -m tests.place.test_screws_judged 3000` tries more."""
    assert worse_choices(400, 3) == 0


def worse_choices(cases: int, seed: int) -> int:
    chance = random.Random(seed)
    worse = 0
    for _ in range(cases):
        marks = chance.randint(2, 11)
        places = sorted(chance.sample(range(200), marks))
        values = [round(chance.uniform(-5, 30), 2) for _ in places]
        wanted, spacing, thick = chance.randint(1, min(4, marks)), chance.uniform(0, 60), chance.uniform(2, 12)
        best = None
        for subset in itertools.combinations(range(marks), wanted):
            gaps = [places[b] - places[a] for a, b in itertools.pairwise(subset)]
            if all(gap >= spacing for gap in gaps):
                value = min([*(values[at] for at in subset), *(gap - thick for gap in gaps)])
                best = value if best is None else max(best, value)
        got = choose(values, [float(each) for each in places], wanted, spacing, thick)
        if got is None or best is None:
            worse += (got is None) != (best is None)
            continue
        gaps = [places[b] - places[a] for a, b in itertools.pairwise(got.marks)]
        value = min([*(values[at] for at in got.marks), *(gap - thick for gap in gaps)])
        worse += (
            abs(value - best) > 1e-6 or abs(got.clearance - value) > 1e-6 or any(gap < spacing - 1e-6 for gap in gaps)
        )
    return worse


def test_the_bench_as_its_plan_has_it() -> None:
    """By hand: stock of 3/4 in, its pocket's seat 0.8 x 3/4 in from the end, a screw of 1 1/4 in and No. 8 (0.164 in)
    goes in square to the joint by (1 1/4 - 0.6) cos 15, and is a half thread thick."""
    report = json.loads(CliRunner().invoke(commands, ["screws", str(SAMPLES / "hall_bench.toml"), "--json"]).stdout)
    assert len(report) == 28
    in_apron = 0.65 * INCH * cos(radians(15)) + 0.082 * INCH * sin(radians(15))
    bearers = [each for each in report if each["part"] == "bearer"]
    assert {each["enters"] for each in bearers} == {"long-apron:1", "long-apron:2"}
    for each in bearers:
        assert each["clearance_mm"] == pytest.approx(0.75 * INCH - in_apron, abs=1e-3)
        assert each["nearest"].startswith("its thread and the top face of Long apron")
        assert each["goes_in_mm"] == pytest.approx(0.65 * INCH)
        assert each["from_end_mm"] == pytest.approx(0.375 * INCH / tan(radians(15)))
    for each in (each for each in report if each["part"] == "short-apron"):
        in_leg = 0.65 * INCH * sin(radians(15)) + 0.082 * INCH * cos(radians(15))
        assert each["clearance_mm"] == pytest.approx((0.375 * INCH) - in_leg, abs=1e-3)


if __name__ == "__main__":
    import sys

    cases = int(sys.argv[1])
    print(f"choose against every subset: {cases} cases, {worse_choices(cases, 3)} differ")
