"""Joints cut only from the output of `kerfcard cards --json` and `kerfcard setups --json` close.

Angles: planes of neighbouring faces in linear algebra (numpy). Joints: the saw of saw_model, set as printed.
"""

from __future__ import annotations

import json
import os
import random
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from kit.build_text import one_wood
from saw_model import Array, about, piece, ring_gap
from test_compound_mitre import EXACT, ROWS, by_planes

from tracker.cli.main import commands

HEAD = one_wood("Rings", "mm", "oak", "white oak", "thickness = 60", "width = 400", "lengths = [6000]")
LEANS = range(0, 61, 4)
COUNT = int(os.environ.get("KERFCARD_RINGS", "80"))
"""The numbers of random rings and of random pairs of legs; also run with 250 and more."""
SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))


@dataclass(frozen=True)
class Saw:
    miter_deg: float
    bevel_deg: float
    swing: str
    tilt: str
    up: str
    fence: str
    piece: str
    possible: bool
    note: str


def run(command: str, file: Path) -> Any:
    result = CliRunner().invoke(commands, [command, str(file), "--json"])
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def cards(folder: Path, text: str) -> list[dict[str, Any]]:
    """The first piece of every part, as the command prints it."""
    file = folder / "build.toml"
    file.write_text(text, encoding="utf-8")
    pieces = run("cards", file)["pieces"]
    return [printed for printed in pieces if printed["piece"] == 1]


def cut(card: dict[str, Any]) -> dict[str, Array] | None:
    a, b = (Saw(**card["ends"][end]["saw"]) for end in "AB")
    if not (a.possible and b.possible):
        return None
    return piece(a, b, card["edges_mm"]["overall"], card["width_mm"], card["thickness_mm"])


def ring_part(number: int, sides: int, lean: float, length: float, width: float, thickness: float) -> str:
    return f"""[[parts]]
id = "p{number}"
quantity = {sides}
wood = "oak"
length = {length:.4f}
width = {width:.4f}
thickness = {thickness:.4f}
joint = {{ kind = "ring", sides = {sides}, lean = {lean} }}
"""


def test_rings_of_3_to_16_leaning_0_to_60(tmp_path: Path) -> None:
    """Every row of the table and the rows between: 224 rings through the command, to 0.001°."""
    wanted = [(sides, float(lean)) for sides in range(3, 17) for lean in LEANS]
    text = HEAD + "".join(ring_part(n, *ring, 900, 80, 20) for n, ring in enumerate(wanted))
    found = cards(tmp_path, text)
    assert len(found) == len(wanted)
    for card, (sides, lean) in zip(found, wanted, strict=True):
        for end in card["ends"].values():
            assert (end["miter_deg"], end["bevel_deg"]) == pytest.approx(by_planes(sides, lean), abs=EXACT)
            assert (end["long"], end["long_face"]) == ("far", "top")


def test_every_row_of_the_table_through_the_command(tmp_path: Path) -> None:
    rows = [(int(row["N"]), float(row["tilt_from_vertical_deg"])) for row in ROWS]
    found = cards(tmp_path, HEAD + "".join(ring_part(n, *ring, 900, 80, 20) for n, ring in enumerate(rows)))
    for card, row in zip(found, ROWS, strict=True):
        wanted = float(row["miter_from_square_deg"]), float(row["bevel_from_square_deg"])
        for end in card["ends"].values():
            assert (end["miter_deg"], end["bevel_deg"]) == pytest.approx(wanted, abs=EXACT)
            if end["saw"]["note"].startswith(("top", "bottom")):
                assert (end["saw"]["miter_deg"], end["saw"]["bevel_deg"]) == pytest.approx(wanted, abs=EXACT)


def test_random_rings_close_within_a_hundredth_of_a_millimetre(tmp_path: Path) -> None:
    chance = random.Random(11)
    rings = []
    for number in range(COUNT):
        sides, width, thickness = chance.randint(3, 16), chance.uniform(20, 300), chance.uniform(6, 60)
        length = 2 * width * np.tan(np.pi / sides) + thickness * 4 + chance.uniform(20, 900)
        rings.append((number, sides, round(chance.uniform(0, 60), 3), length, width, thickness))
    built = 0
    for card, (_, sides, lean, *_) in zip(
        cards(tmp_path, HEAD + "".join(ring_part(*ring) for ring in rings)), rings, strict=True
    ):
        ends = cut(card)
        if ends is not None:
            built += 1
            assert ring_gap(ends, sides, lean) < 0.01
    assert built > 0.8 * COUNT


def test_random_splayed_legs_of_both_hands_stand_flat(tmp_path: Path) -> None:
    chance = random.Random(12)
    legs, text = [], HEAD
    for number in range(COUNT):
        front, side, height = (round(chance.uniform(*span), 3) for span in ((0.5, 35), (0.5, 35), (150, 800)))
        legs.append((front, side, height))
        text += f"""[[parts]]
id = "p{number}"
left = 1
right = 1
wood = "oak"
width = 40
thickness = 40
joint = {{ kind = "splayed leg", height = {height}, front = {front}, side = {side} }}
"""
    file = tmp_path / "legs.toml"
    file.write_text(text, encoding="utf-8")
    pieces = run("cards", file)["pieces"]
    assert len(pieces) == 2 * COUNT
    for card in pieces:
        front, side, height = legs[int(card["part"][1:])]
        ends = cut(card)
        assert ends is not None
        outward = 1.0 if card["hand"] == "left" else -1.0
        axis = np.array([outward * np.tan(np.radians(front)), np.tan(np.radians(side)), 1.0])
        axis /= np.linalg.norm(axis)
        face = about(0, -side) @ np.array([0.0, 1.0, 0.0])
        frame = np.array([axis, np.cross(face, axis), face])
        foot, seat = (ends["A"] @ frame)[:, 2], (ends["B"] @ frame)[:, 2]
        assert max(np.ptp(foot), np.ptp(seat), abs(seat.mean() - foot.mean() - height)) < 0.01


@pytest.mark.parametrize("file", SAMPLES, ids=lambda file: file.stem)
def test_setups_of_the_sample_builds(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The figure: saw and stop settings beside those of cutting piece by piece in the order of the file."""
    report = run("setups", file)
    ours, naive = report["resets"], report["piece_by_piece"]
    with capsys.disabled():
        print(
            f"\n{file.stem:12} {len(report['setups']):3} setups; saw set {ours['saw']:3} times (piece by piece "
            f"{naive['saw']:3}), stop {ours['stop']:3} times ({naive['stop']:3}); least proved: {report['proved']}"
        )
    assert report["proved"]
    assert report["least"] == ours
    assert ours["saw"] < naive["saw"] or naive["saw"] == 1  # all ends square
    assert ours["stop"] <= naive["stop"]
    done = [(each["part"], each["piece"], each["end"]) for setup in report["setups"] for each in setup["cuts"]]
    assert len(done) == len(set(done))
    assert all(done.index((name, number, None)) < done.index((name, number, end)) for name, number, end in done if end)
