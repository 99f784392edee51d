"""A piece with features is made of bodies, and its picture shows no seams between them: a cut at a hidden place doesn't
change the lines of the picture."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from kit.build_text import one_wood
from PIL import Image, ImageFilter

from tracker.cli.main import commands

BOARD = (
    one_wood("Board", "mm", "oak", "white oak", "thickness = 40", "width = 60", 'lengths = ["3 m"]')
    + """\
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
)


def picture_of(features: str, folder: Path) -> Image.Image:
    file, out = folder / "board.toml", folder / "board.png"
    file.write_text(BOARD.format(features=features), "utf-8")
    run = CliRunner().invoke(commands, ["picture", str(file), "--turn", "24", "--above", "24", "-o", str(out)])
    assert run.exit_code == 0, run.output
    with Image.open(out) as picture:
        return picture.convert("L")


def lines_in_one_only(one: Image.Image, two: Image.Image) -> int:
    """The number of points on lines of either picture that are more than two points from any line of the other."""

    def alone(mine: Image.Image, other: Image.Image) -> int:
        around = np.asarray(other.filter(ImageFilter.MinFilter(5))).astype(int)
        return int((around - np.asarray(mine).astype(int) > 25).sum())

    return alone(one, two) + alone(two, one)


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
    assert lines_in_one_only(picture_of("", tmp_path), picture_of(hidden, tmp_path)) < 20  # a seam has hundreds


def test_what_is_in_sight_is_outlined(tmp_path: Path) -> None:
    cut = picture_of('{ kind = "mortise", on = "near", length = 80, width = 10, depth = 30 }', tmp_path)
    assert lines_in_one_only(picture_of("", tmp_path), cut) > 400
