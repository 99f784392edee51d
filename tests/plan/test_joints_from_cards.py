"""Four joints put together from the cards with another library's solids (manifold3d): they meet within 0.01 mm.

The check reads only `cards --json`: sizes, and each feature's kind, side and numbers.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from click.testing import CliRunner
from kit.build_text import one_wood
from plan.feature_judge import Board, brick

from tracker.cli.main import commands

OFF = 0.01
HEAD = (
    one_wood("Joints", "mm", "oak", "white oak", "thickness = 22", "width = 60", 'lengths = ["3 m"]')
    + """\
[woods.wide]
species = "white oak"
thickness = 18
width = 400
lengths = ["3 m"]
"""
)
FILE = f"""{HEAD}
[[parts]]
id = "stile"
wood = "oak"
length = 700
features = [
  {{ kind = "mortise", on = "near", from = {{ A = 10 }}, length = 40, width = 8, depth = 32 }},
  {{ kind = "groove", on = "far", from = {{ bottom = 6 }}, width = 9, depth = 10 }},
]
[[parts]]
id = "rail"
wood = "oak"
length = 400
features = [{{ kind = "tenon", on = "A", fits = "stile.mortise 1" }}]
[[parts]]
id = "side"
wood = "wide"
length = 900
width = 250
features = [{{ kind = "housing", on = "top", from = {{ A = 300 }}, width = 18, depth = 6 }}]
[[parts]]
id = "shelf"
wood = "wide"
length = 600
width = 250
[[parts]]
id = "panel"
wood = "wide"
length = 500
width = 300
features = [{{ kind = "rabbet", on = "top", edge = "near", width = 10, depth = 9 }}]
[[parts]]
id = "post"
wood = "oak"
length = 500
features = [
  {{ kind = "bolt", on = "far", from = {{ A = 200 }}, diameter = 8, through = true, head = 20, head_depth = 9 }},
]
[[parts]]
id = "bed-rail"
wood = "oak"
length = 900
features = [{{ kind = "bore", on = "A", from = {{ near = 30 }}, diameter = 8, depth = 70 }}]
"""
NUMBERS = {"hole depth": "hole_depth"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, m3.Manifold]:
    """Every piece as made from its card."""
    file: Path = tmp_path_factory.mktemp("cards") / "joints.toml"
    file.write_text(FILE, "utf-8")
    result = CliRunner().invoke(commands, ["cards", str(file), "--json"])
    assert result.exit_code == 0, result.output
    return {piece["part"]: _piece(piece) for piece in json.loads(result.stdout)["pieces"]}


def _piece(card: dict[str, Any]) -> m3.Manifold:
    rows = []
    for feature in card["features"]:
        numbers = feature["numbers_mm"]
        row: dict[str, Any] = {"kind": feature["kind"], "on": feature["on"], "through": feature["through"]}
        row["from"] = {name.removeprefix("from "): mm for name, mm in numbers.items() if name.startswith("from ")}
        row |= {NUMBERS.get(name, name): mm for name, mm in numbers.items() if not name.startswith("from ")}
        if feature["kind"] == "bolt":  # its wide hole and the narrow one below it
            row |= {"head": row["diameter"], "head_depth": row["depth"], "diameter": row["hole"]}
        if feature["kind"] == "rabbet":
            row["edge"] = "near" if "near edge" in feature["words"] else "far"
        rows.append(row)
    tenons = sum(row["length"] for row in rows if row["kind"] == "tenon")
    assert tenons == 0 or card["shoulders_mm"] == pytest.approx(card["length_mm"] - tenons)
    return Board(card["length_mm"] - tenons, card["width_mm"], card["thickness_mm"], 0.0, rows).left()


def turned(piece: m3.Manifold, x: tuple[int, int, int], y: tuple[int, int, int]) -> m3.Manifold:
    """The piece turned so that its length and width point in these directions."""
    columns = np.array([x, y, np.cross(x, y)], dtype=np.float64).T
    return piece.transform(np.hstack([columns, np.zeros((3, 1))]))


def meets(one: m3.Manifold, two: m3.Manifold, ways: list[tuple[float, float, float]]) -> None:
    """The pieces don't overlap, but would if moved by 0.01 mm in any of these directions."""
    assert (one ^ two).volume() < 1e-6
    for way in ways:
        moved = two.translate(tuple(OFF * each for each in way))
        assert (one ^ moved).volume() > 1e-4, way


def test_a_tenon_in_its_mortise(made: dict[str, m3.Manifold]) -> None:
    """The rail comes at the stile's near edge, end A first: its length runs toward -y, its near edge toward end A."""
    rail = turned(made["rail"], (0, -1, 0), (1, 0, 0)).translate((0, 32, 0))
    meets(made["stile"], rail, [(0, 1, 0), (0, 0, 1), (0, 0, -1), (1, 0, 0), (-1, 0, 0)])


def test_a_shelf_in_its_housing(made: dict[str, m3.Manifold]) -> None:
    shelf = turned(made["shelf"], (0, 0, 1), (0, 1, 0))
    low = shelf.bounding_box()
    shelf = shelf.translate((300 - low[0], -low[1], 18 - 6 - low[2]))
    meets(made["side"], shelf, [(0, 0, -1), (1, 0, 0), (-1, 0, 0)])


def test_a_panel_in_its_groove(made: dict[str, m3.Manifold]) -> None:
    """The stile's groove is in its far edge; the panel's tongue, 9 mm thick, is at its near edge, below."""
    panel = made["panel"].translate((100, 50, 6))
    meets(made["stile"], panel, [(0, -1, 0), (0, 0, 1), (0, 0, -1)])


def test_a_bolt_through_a_post_into_a_rail(made: dict[str, m3.Manifold]) -> None:
    """The rail's end A is against the post's near edge: one bolt goes through both."""
    rail = turned(made["bed-rail"], (0, -1, 0), (1, 0, 0))
    low = rail.bounding_box()
    rail = rail.translate((170 - low[0], -low[4], -low[2]))
    for wide, clear in ((8 - OFF, True), (8 + OFF, False)):
        pin = m3.Manifold.cylinder(110, wide / 2, wide / 2, 512).rotate((90, 0, 0)).translate((200, 51, 11))
        assert ((made["post"] ^ pin).volume() < 1e-6) is clear
        inside = pin ^ brick(0, -69, 0, 500, 0, 22)
        assert ((rail ^ inside).volume() < 1e-6) is clear
