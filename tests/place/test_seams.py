"""A piece with features is made of bodies, and its picture shows none of the seams between them: only edges that are
there. Lines of the SVG are put together by another library (shapely)."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from tracker.cli.main import commands

BOARD = """[build]
name = "Board"
units = "mm"
[woods.oak]
species = "white oak"
thickness = 40
width = 60
lengths = ["3 m"]
[[parts]]
id = "board"
wood = "oak"
length = 300
features = [{features}]
[[parts]]
id = "other"
wood = "oak"
length = 300
[[assemblies]]
id = "pair"
joins = {{ board = 1, other = 1 }}
by = "dry"
size = [300, 60, 120]
place = [
  {{ part = "board", at = {{ bottom = 0 }} }},
  {{ part = "other", at = {{ bottom = 80 }} }},
]
"""


def lines_of(features: str, folder: Path) -> BaseGeometry:
    file, out = folder / "board.toml", folder / "board.svg"
    file.write_text(BOARD.format(features=features), "utf-8")
    run = CliRunner().invoke(commands, ["picture", str(file), "--turn", "24", "--above", "24", "-o", str(out)])
    assert run.exit_code == 0, run.output
    found = []
    for path in re.findall(r'<path d="([^"]+)"', out.read_text("utf-8")):
        for x0, y0, x1, y1 in re.findall(r"M([-\d.]+),([-\d.]+) L([-\d.]+),([-\d.]+)", path):
            found.append(LineString([(float(x0), float(y0)), (float(x1), float(y1))]))
    return unary_union(found)


@pytest.mark.parametrize(
    "hidden",
    [
        '{ kind = "mortise", on = "far", length = 80, width = 10, depth = 30 }',
        '{ kind = "groove", on = "bottom", width = 10, depth = 12, stop = { A = 40, B = 60 } }',
        '{ kind = "mortise", on = "far", from = { A = 20 }, length = 80, width = 10, depth = 30 }, '
        '{ kind = "groove", on = "far", width = 10, depth = 8, stop = { A = 100, B = 40 } }',
    ],
)
def test_what_is_cut_out_of_sight_leaves_the_picture_as_it_was(hidden: str, tmp_path: Path) -> None:
    plain, cut = lines_of("", tmp_path), lines_of(hidden, tmp_path)
    assert cut.hausdorff_distance(plain) < 0.05  # points of the picture are rounded to 0.01
    assert cut.length == pytest.approx(plain.length, rel=1e-3)


def test_what_is_in_sight_is_outlined(tmp_path: Path) -> None:
    plain = lines_of("", tmp_path)
    cut = lines_of('{ kind = "mortise", on = "near", length = 80, width = 10, depth = 30 }', tmp_path)
    assert cut.length > plain.length + 2 * 80
