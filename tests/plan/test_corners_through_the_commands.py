"""Corners of any plan angle, butted ends, and tapers from any two measures, from a build file to the printed settings.

Joints: the saw of saw_model, set as `kerfcard cards --json` prints it. Butted ends: planes of the neighbour's faces
(numpy), and the butt column of compound_joints.csv.
"""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from saw_model import CORNERS, Array, about, gap, stood
from test_compound_mitre import EXACT, ROWS
from test_settings_through_the_commands import HEAD, cards, cut

SAW = "[shop]\nmax_miter = 60\nmax_bevel = 60\n"


def part(number: int, joint: str, width: float = 80, thickness: float = 20, more: str = "") -> str:
    return f"""[[parts]]
id = "p{number}"
wood = "oak"
length = 900
width = {width:.4f}
thickness = {thickness:.4f}
{more}
joint = {{ {joint} }}
"""


def butted_gap(ends: dict[str, Array], lean: float, turn: float, width: float, thickness: float) -> float:
    """The largest distance of a corner of end B from the neighbour's inner face, and of a corner of end A from the
    plane of the outer face of the neighbour at the other side, if each piece runs past the one before it."""
    here, on = stood(ends, lean, 0.0), about(2, turn)
    face = about(1, lean) @ np.array([1.0, 0.0, 0.0])  # out of the outer face
    after, before = on @ face, on.T @ face
    outer, inner = here["A"][CORNERS.index((0, 1))], here["A"][CORNERS.index((0, 0))]
    assert face @ (outer - inner) == pytest.approx(thickness, abs=1e-3)
    # Moved by s in plan, end B meets the next piece's inner face and end A the last one's outer face.
    b, a = here["B"][0], here["A"][0]
    rows = np.array([(after - face)[:2], (before - face)[:2]])
    s = np.array([*np.linalg.solve(rows, [after @ (on @ inner - b), before @ (on.T @ outer - a)]), 0.0])
    off_b = (here["B"] + s - on @ (inner + s)) @ after
    off_a = (here["A"] + s - on.T @ (outer + s)) @ before
    return float(max(abs(off_a).max(), abs(off_b).max()))


def test_corners_of_any_plan_angle_close(tmp_path: Path) -> None:
    """300 random corners cut from the printed settings and put together."""
    chance = random.Random(21)
    wanted = [(chance.uniform(20, 175), chance.uniform(0, 60)) for _ in range(300)]
    text = "".join(
        part(n, f'kind = "corner", angle = {angle}, lean = {lean}', chance.uniform(20, 300), chance.uniform(6, 60))
        for n, (angle, lean) in enumerate(wanted)
    )
    text = text.replace("length = 900", "length = 4000")  # a sharp corner of a wide piece takes much of it
    built = 0
    for card, (angle, lean) in zip(cards(tmp_path, SAW + HEAD + text), wanted, strict=True):
        ends = cut(card)
        if ends is None:
            continue
        built += 1
        one, other = stood(ends, lean, 0.0)["B"], stood(ends, lean, 180.0 - angle)["A"]
        shift = one[3] - other[3]
        assert abs(shift[2]) < 0.01
        assert gap(one, other + shift) < 0.01
    assert built > 250


@pytest.mark.parametrize(
    ("angle", "lean", "miter", "bevel"), [(85, 38, 33.896, 35.520), (135, 38, 14.306, 17.551), (90, 30, 26.565, 37.761)]
)
def test_corners_of_published_settings(tmp_path: Path, angle: float, lean: float, miter: float, bevel: float) -> None:
    """Computed independently, verified by a saw-table model; 90° at 30° is the table's ring of four."""
    (card,) = cards(tmp_path, HEAD + part(0, f'kind = "corner", angle = {angle}, lean = "{lean} deg"'))
    for end in card["ends"].values():
        assert (end["miter_deg"], end["bevel_deg"]) == pytest.approx((miter, bevel), abs=EXACT)
        assert (end["long"], end["long_face"]) == ("far", "top")


@pytest.mark.parametrize("kind", ["ring", "corner"])
def test_every_butted_row_of_the_table(tmp_path: Path, kind: str) -> None:
    """sin b = cos² a · cos 2h + sin² a; of a ring of four sin² a. Positive: longer on the inner face."""
    rows = [(int(row["N"]), float(row["tilt_from_vertical_deg"])) for row in ROWS]
    text = ""
    for number, (sides, lean) in enumerate(rows):
        turned = f"sides = {sides}" if kind == "ring" else f'angle = "= 180 - 360 / {sides}"'
        text += part(number, f'kind = "{kind}", {turned}, lean = {lean}, butted = true')
    for card, row, (sides, lean) in zip(cards(tmp_path, HEAD + text), ROWS, rows, strict=True):
        wanted = float(row["miter_from_square_deg"]), float(row["butt_bevel_from_square_deg"])
        a, turn = math.radians(lean), math.radians(360 / sides)
        inward = math.cos(a) ** 2 * math.cos(turn) + math.sin(a) ** 2
        for end in card["ends"].values():
            assert (end["miter_deg"], end["bevel_deg"]) == pytest.approx(wanted, abs=EXACT)
            if abs(inward) > 1e-9:
                assert end["long_face"] == ("bottom" if inward > 0 else "top")


