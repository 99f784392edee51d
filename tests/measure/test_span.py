"""Spans of time and running clocks."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measure import Span, parse_span
from tracker.measure.span import countdown, rough


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("45 min", 2700), ("24 h", 86400), ("1 h 30 min", 5400), ("7 days", 604800), ("1 day", 86400), ("40 s", 40),
        ("1.5 h", 5400), ("2 weeks", 1209600), ("0 min", 0), ("1h30min", 5400), ("1 d 2 h", 93600),
    ],
)  # fmt: skip
def test_what_a_label_says(text: str, seconds: int) -> None:
    assert parse_span(text) == Span(seconds)


@pytest.mark.parametrize(
    "text", ["", "  ", "45", "-5 min", "5 fortnights", "30 min 1 h", "1 h 1 h", "min", "1e9 h", "9" * 99]
)
def test_odd_input_is_an_error(text: str) -> None:
    with pytest.raises(ValueError, match="time"):
        parse_span(text)


@given(st.integers(0, 10**7))
def test_a_span_reads_back(seconds: int) -> None:
    assert parse_span(Span(seconds).text) == Span(seconds)


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (462, "7:42"), (4062, "1 h 08 min"), (3600, "1 h 00 min"), (3599.5, "1 h 00 min"), (3599, "59:59"),
        (0.2, "0:01"), (0, "0:00"), (-0.4, "0:00"), (-1, "+0:01"), (-4062.9, "+1 h 07 min"), (59.01, "1:00"),
        (86399, "1 d 00 h"), (86400 * 2 + 3 * 3600, "2 d 03 h"), (86400 * 2 + 1, "2 d 01 h"), (-90000, "+1 d 01 h"),
    ],
)  # fmt: skip
def test_how_a_running_clock_reads(seconds: float, text: str) -> None:
    assert countdown(seconds) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (22 * 60, "22 min"), (1, "1 min"), (0, "1 min"), (3 * 3600 + 601, "3 h 11 min"), (3600, "1 h"),
        (172800, "2 days"), (90000, "1 day 1 h"),
    ],
)  # fmt: skip
def test_what_is_left_as_said_aloud(seconds: float, text: str) -> None:
    assert rough(seconds) == text
