"""What is typed by whole keys: every sequence of them is one value, or is stopped and says why."""

from __future__ import annotations

from itertools import product

import pytest

from tracker.cards.entry.number import NumberEntry
from tracker.cards.entry.span import LONGEST, UNITS, SpanEntry, doubt_of
from tracker.measure.span import Span, parse_span

KEYS = ("1", "0", "5", *UNITS)


def typed(*keys: str) -> SpanEntry:
    entry = SpanEntry()
    for key in keys:
        entry = entry.press(key)
    return entry


@pytest.mark.parametrize(
    ("keys", "seconds"),
    [
        (("4", "5", "min"), 45 * 60),
        (("1", "h", "3", "0", "min"), 90 * 60),
        (("7", "days"), 7 * 86_400),
        (("1", "2", "h"), 12 * 3600),
        (("4", "0", "s"), 40),
    ],
)
def test_a_time_is_typed_as_the_label_says_it(keys: tuple[str, ...], seconds: int) -> None:
    assert typed(*keys).span == Span(seconds)


def test_every_sequence_of_keys_is_one_span_or_says_what_is_missing() -> None:
    for keys in (keys for count in range(6) for keys in product(KEYS, repeat=count)):
        entry = typed(*keys)
        assert (entry.span is None) == bool(entry.block), keys
        if entry.span is not None:
            assert Span(0) < entry.span <= LONGEST
            assert parse_span(entry.text) == entry.span
        assert entry.erase().typed == entry.typed[:-1]


def test_a_nought_too_many_is_asked_about() -> None:
    hour = Span(3600)
    assert doubt_of(hour, Span(36_000)) == "Much longer than 1 h: sure?"
    assert doubt_of(hour, Span(360)) == "Much shorter than 1 h: sure?"
    assert doubt_of(hour, Span(7200)) == doubt_of(hour, Span(1800)) == ""


def number(entry: NumberEntry, keys: str) -> NumberEntry:
    for key in keys:
        entry = entry.press(key)
    return entry


def test_a_temperature_may_be_below_nought_and_per_cent_may_not() -> None:
    celsius, humidity = NumberEntry(least=-30, most=60), NumberEntry(least=1, most=100)
    assert number(celsius, "-5").value == -5
    assert number(celsius, "5-").value == 5
    assert number(humidity, "-45").value == 45
    assert number(humidity, "1000").value == 100


def test_a_number_out_of_bounds_says_its_bounds() -> None:
    entry = number(NumberEntry(least=-30, most=60), "75")
    assert entry.value is None
    assert entry.block == "From −30 to 60."
    assert entry.erase().value == 7
    assert number(NumberEntry(least=1, most=100), "05").value is None