def test_butted_ends_lie_in_their_neighbours_faces(tmp_path: Path) -> None:
    """300 random butted rings and corners from the printed settings; sharp ones tilt the other way."""
    chance = random.Random(22)
    wanted, text = [], ""
    for number in range(300):
        sides, lean = chance.randint(3, 8), chance.uniform(0, 40)
        angle = 180 - 360 / sides if number % 2 else chance.uniform(50, 150)
        size = chance.uniform(20, 300), chance.uniform(6, 60)
        joint = f'kind = "ring", sides = {sides}' if number % 2 else f'kind = "corner", angle = {angle}'
        text += part(number, f"{joint}, lean = {lean}, butted = true", *size)
        wanted.append((angle, lean, *size))
    faces = set()
    built = 0
    for card, (angle, lean, width, thickness) in zip(cards(tmp_path, SAW + HEAD + text), wanted, strict=True):
        ends = cut(card)
        if ends is not None:
            built += 1
            faces.add(card["ends"]["B"]["long_face"])
            assert butted_gap(ends, lean, 180 - angle, width, thickness) < 0.01
    assert built > 200
    assert faces == {"top", "bottom"}


def told(card: dict[str, Any]) -> dict[str, Any]:
    return {check["what"]: check for check in card["checks"]}


def test_what_a_gauge_reads_inside_is_the_same_mitred_and_butted(tmp_path: Path) -> None:
    """180° - 2 · bevel of the mitred joint: 180 - 2 · 34.594 of five sides leaning 15°; upright, the plan angle."""
    joints = [
        'kind = "ring", sides = 5, lean = 15', 'kind = "ring", sides = 5, lean = 15, butted = true',
        'kind = "corner", angle = 108, lean = 15, butted = true', 'kind = "corner", angle = 100',
    ]  # fmt: skip
    found = cards(tmp_path, HEAD + "".join(part(n, joint) for n, joint in enumerate(joints)))
    gauged = [told(card)["inside of every corner"]["angle_deg"] for card in found]
    assert gauged == pytest.approx([110.812] * 3 + [100], abs=EXACT)
    assert "last joint" in told(found[0])
    assert "last joint" not in told(found[1])  # what opens there is the ring's that is mitred


def test_four_corners_make_a_box(tmp_path: Path) -> None:
    """Its diagonals by Pythagoras: 900 by 900 mm."""
    text = part(0, 'kind = "corner", angle = 90').replace("wood =", "quantity = 4\nwood =")
    (card,) = cards(tmp_path, HEAD + text)
    diagonal = told(card)["both diagonals of the frame, outside"]["length_mm"]
    assert diagonal == pytest.approx(math.hypot(900, 900), abs=1e-4)


@pytest.mark.parametrize(
    "measures",
    [
        "start = 550, leave = 25", "length = 350, leave = 25", "leave = 25, angle = {angle}",
        "length = 350, angle = {angle}", "start = 550, angle = {angle}",
    ],
)  # fmt: skip
@pytest.mark.parametrize(("edges", "angle"), [("near", 3.2705), ("far", 3.2705), ("both", 1.6366)])
def test_a_taper_from_any_two_measures(tmp_path: Path, measures: str, edges: str, angle: float) -> None:
    """45 to 25 over 350 mm: 3.270° on one edge, 1.637° on each of two (plane geometry). The weight
    is that of what is left: a triangle of 20 by 350 mm is gone, or two of 10."""
    taper = f'tapers = [{{ edges = "{edges}", end = "B", {measures.format(angle=angle)} }}]'
    text = part(0, 'kind = "ring", sides = 3', 45, 20, taper).replace('joint = { kind = "ring", sides = 3 }', "")
    (card,) = cards(tmp_path, HEAD + text)
    assert told(card)["width left at end B"]["length_mm"] == pytest.approx(25, abs=0.01)
    (plain,) = cards(tmp_path, HEAD + text.replace(taper, ""))
    kept = 1 - (350 * 20 / 2) / (900 * 45)
    assert card["weight_kg"] / plain["weight_kg"] == pytest.approx(kept, abs=2e-3)
