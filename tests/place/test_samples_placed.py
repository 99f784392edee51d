"""The samples' pieces in their places: overall sizes, contacts, and volumes as independent solids."""

from __future__ import annotations

import json
import re
from math import cos, radians, sin, tan
from pathlib import Path

import manifold3d
import numpy as np
import pytest
from click.testing import CliRunner

from tracker.cards.picture.picture import pulled_apart
from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.plan.place import Placed, Placer, extent, loose, meetings, overlaps
from tracker.plan.place.bodies import box
from tracker.plan.screws.clearance import point_to_body

SAMPLES = Path(__file__).parents[2] / "sample_projects"
INCH = 25.4
WHOLE = [
    ("planter", "planter"), ("stool", "stool"), ("hall_bench", "bench"), ("bedside_tables", "table"),
    ("trestle_table", "table"),
]  # fmt: skip


def build_of(name: str) -> Build:
    build = load_build((SAMPLES / f"{name}.toml").read_bytes()).build
    assert build is not None
    return build


def size(placed: tuple[Placed, ...]) -> list[float]:
    low, high = extent(placed)
    return [b - a for a, b in zip(low, high, strict=True)]


def test_the_stool_is_as_large_as_its_splay_makes_it() -> None:
    """260 wide and 220 deep at the seat, 425 high, legs leaning 10 and 6 degrees: trigonometry by hand."""
    wide, deep, high = size(Placer(build_of("stool")).placed("stool"))
    assert wide == pytest.approx(260 + 2 * 425 * tan(radians(10)), abs=1e-6)
    assert deep == pytest.approx(220 + 2 * 425 * tan(radians(6)), abs=1e-6)
    assert high == pytest.approx(425 + 27, abs=1e-6)


def test_the_ring_of_the_planter_is_as_wide_across_as_it_says() -> None:
    """A hexagon of 16 in across its flats; sides 7 1/4 x 3/4 that lean 10 degrees."""
    wide, deep, high = size(Placer(build_of("planter")).placed("ring"))
    lean = radians(10)
    assert deep == pytest.approx(16 * INCH, abs=1e-6)
    assert wide == pytest.approx(16 * INCH / cos(radians(30)), abs=1e-6)
    assert high == pytest.approx((7.25 * cos(lean) + 0.75 * sin(lean)) * INCH, abs=1e-6)


def test_the_bench_is_as_large_as_its_plan() -> None:
    assert size(Placer(build_of("hall_bench")).placed("bench")) == pytest.approx(
        [47 * INCH, 16 * INCH, 17.5 * INCH], abs=1e-6
    )


@pytest.mark.parametrize(("name", "whole"), WHOLE)
def test_nothing_overlaps_and_everything_touches_something(name: str, whole: str) -> None:
    placed = Placer(build_of(name)).placed(whole)
    found = meetings(placed)
    assert overlaps(found) == ()
    assert loose(placed, found) == ()


@pytest.mark.parametrize(("name", "whole"), WHOLE)
def test_every_piece_is_placed_once_under_the_number_of_its_label(name: str, whole: str) -> None:
    build = build_of(name)
    keys = [piece.key for number in range(1, build.copies + 1) for piece in Placer(build).placed(whole, number)]
    assert len(keys) == len(set(keys))
    joined = {part for each in build.assemblies for part, _ in each.joins}  # all but a jig
    parts = [part for part in build.parts if part.id in joined]
    assert sorted(keys) == sorted((part.id, n) for part in parts for n in range(1, part.quantity + 1))
    for piece in Placer(build).placed(whole):
        assert build.part(piece.part).hand(piece.number) == piece.hand


@pytest.mark.parametrize("name", ["planter", "stool"])
def test_bodies_have_the_volume_and_the_middle_of_an_independent_solid(name: str) -> None:
    """The hull of each body's corners as a solid of another library (manifold3d)."""
    for piece in Placer(build_of(name)).placed(name):
        for cell in piece.cells:
            hull = manifold3d.Manifold.hull_points(np.array(cell.points, dtype=np.float64))
            assert cell.volume == pytest.approx(hull.volume(), rel=1e-5)
            low, high = cell.box
            assert np.array(hull.bounding_box()) == pytest.approx(np.array([*low, *high]), abs=1e-3)


def test_the_command_draws_and_tells(tmp_path: Path) -> None:
    run = CliRunner()
    stool = str(SAMPLES / "stool.toml")
    report = json.loads(run.invoke(commands, ["picture", stool, "--json"]).stdout)
    whole = next(each for each in report["assemblies"] if each["id"] == "stool")
    assert whole["size_mm"] == pytest.approx([409.87793, 309.33860, 452.0], abs=1e-3)
    assert len(whole["placed"]) == 11
    assert all(len(each["corners_mm"]) == 8 for each in whole["placed"])
    png, svg = tmp_path / "stool.png", tmp_path / "frame.svg"
    assert run.invoke(commands, ["picture", stool, "-o", str(png), "--apart"]).exit_code == 0
    assert png.read_bytes().startswith(b"\x89PNG")
    assert run.invoke(commands, ["picture", stool, "frame", "-o", str(svg), "--mark", "leg:2"]).exit_code == 0
    assert svg.read_text().count("<polygon") > 10
    wrong = run.invoke(commands, ["picture", stool, "fram", "-o", str(png)])
    assert wrong.exit_code == 1
    assert "frame" in wrong.stderr


def test_the_edges_of_a_block_run_three_ways_and_a_point_within_it_is_as_deep_as_the_nearest_face() -> None:
    block = box((0.0, 0.0, 0.0), (40.0, 20.0, 10.0))
    assert len(block.edges) == 3
    assert point_to_body((20.0, 10.0, 0.5), block) == pytest.approx(-0.5)
    assert point_to_body((20.0, 10.0, 10.0), block) == pytest.approx(0.0)
    assert point_to_body((43.0, 24.0, 5.0), block) == pytest.approx(5.0), "3, 4, 5"


def test_pulled_apart_every_piece_is_half_as_far_again_from_the_middle() -> None:
    placed = Placer(build_of("stool")).placed("stool")
    before, after = (
        [np.mean([np.min(piece.points, axis=0), np.max(piece.points, axis=0)], axis=0) for piece in pieces]
        for pieces in (placed, pulled_apart(placed, 0.5))
    )
    middle = np.mean(extent(placed), axis=0)
    for was, now in zip(before, after, strict=True):
        assert now - middle == pytest.approx(1.5 * (was - middle), abs=1e-6)


def test_every_screw_says_how_deep_it_goes_into_which_piece() -> None:
    lines = CliRunner().invoke(commands, ["screws", str(SAMPLES / "stool.toml")]).output.splitlines()
    screws = [line for line in lines if " mm into " in line]
    assert len(screws) >= 12
    assert all(re.search(r"\d mm into (Leg|Seat|Rail|Stretcher)( \d)?;", line) for line in screws), screws[0]
