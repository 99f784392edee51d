"""What a person is asked to measure on the workpiece, as words and in the commands' JSON.

Figures: plane geometry, and the values of tests/plan/test_measures_to_check.py and test_compound_mitre.py, which name
their sources.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from tracker.cards.piece.checks import Check, piece_checks
from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.design.model import Build

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))


def made(parts: str, joins: str = "", units: str = "mm", mark: str = "1 mm") -> Build:
    text = f"""[build]
name = "Trial"
units = "{units}"
[shop]
mark = "{mark}"
[woods.oak]
species = "white oak"
thickness = "60 mm"
width = "400 mm"
lengths = ["4 m"]
{parts}
"""
    if joins:
        text += f'[[assemblies]]\nid = "whole"\njoins = {{ {joins} }}\nby = "glue"\nglue = "PVA, cross-linking"\n'
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return loaded.build


def part(id_: str, lines: str, quantity: int = 1, width: str = '"80 mm"', thickness: str = '"20 mm"') -> str:
    return (
        f'[[parts]]\nid = "{id_}"\nwood = "oak"\nquantity = {quantity}\n'
        f"width = {width}\nthickness = {thickness}\n{lines}\n"
    )


def checks(build: Build, id_: str = "a") -> dict[str, Check]:
    one = build.part(id_)
    found = piece_checks(build, one, one.hand(1))
    named = {check.what: check for check in found}
    assert len(named) == len(found)
    return named


def words(build: Build, id_: str = "a") -> list[str]:
    return [check.words for check in checks(build, id_).values()]


def test_a_square_piece_is_read_on_the_tape_of_the_shop() -> None:
    """The diagonal of 24 by 5 in is 24.515 in: 1/2 on a tape of sixteenths, 33/64 on one of sixty-fourths."""
    board = part("a", "length = 24", width="5")
    assert words(made(board, units="in", mark="1/16")) == [
        "Both edges 24″",
        "Both diagonals of the top face 24\u20091⁄2″",
    ]
    assert words(made(board, units="in", mark="1/64"))[1] == "Both diagonals of the top face 24\u200933⁄64″"
    assert words(made(part("a", "length = 600"))) == ["Both edges 600 mm", "Both diagonals of the top face 605 mm"]


def test_a_ring_that_leans() -> None:
    """Side = 16 tan 30°, long point by plane geometry; the inside angle 180 - 2 · 29.499."""
    side = part("a", 'length = "= 16 * tan(30)"\njoint = { kind = "ring", sides = 6, lean = 10 }', 6, "7.25", "0.75")
    found = checks(made(side, "a = 6", units="in", mark="1/16"))
    assert found["far top edge"].words == "Far top edge 9\u20091⁄4″"
    assert found["across the flats, outside"].words == "Across the flats, outside 16″"
    corners = found["across the corners, outside"].length
    assert corners is not None
    assert float(corners) == pytest.approx(16 * 25.4 / math.cos(math.pi / 6))
    assert found["inside of every corner"].words == "Gauge in every corner 121°, held square across the joint"
    assert found["last joint"].words == "Tilt 0.25° off at every cut opens the last joint by 1⁄8″"
    assert "1⁄16″ at each end" in found["two halves"].words


@pytest.mark.parametrize(
    ("sides", "width", "inner", "one_joint", "half"),
    [(4, 60, 300, 2.96, None), (6, 75, 200, 4.53, 2.267), (8, 75, 200, 5.67, 2.834)],
)
def test_what_a_quarter_of_a_degree_does_to_a_flat_ring(
    sides: int, width: float, inner: float, one_joint: float, half: float | None
) -> None:
    """Computed independently, and verified by a chain of pieces."""
    ends = f"end_a = {{ miter = '= 180 / {sides}' }}\nend_b = {{ miter = '= 180 / {sides}' }}"
    ring = part("a", f"length = {inner}\nmeasured = 'short'\n{ends}", sides, str(width))
    found = checks(made(ring, f"a = {sides}"))
    gap = found["last joint"].length
    assert gap is not None
    assert float(gap) == pytest.approx(one_joint, abs=5.5e-3)
    assert (
        found["last joint"].words == f"Swing 0.25° off at every cut opens the last joint by {round(one_joint, 1):g} mm"
    )
    if half is None:
        assert "two halves" not in found  # nobody trims a frame's halves
    else:
        trimmed = found["two halves"].length
        assert trimmed is not None
        assert float(trimmed) == pytest.approx(half, abs=5.5e-4)


def test_a_frame_has_diagonals_and_what_a_mark_between_them_means() -> None:
    """3-4-5: 900 by 1200 has diagonals of 1500. Pushed over by e, they differ by nearly 2 · 900 · 1200 · sin e / 1500,
    which for 1 mm is 0.04°."""
    ends = "end_a = { miter = 45 }\nend_b = { miter = 45 }"
    frame = made(part("a", f"length = 1200\n{ends}", 2) + part("b", f"length = 900\n{ends}", 2), "a = 2, b = 2")
    for id_ in "ab":
        found = checks(frame, id_)
        assert found["both diagonals of the frame, outside"].words == "Both diagonals of the frame, outside 1500 mm"
        assert found["inside of every corner"].words == "Inside of every corner 90°"
        assert found["out of square"].words == "Diagonals 1 mm apart: 0.04° out of square"
        assert found["out of square"].angle == pytest.approx(math.degrees(1500 / (2 * 900 * 1200)), rel=1e-3)
    assert "one tape throughout" in checks(frame, "a")["tape"].words


def test_a_ring_of_an_odd_number_is_measured_from_a_corner_to_the_side_across() -> None:
    side = part("a", 'length = 300\njoint = { kind = "ring", sides = 5 }', 5)
    found = checks(made(side, "a = 5"))
    across = found["from a corner to the side across, outside"].length
    assert across is not None
    turn = math.pi / 5
    assert float(across) == pytest.approx(150 / math.sin(turn) + 150 / math.tan(turn))
    assert "two halves" not in found


def test_a_splayed_leg_has_a_sight_line() -> None:
    """H 420, 12° and 8°: sight line 33.472°, resultant 14.296°, runs 89.274 and 59.027; verified by rotations."""
    leg = part("a", 'joint = { kind = "splayed leg", height = 420, front = 12, side = 8 }', 4, "40", "40")
    found = checks(made(leg))
    assert found["sight line"].words == "Sight line 33.5° from the front of the seat"
    assert found["sight line"].angle == pytest.approx(33.472, abs=5.5e-4)
    assert found["lean along the sight line"].words == "Along the sight line it leans 14.3° from upright"
    assert found["foot out, seen from the front"].words == "Foot out, seen from the front 89 mm"
    assert found["foot out, seen from the side"].words == "Foot out, seen from the side 59 mm"


def test_a_leg_that_leans_one_way_is_out_on_one_side_only() -> None:
    leg = part("a", 'joint = { kind = "splayed leg", height = 380, front = 15 }', 1, "40", "40")
    found = checks(made(leg))
    assert found["sight line"].angle == 0
    assert "foot out, seen from the side" not in found


def test_a_tapered_piece_is_measured_before_and_after() -> None:
    taper = 'tapers = [{ edges = "both", start = 100, end = "B", leave = 50 }]'
    assert words(made(part("a", f"length = 600\n{taper}"))) == [
        "Both edges 600 mm, before the taper",
        "Both diagonals of the top face 605 mm, before the taper",
        "Width left at end B 50 mm",
    ]


def test_a_mitre_that_meets_no_ring_says_what_a_slip_does_across_it() -> None:
    """0.436 mm to 100 mm: arithmetic."""
    found = checks(made(part("a", "length = 600\nend_b = { miter = 20 }", width="100")))
    assert found["gap at an end"].words == "A cut 0.25° off opens the joint by 0.4 mm"
    assert float(found["gap at an end"].length or 0) == pytest.approx(0.436, abs=5.5e-4)


def test_mirror_pairs_have_their_own_diagonals() -> None:
    pair = part("a", "length = 600\nend_a = { miter = 30, long = 'near' }\nend_b = { miter = 30 }").replace(
        "quantity = 1", "left = 1\nright = 1"
    )
    build = made(pair)
    left, right = (
        {check.what: check.length for check in piece_checks(build, build.part("a"), hand)} for hand in ("left", "right")
    )
    rising, falling = "end A near to end B far", "end A far to end B near"
    assert left[f"diagonal of the top face, {rising}"] == right[f"diagonal of the top face, {falling}"]
    assert left[f"diagonal of the top face, {rising}"] != right[f"diagonal of the top face, {rising}"]


@pytest.mark.parametrize("file", SAMPLES, ids=lambda file: file.stem)
def test_the_json_of_every_sample_holds_them(file: Path) -> None:
    result = CliRunner().invoke(commands, ["cards", str(file), "--json"])
    assert result.exit_code == 0, result.output
    pieces: list[dict[str, Any]] = json.loads(result.stdout)["pieces"]
    for piece in pieces:
        assert len(piece["checks"]) >= 2
        for check in piece["checks"]:
            assert set(check) in ({"what", "length_mm", "words"}, {"what", "angle_deg", "words"})
            assert check["words"][0].isupper()
        measured = {check["what"]: check.get("length_mm") for check in piece["checks"]}
        for edge in ("far_top", "near_bottom"):
            said = measured.get(f"{edge.replace('_', ' ')} edge")
            assert said in (None, piece["edges_mm"][edge])


def test_from_a_metre_on_one_tape_is_to_be_used_throughout() -> None:
    """Common practice, no source: over a metre what two tapes may disagree by is seen in a joint."""
    for length, said in ((999, False), (1000, True)):
        assert any("use one tape" in each for each in words(made(part("a", f"length = {length}")))) == said, length
