"""Half-laps from a build file to the printed place, width, depth and shoulders, and the mistakes that are reported.

The check is plane geometry in numpy: the other piece is a strip laid across, and its edges are intersected with this
one's.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from test_settings_through_the_commands import HEAD, cards, run

from tracker.design import load_build
from tracker.design.model import Hand
from tracker.plan.feasibility import check
from tracker.plan.laps import laps_of

HANDS: tuple[Hand, Hand] = ("left", "right")


def strips(laps: str, more: str = "", other: str = "width = 40\nthickness = 20") -> str:
    return f"""{HEAD}[[parts]]
id = "strip"
wood = "oak"
length = 600
width = 50
thickness = 20
laps = [
  {laps},
]
{more}
[[parts]]
id = "other"
name = "Other"
wood = "oak"
length = 600
{other}
"""


def lap_of(folder: Path, laps: str, **changes: str) -> dict[str, Any]:
    (lap,) = cards(folder, strips(laps, **changes))[0]["laps"]
    return dict(lap)


def shoulders(card: dict[str, Any], lap: dict[str, Any], start: float, toward: float) -> list[list[np.ndarray]]:
    """The two shoulder lines as printed: from the edge along which they are measured, across the piece."""
    width = card["width_mm"]
    y, over = (0.0, width) if lap["edge"] == "near" else (width, 0.0)
    slant = width * np.tan(np.radians(lap["miter_deg"]))
    places = (lap["place_mm"], lap["place_mm"] + lap["width_mm"])
    return [
        [np.array([start + toward * at, y]), np.array([start + toward * (at + slant), over])] for at in places
    ]  # fmt: skip


def test_a_square_lap(tmp_path: Path) -> None:
    lap = lap_of(tmp_path, '{ end = "A", from_end = 100, crosses = "other" }')
    assert (lap["place_mm"], lap["width_mm"], lap["depth_mm"], lap["miter_deg"]) == (100, 40, 10, 0)
    assert lap["words"] == (
        "Half-lap for Other, top face: 100 mm from end A along the near edge, 40 mm wide, 10 mm deep, square across"
    )


def test_a_lap_at_60_degrees(tmp_path: Path) -> None:
    """40 / sin 60° = 46.188 along the edge; shoulders 30° from square. Plane geometry."""
    lap = lap_of(tmp_path, '{ end = "B", from_end = 100, crosses = "other", angle = "60 deg", face = "bottom" }')
    assert lap["width_mm"] == pytest.approx(46.188, abs=5e-4)
    assert (lap["miter_deg"], lap["face"], lap["end"]) == (30, "bottom", "B")
    assert lap["words"].endswith("shoulders 30° from square, away from end B toward the far edge")


def test_random_laps_of_both_hands_take_the_piece_that_crosses(tmp_path: Path) -> None:
    """The shoulders are as far apart as the other piece is wide and stand at the crossing angle; hands are mirrored."""
    chance = random.Random(31)
    text, wanted = HEAD, []
    for number in range(150):
        angle, other = chance.uniform(10, 90), round(chance.uniform(15, 120), 3)
        end, face = chance.choice("AB"), chance.choice(["top", "bottom"])
        text += f"""[[parts]]
