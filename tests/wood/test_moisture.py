"""Equilibrium moisture content against the Wood Handbook's table, and movement against its worked examples."""

from __future__ import annotations

import csv
import math
import random
from pathlib import Path

import pytest

from tracker.floor.wood import COLDEST, WARMEST
from tracker.plan.wood.air import humidity_for, moisture_in
from tracker.plan.wood.movement import (
    button_groove,
    coefficient,
    held,
    mitre_gap,
    slanted,
    slot,
    swings_far_enough,
    widest_solid,
)

CELLS = list(csv.DictReader((Path(__file__).parent / "emc.csv").open(encoding="utf-8")))
"""Wood Handbook (FPL-GTR-190, 2010), table 4-2."""


@pytest.mark.parametrize("cell", CELLS, ids=lambda cell: f"{cell['temp_F']}F-{cell['rh_pct']}")
def test_every_cell_of_the_handbooks_table(cell: dict[str, str]) -> None:
    found = moisture_in((float(cell["temp_F"]) - 32) / 1.8, float(cell["rh_pct"]))
    assert found == pytest.approx(float(cell["emc_table_pct"]), abs=0.06)


def test_the_table_is_whole() -> None:
    assert len(CELLS) >= 150


def test_bone_dry_air_leaves_no_water_and_nothing_is_said_of_wetter_air_than_the_equation_holds_for() -> None:
    assert moisture_in(20, 0) == 0
    assert moisture_in(-2, 99) > 25
    for celsius, humidity in ((20, -0.1), (20, 99.1), (-2.1, 50), (99.1, 50)):
        with pytest.raises(ValueError, match="lies between"):
            moisture_in(celsius, humidity)


@pytest.mark.parametrize(("humidity", "moisture"), [(50, 9.271), (65, 11.996)])
def test_equation_4_5_worked_by_hand_at_20_degrees(humidity: float, moisture: float) -> None:
    assert moisture_in(20, humidity) == pytest.approx(moisture, abs=0.001)
    assert humidity_for(20, moisture) == pytest.approx(humidity, abs=0.01)


@pytest.mark.parametrize(("celsius", "humidity"), [(-5, 50), (120, 50), (20, -1), (20, 100)])
def test_air_that_the_equation_is_not_for(celsius: float, humidity: float) -> None:
    with pytest.raises(ValueError, match="lies between"):
        moisture_in(celsius, humidity)


def test_the_handbooks_white_fir() -> None:
    """FPL-GTR-190, chapter 13: white fir flooring 232 mm wide, 8 to 11 %, C_T 0.00245: 1.7 mm."""
    assert 232 * coefficient(0.00110, 0.00245, 0.0) * 3 == pytest.approx(1.7, abs=0.05)


def test_rings_between_flat_and_quarter_lie_between_their_figures() -> None:
    flat, rift, quarter = (coefficient(0.00158, 0.00369, rings) for rings in (0.0, 45.0, 90.0))
    assert (flat, quarter) == (0.00369, 0.00158)
    assert rift == pytest.approx((flat + quarter) / 2)


def deformed(x: float, y: float, grain: float, strain: float) -> tuple[float, float]:
    """A point of a board after the strain: only its distance across the grain changes."""
    c, s = math.cos(math.radians(grain)), math.sin(math.radians(grain))
    along, across = x * c + y * s, (-x * s + y * c) * (1 + strain)
    return along * c - across * s, along * s + across * c


def test_a_slanted_line_against_a_thousand_deformed_boards() -> None:
    chance = random.Random(4)
    for _ in range(1000):
        angle, strain = chance.uniform(1, 89), chance.uniform(-0.03, 0.03)
        found = slanted(strain, angle)
        # a line along x, in a board whose grain lies at `angle` to it
        x, y = deformed(1.0, 0.0, angle, strain)
        assert math.hypot(x, y) - 1 == pytest.approx(found.along, abs=2 * strain**2)
        side_x, side_y = deformed(0.0, 1.0, angle, strain)
        area = x * side_y - y * side_x
        assert area / math.hypot(x, y) - 1 == pytest.approx(found.across, abs=2 * strain**2)
        grain_to_line = math.degrees(math.atan2(y, x)) - angle
        assert abs(grain_to_line) - angle == pytest.approx(found.turn, abs=1e-9) or grain_to_line < 0


