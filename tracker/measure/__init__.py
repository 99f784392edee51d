"""Exact lengths, angles, how they read on a tape or a scale, and spans of time."""

from tracker.measure.angle import Angle, complement, parse_angle, slope
from tracker.measure.length import Length, Units, inches, millimetres, parse_length
from tracker.measure.span import Span, parse_span
from tracker.measure.tape_reading import Mark, Reading, read_angle, read_as_written, read_length

__all__ = [
    "Angle",
    "Length",
    "Mark",
    "Reading",
    "Span",
    "Units",
    "complement",
    "inches",
    "millimetres",
    "parse_angle",
    "parse_length",
    "parse_span",
    "read_angle",
    "read_as_written",
    "read_length",
    "slope",
]
