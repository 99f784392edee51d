"""Lengths and angles in the commands' JSON."""

from __future__ import annotations

from typing import Any

from tracker.measure import Angle, Length

Json = dict[str, Any]
PLACES = 6
"""Decimals of a millimetre or degree: far finer than any tool shows."""


def mm(length: Length) -> float:
    """Millimetres as a number."""
    return round(float(length), PLACES)


def deg(angle: Angle) -> float:
    """Degrees as a number."""
    return round(angle, PLACES)
