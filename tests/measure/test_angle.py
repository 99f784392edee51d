"""Angles, slopes and complements."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measure import parse_angle
from tracker.measure.angle import complement, slope


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("15", 15),
        ("7.5", 7.5),
        ("15 deg", 15),
        ("15°", 15),
        (" 22.5 degrees ", 22.5),
        ("-5", -5),
        ("1:1", 45),
        (".5°", 0.5),
    ],
)
def test_what_a_plan_says(text: str, degrees: float) -> None:
    assert parse_angle(text) == pytest.approx(degrees, abs=1e-12)


def test_slope_1_to_8_is_7_125_degrees() -> None:
    """The dovetail slope 1:8: arctan 1/8, by the standard library."""
    assert parse_angle("1:8") == pytest.approx(math.degrees(math.atan(1 / 8)), abs=1e-12)
    assert parse_angle("1:8") == pytest.approx(7.125, abs=5e-4)


@given(st.floats(1, 89))
def test_a_slope_reads_back(angle: float) -> None:
    assert parse_angle(f"1:{slope(angle):.9f}") == pytest.approx(angle, abs=1e-6)


@given(st.floats(0, 90))
def test_complement_twice_is_the_angle(angle: float) -> None:
    assert complement(complement(angle)) == pytest.approx(angle, abs=1e-12)


@pytest.mark.parametrize("text", ["", "fifteen", "15 rad", "1:0", "1:", ":8", "1:2:3", "15''", "1e3", "nan", "9" * 100])
def test_odd_input_is_an_error(text: str) -> None:
    with pytest.raises(ValueError, match=r"angle|run"):
        parse_angle(text)


@pytest.mark.parametrize("angle", [0, -5, 90, 120])
def test_level_and_upright_have_no_slope(angle: float) -> None:
    with pytest.raises(ValueError, match="slope"):
        slope(angle)
