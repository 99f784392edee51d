"""`kerfcard wood` as run by a maker; its numbers against independent sums."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from tracker.cards.reports.wood import BY_ARITHMETIC, FREE_BOARDS
from tracker.cli.main import commands

TABLE = """[build]
name = "Table"
units = "mm"
[air]
shop = 50
home = [35, 65]
[woods.top]
species = "white oak"
thickness = 20
width = 100
lengths = ["2 m"]
price_per_metre = 10
[[parts]]
id = "board"
name = "Board"
quantity = 5
wood = "top"
length = 800
sequence = "top"
[[parts]]
id = "border"
name = "Border"
quantity = 4
wood = "top"
length = 600
width = 76
end_a = { miter = 45 }
end_b = { miter = 45 }
[[parts]]
id = "rail"
name = "Rail"
quantity = 2
wood = "top"
length = 700
width = 70
[[assemblies]]
id = "top"
name = "Top"
joins = { board = 5 }
by = "glue"
glue = "PVA, interior (white)"
[[assemblies]]
id = "frame"
name = "Frame"
joins = { border = 4 }
by = "glue"
glue = "PVA, interior (white)"
[[assemblies]]
id = "table"
name = "Table"
joins = { top = 1, rail = 2, frame = 1 }
by = "screws"
fastens = { top = { by = "slots", at = [-200, 0, 200], shank = 4.5 }, frame = { by = "screws" } }
[[loads]]
on = "rail"
weight = "50 kg"
spread = "middle"
on_edge = true
"""
C_T = 0.00365
"""White oak, FPL-GTR-190, table 13-5."""


def run(path: Path, *more: str) -> Any:
    return CliRunner().invoke(commands, ["wood", str(path), *more])


@pytest.fixture
def report(tmp_path: Path) -> dict[str, Any]:
    file = tmp_path / "table.toml"
    file.write_text(TABLE)
    result = run(file, "--json")
    assert result.exit_code == 0, result.stderr
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_the_top_moves_by_the_handbooks_coefficient(report: dict[str, Any]) -> None:
    """Wood Handbook equation 4-5 at 20 °C: 35, 50 and 65 % give 6.94, 9.27 and 12.00 %, worked by hand."""
    assert report["emc"] == pytest.approx({"shop": 9.271, "dry": 6.95, "damp": 11.996}, abs=0.02)
    top = next(each for each in report["movements"] if each["of"] == "Top")
    assert top["width_mm"] == 500
    assert top["damp_mm"] == pytest.approx(500 * C_T * (report["emc"]["damp"] - report["emc"]["shop"]), abs=0.002)
    assert top["dry_mm"] == pytest.approx(500 * C_T * (report["emc"]["dry"] - report["emc"]["shop"]), abs=0.002)
    assert top["certain"] == "read"


def test_its_slots_let_it(report: dict[str, Any]) -> None:
    outer = next(each for each in report["slots"] if each["at_mm"] == 200)
    moves = 200 * C_T * (report["emc"]["damp"] - report["emc"]["dry"])
    assert outer["length_mm"] == pytest.approx(4.5 + moves + 1.0, abs=0.002)
    middle = next(each for each in report["slots"] if each["at_mm"] == 0)
    assert middle["length_mm"] == pytest.approx(5.5)


def test_check_says_that_the_frame_is_held_solid(tmp_path: Path) -> None:
    file = tmp_path / "table.toml"
    file.write_text(TABLE.replace('by = "slots", at = [-200, 0, 200], shank = 4.5', 'by = "screws"'))
    said = CliRunner().invoke(commands, ["check", str(file)])
    assert said.exit_code == 0
    line = next(each for each in said.stdout.splitlines() if "hold it solid" in each)
    assert "Table: Top wants to move" in line


def test_its_frame_opens_at_the_mitres(report: dict[str, Any]) -> None:
    (gap,) = report["mitres"]
    strain = C_T * (report["emc"]["damp"] - report["emc"]["shop"])
    turn = abs(math.degrees(math.atan((1 + strain) * math.tan(math.radians(45)))) - 45)
    assert gap["gap_mm"] == pytest.approx(2 * 76 * math.sqrt(2) * math.sin(math.radians(turn)), abs=0.002)
    assert gap["where"] == "outside"


def test_its_rail_bends(report: dict[str, Any]) -> None:
    """W L³ / 48 E I, 12,273 MPa, 20 wide and 70 high."""
    (rail,) = report["sag"]
    assert rail["now_mm"] == pytest.approx(50 * 9.80665 * 700**3 / (48 * 12_273 * 20 * 70**3 / 12), rel=1e-3)
    assert rail["years_mm"] == pytest.approx(2 * rail["now_mm"], rel=1e-3)


def test_sentences_for_people(tmp_path: Path) -> None:
    file = tmp_path / "table.toml"
    file.write_text(TABLE)
    said = run(file).stdout
    assert "Top, 500 mm across the grain: moves 9." in said
    assert "a slot" in said
    assert "by arithmetic: try it" in said


def test_an_inch_build_reads_in_inches(tmp_path: Path) -> None:
    said = run(Path(__file__).parents[2] / "sample_projects" / "planter.toml").stdout
    assert " mm" not in said
    assert "Planter weighs 5 lb" in said


def test_a_wood_that_is_not_in_the_table_is_not_guessed_at(tmp_path: Path) -> None:
    file = tmp_path / "table.toml"
    file.write_text(TABLE.replace("white oak", "bubinga"))
    report = json.loads(run(file, "--json").stdout)
    assert report["movements"] == []
    assert any("bubinga" in note for note in report["notes"])


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ("[air]\nshop = 0", "must be more than 0 and less than 100"),
        ("[air]\nhome = [65, 35]", "the driest is damper than the dampest"),
        ("[air]\nhome = [35]", "'home' has two humidities"),
        ("[air]\ntemperature = 68", "must be a temperature with its unit"),
        ('[air]\ntemperature = "68"', "needs its unit"),
        ('[air]\ntemperature = "20C x"', "needs its unit"),
        ('[[loads]]\non = "rial"\nweight = "4 kg"', "no part is called 'rial'"),
        ('[[loads]]\non = "rail"\nweight = "0 kg"', "must be more than 0"),
        ('[[loads]]\non = "rail"\nweight = "4 kg"\nspan = 900', "the span is longer than the part"),
    ],
)
def test_what_a_person_gets_wrong_is_said_at_its_line(tmp_path: Path, wrong: str, words: str) -> None:
    file = tmp_path / "table.toml"
    bare = TABLE.replace("[air]\nshop = 50\nhome = [35, 65]\n", "").partition("[[loads]]")[0]
    file.write_text(f"{bare}{wrong}\n")
    result = run(file)
    assert result.exit_code == 1
    assert words in result.stderr
    assert int(result.stderr.split(":")[1]) > bare.count("\n")


@pytest.mark.parametrize(("home", "said"), [("[35, 65]", False), ("[10, 65]", True), ("[35, 90]", True)])
def test_air_outside_the_handbooks_range_is_said(tmp_path: Path, home: str, said: bool) -> None:
    """Wood Handbook, table 13-5: the coefficients hold from 6 to 14 % moisture content."""
    file = tmp_path / "table.toml"
    file.write_text(TABLE.replace("home = [35, 65]", f"home = {home}"))
    assert any("6 to 14 %" in note for note in json.loads(run(file, "--json").stdout)["notes"]) == said


def test_what_is_said_of_every_board_is_said(tmp_path: Path) -> None:
    file = tmp_path / "table.toml"
    file.write_text(TABLE)
    assert {FREE_BOARDS, BY_ARITHMETIC} <= set(json.loads(run(file, "--json").stdout)["notes"])