def test_a_mitre_opens_as_two_deformed_boards_do() -> None:
    """Each board's cut turns; the gap at the open end is the chord of twice the turn over the length of the cut."""
    chance = random.Random(7)
    for _ in range(500):
        miter, width, strain = chance.uniform(30, 60), chance.uniform(20, 150), chance.uniform(-0.03, 0.03)
        tip = deformed(width * math.tan(math.radians(miter)), width, 0.0, strain)
        turn = math.degrees(math.atan2(tip[0], tip[1])) - miter
        face = width / math.cos(math.radians(miter))
        assert mitre_gap(strain, width, miter) == pytest.approx(2 * face * abs(math.sin(math.radians(turn))), rel=1e-9)


def test_a_red_oak_frame_from_12_to_6_percent() -> None:
    """76 mm wide, flat-sawn C_T 0.00369 and quarter-sawn C_R 0.00158 (FPL-GTR-190, table 13-5): by the triangle."""
    assert mitre_gap(0.00369 * -6, 76) == pytest.approx(2.41, abs=0.005)
    assert mitre_gap(0.00158 * -6, 76) == pytest.approx(1.02, abs=0.005)


def test_a_slot_in_a_maple_top() -> None:
    """C_T 0.00353, 400 mm from the middle, made at 8 %, living at 6 to 11 %, a 4.5 mm shank: 12.6 long, 7.0 in."""
    found = slot(400, 0.00353 * (6 - 8), 0.00353 * (11 - 8), 4.5)
    assert found.length == pytest.approx(4.5 + 400 * 0.00353 * 5 + 1.0, abs=1e-9)
    assert found.length == pytest.approx(12.56, abs=0.005)
    assert found.screw_from_inner_end == pytest.approx(4.5 / 2 + 0.5 + 400 * 0.00353 * 3, abs=1e-9)


def test_the_screw_stays_in_its_slot_in_both_seasons() -> None:
    chance = random.Random(2)
    for _ in range(500):
        distance, dry, damp = chance.uniform(20, 600), -chance.uniform(0, 0.02), chance.uniform(0, 0.02)
        found = slot(distance, dry, damp, 4.5)
        # the top moves out by distance * strain; the screw stays, so in the slot it moves the other way
        for strain in (0.0, dry, damp):
            centre = found.screw_from_inner_end - distance * strain
            assert 4.5 / 2 + 0.499 <= centre <= found.length - 4.5 / 2 - 0.499


def test_what_may_be_glued_solid() -> None:
    """1.5 mm for 3 % either way (common practice): red oak flat-sawn 136 mm, quarter-sawn 316, white pine 236."""
    for c, widest in ((0.00369, 136), (0.00158, 316), (0.00212, 236)):
        assert widest_solid(-3 * c, 3 * c) == pytest.approx(widest, abs=0.6)
    assert [held(width, -0.011, 0.011)[1] for width in (40, 100, 200)] == ["fine", "caution", "no"]


def test_buttons_and_figure_eights() -> None:
    assert button_groove(300, -0.01, 0.005) == pytest.approx(4.0)
    assert swings_far_enough(300, -0.01, 0.01, arm=6.0)
    assert not swings_far_enough(300, -0.01, 0.01, arm=4.0)


@pytest.mark.parametrize("celsius", [-2.1, 99.1])
def test_outside_the_temperatures_that_the_equation_holds_for_nothing_is_said(celsius: float) -> None:
    with pytest.raises(ValueError, match="between -2 and 99"):
        moisture_in(celsius, 50)


def test_the_shop_is_never_taken_for_colder_or_warmer_than_the_equation_holds_for() -> None:
    assert moisture_in(COLDEST, 50) > moisture_in(WARMEST, 50) > 0
