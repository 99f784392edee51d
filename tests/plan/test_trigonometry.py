"""Trigonometry uses floats and is in one file; right angles are exact."""

from __future__ import annotations

import ast
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tracker.plan
from tracker.plan import trig

NAMES = {"sin", "cos", "tan", "asin", "acos", "atan", "atan2", "radians", "degrees", "hypot"}


CURVES = {"outline", "features"}
"""Folders for curves and rounds, where an angle is in radians along an arc and not a saw setting."""


def test_no_other_file_of_plan_does_trigonometry() -> None:
    for file in Path(tracker.plan.__file__).parent.rglob("*.py"):
        if file.name == "trig.py" or file.parent.name in CURVES:
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "math":
                assert not NAMES & {name.name for name in node.names}, file.name
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "math":
                assert node.attr not in NAMES, file.name


@given(st.floats(-720, 720))
def test_degrees_agree_with_the_standard_library(angle: float) -> None:
    assert trig.sine(angle) == pytest.approx(math.sin(math.radians(angle)), abs=1e-12)
    assert trig.cosine(angle) == pytest.approx(math.cos(math.radians(angle)), abs=1e-12)


@pytest.mark.parametrize("turn", range(-8, 9))
def test_right_angles_are_exact(turn: int) -> None:
    assert trig.sine(90.0 * turn) == (0.0, 1.0, 0.0, -1.0)[turn % 4]
    assert trig.cosine(90.0 * turn) == (1.0, 0.0, -1.0, 0.0)[turn % 4]
    if turn % 2:
        with pytest.raises(ValueError, match="tangent"):
            trig.tangent(90.0 * turn)
        assert trig.tangent(45.0 * turn) == (1.0 if turn % 4 == 1 else -1.0)
    else:
        assert trig.tangent(90.0 * turn) == 0.0


@given(st.floats(-89, 89))
def test_arctangent_takes_the_tangent_back(angle: float) -> None:
    assert trig.arctangent(trig.tangent(angle)) == pytest.approx(angle, abs=1e-9)


@given(st.floats(-1.1, 1.1))
def test_arcsine_never_fails_by_rounding(ratio: float) -> None:
    assert -90 <= trig.arcsine(ratio) <= 90