id = "p{number}"
left = 1
right = 1
wood = "oak"
length = 2400
width = {chance.uniform(20, 120):.3f}
thickness = 20
laps = [{{ end = "{end}", from_end = 300, crosses = "o{number}", angle = {angle}, face = "{face}" }}]
[[parts]]
id = "o{number}"
wood = "oak"
length = 900
width = {other}
thickness = 20
"""
        wanted.append((angle, other, end))
    file = tmp_path / "laps.toml"
    file.write_text(text, encoding="utf-8")
    pieces = [card for card in run("cards", file)["pieces"] if card["laps"]]
    assert len(pieces) == 300
    for card in pieces:
        angle, other, end = wanted[int(card["part"][1:])]
        (lap,) = card["laps"]
        assert lap["edge"] == ("near" if card["hand"] == "left" else "far")
        near, far = shoulders(card, lap, *((0.0, 1.0) if end == "A" else (2400.0, -1.0)))
        along = (near[1] - near[0]) / np.linalg.norm(near[1] - near[0])
        gap = far[0] - near[0]
        assert np.linalg.norm(gap - (gap @ along) * along) == pytest.approx(other, abs=1e-3)
        assert np.degrees(np.arccos(abs(along[0]))) == pytest.approx(angle, abs=1e-3)
        assert bool(along[0] > 0) == (end == "A")  # away from its end, wherever it is measured from
        assert lap["depth_mm"] == 10


def test_it_is_in_the_checks_and_in_the_route(tmp_path: Path) -> None:
    card = cards(tmp_path, strips('{ end = "A", from_end = 100, crosses = "other" }'))[0]
    assert card["laps"][0]["words"] in [check["words"] for check in card["checks"]]
    assert card["route"] == ["cut", "rip", "shape"]


def test_a_piece_without_laps_has_none(tmp_path: Path) -> None:
    assert cards(tmp_path, strips('{ end = "A", from_end = 100, crosses = "other" }'))[1]["laps"] == []


def test_pieces_of_one_part_may_cross_and_a_lap_may_lie_at_the_very_end(tmp_path: Path) -> None:
    assert lap_of(tmp_path, '{ end = "B", from_end = 0, crosses = "strip" }')["width_mm"] == 50
    slanted = '{ end = "B", from_end = 0, crosses = "strip", angle = 75 }'
    mitred = "end_b = { miter = 15, long = 'near' }"
    assert lap_of(tmp_path, slanted, more=mitred)["miter_deg"] == 15


def test_a_right_hand_trench_is_the_mirror_image() -> None:
    slanted = '{ end = "A", from_end = 100, crosses = "other", angle = 45 }'
    made = load_build(strips(slanted, more="left = 1\nright = 1")).build
    assert made is not None
    left, right = (laps_of(made, made.part("strip"), hand)[0].shoulders for hand in HANDS)
    assert left[0] == pytest.approx((100, 150))
    assert left[1] == pytest.approx((100 + 40 * np.sqrt(2), 150 + 40 * np.sqrt(2)))
    assert right == tuple((far, near) for near, far in left)


LINE = 16


@pytest.mark.parametrize(
    ("laps", "line", "what"),
    [
        ('{ end = "A", from_end = 100, crosses = "othr" }', LINE, "no part is called 'othr'"),
        ('{ end = "A", from_end = 100 }', LINE, "'crosses' is missing"),
        ('{ from_end = 100, crosses = "other" }', LINE, "'end' is missing"),
        ('{ end = "A", crosses = "other" }', LINE, "'from_end' is missing"),
        ('{ end = "A", from_end = 100, crosses = "other", angle = 91 }', LINE, "must be from 10 to 90 degrees"),
        ('{ end = "A", from_end = 100, crosses = "other", fase = "top" }', LINE, "'fase' is not known here"),
        ('{ end = "A", from_end = 570, crosses = "other" }', LINE, "the lap runs off the piece"),
        ('{ end = "B", from_end = 540, crosses = "other", angle = 45 }', LINE, "the lap runs off the piece"),
        (
            '{ end = "A", from_end = 100, crosses = "other" },\n'
            '  { end = "B", from_end = 470, crosses = "other", face = "bottom" }',
            LINE + 1, "the lap runs into another",
        ),
        (
            '{ end = "A", from_end = 100, crosses = "other", angle = 30 },\n'
            '  { end = "B", from_end = 360, crosses = "other", angle = 30 }',
            LINE + 1, "the lap runs into another",
        ),
    ],
)  # fmt: skip
def test_each_mistake_is_told_at_its_line(laps: str, line: int, what: str) -> None:
    loaded = load_build(strips(laps))
    found = (*loaded.problems, *(check(loaded.build) if loaded.build else ()))
    (problem,) = [each for each in found if each.kind == "problem"]
    assert problem.line == line
    assert what in problem.what


def test_laps_side_by_side_and_pieces_of_another_thickness() -> None:
    two = '{ end = "A", from_end = 100, crosses = "other" },\n  { end = "A", from_end = 140, crosses = "other" }'
    beside = load_build(strips(two)).build
    assert beside is not None
    assert check(beside) == ()
    thin = load_build(
        strips('{ end = "A", from_end = 100, crosses = "other" }', other="width = 40\nthickness = 18")
    ).build
    assert thin is not None
    (problem,) = check(thin)
    assert (problem.line, problem.kind) == (LINE, "problem")
    assert "one thickness, and Other is 18 mm thick" in problem.what
