"""The output of `kerfcard setups` and `kerfcard boards` at a terminal."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from kit.build_text import one_wood

from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.plan.setups import piece_by_piece_resets, plan_setups

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))
SQUARE = (
    one_wood("Shelf", "in", "pine", "eastern white pine", 'section = "1x8"', 'lengths = ["8 ft"]')
    + """\
[[parts]]
id = "board"
quantity = 3
wood = "pine"
length = 24
"""
)


def said(command: str, file: Path) -> list[str]:
    result = CliRunner().invoke(commands, [command, str(file)])
    assert result.exit_code == 0, result.output
    return result.stdout.splitlines()


def several(count: int, noun: str) -> str:
    return f"{count} {noun}" + "s" * (count != 1)


@pytest.mark.parametrize("file", SAMPLES, ids=lambda file: file.stem)
def test_how_often_the_saw_is_set_stands_beside_what_it_takes_piece_by_piece(file: Path) -> None:
    loaded = load_build(file.read_bytes())
    assert loaded.build is not None
    plan, naive = plan_setups(loaded.build), piece_by_piece_resets(loaded.build)
    *_, stop, ours, theirs = said("setups", file)
    square = naive.saw == 1
    assert ("tip to tip" in stop) is not square
    assert ("wide enough for the tip to meet it" in stop) is not square
    assert f"The saw is set {several(plan.resets.saw, 'time')}, the stop {several(plan.resets.stop, 'time')} " in ours
    settings = f"{several(naive.saw, 'saw setting')}, {several(naive.stop, 'stop setting')}"
    assert theirs == f"Piece by piece in file order: {settings}."
    assert plan.resets.saw < naive.saw or square


def test_square_pieces_need_no_word_about_tips(tmp_path: Path) -> None:
    file = tmp_path / "shelf.toml"
    file.write_text(SQUARE)
    lines = said("setups", file)
    assert not any("tip" in line for line in lines)
    assert lines[-1] == "Piece by piece in file order: 1 saw setting, 1 stop setting."
    assert "The saw is set 1 time, the stop 1 time (the least there is)." in lines


def test_rough_wood_is_ripped_once_and_not_before_it_is_jointed_and_planed() -> None:
    """Ripped before it is jointed it would have no straight edge for the fence; common practice, no source."""
    lines = said("setups", next(file for file in SAMPLES if file.stem == "bedside_tables"))
    named = [line.strip() for line in lines if line.strip().startswith("Runner") and " - " not in line]
    assert named == ["Runner 1, 2, 3, 4, 5, 6, 7, 8"] * 3, "jointed, planed, ripped, and nothing twice"
    headings = [line for line in lines if not line.startswith(" ")]
    machines = [line.partition(":")[0] for line in headings if line.startswith(("Joint:", "Plane:", "Rip:"))]
    assert machines == sorted(machines, key=["Joint", "Plane", "Rip"].index)
    assert headings[headings.index("Joint: face, then edge") - 1].startswith("Milling, once the blanks are cut")


def test_what_is_customarily_bought_over_is_said_with_its_standing(tmp_path: Path) -> None:
    """Common practice, no source."""
    file = tmp_path / "shelf.toml"
    file.write_text(SQUARE)
    (over,) = [line for line in said("boards", file) if "customary" in line]
    assert "5 to 10 % over the net wood (common practice, no source)" in over
    file.write_text(SQUARE.replace('section = "1x8"', "thickness = 1\nwidth = 8"))
    assert not any("customary" in line for line in said("boards", file))
