"""Values typed on keypads: every sequence of keys is one value, or is stopped with a reason."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import product

import pytest

from tracker.cards.keypad.decimal import DecimalEntry
from tracker.cards.keypad.length import difference_words
from tracker.cards.keypad.number import NumberEntry
from tracker.cards.keypad.span import LONGEST, UNITS, SpanEntry, doubt_of
from tracker.cards.settings.restore import restore_card
from tracker.cards.settings.take_in import take_in_card
from tracker.cards.together.together import together_card
from tracker.measure import millimetres
from tracker.measure.span import Span, parse_span
from tracker.measure.tape_reading import MARKS
from tracker.work.facts import Done, Entry
from tracker.work.state.replay import replay
from tracker.work.sync_status import SyncStatus

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


@pytest.mark.parametrize(
    ("typed", "value", "block"),
    [("", None, ""), (".", None, ""), ("8", 8.0, ""), ("8.5", 8.5, ""), ("8.", 8.0, ""), ("31", None, "From 4 to 30."),
     ("3.9", None, "From 4 to 30."), ("30", 30.0, "")],
)  # fmt: skip
def test_a_reading_of_the_moisture_meter_is_a_number_within_what_it_can_be(
    typed: str, value: float | None, block: str
) -> None:
    entry = DecimalEntry(least=4, most=30, typed=typed)
    assert (entry.value, entry.block) == (value, block)


def test_a_hair_too_short_is_less_than_planned() -> None:
    """A difference of half a millimetre is shown with its direction: a short piece can't be made longer."""
    planned, mark = millimetres(600), MARKS[-1]
    assert difference_words(planned, millimetres("599.5"), mark) == "0.5 mm less than planned"
    assert difference_words(planned, millimetres("600.5"), mark) == "0.5 mm more than planned"
    assert difference_words(planned, millimetres("600.1"), mark) == "as planned"


def test_a_backup_says_how_it_differs_from_the_record() -> None:
    at = datetime(2026, 3, 2, 8, 5)
    rows = restore_card(
        [("a", at, "daily", 7), ("b", at, "daily", 8), ("c", at, "daily", 1), ("d", at, "daily", None)], 7
    )
    assert [row.said.partition(": ")[2] for row in rows] == [
        "7 entries, as many as now", "8 entries, 1 more than now", "1 entry, 6 fewer than now", "it can't be read",
    ]  # fmt: skip
    assert [row.possible for row in rows] == [True, True, True, False]


def test_what_another_tablets_record_changes_is_said_by_build() -> None:
    entries = [
        Entry("there", at, {"there": at - 1}, datetime(2026, 3, 2, 8, tzinfo=UTC), Done(run, item, "cut"))
        for at, (run, item) in enumerate((("Stool#1", "leg:1"), ("Stool#1", "leg:2"), ("Tray#1", "side:1")), start=1)
    ]
    card = take_in_card(replay([]), replay(entries), entries, "here")
    assert [row.title for row in card.rows][:3] == ["What it adds", "Stool: 2 steps done", "Tray: 1 step done"]


def test_together_says_what_is_carried_and_what_waits() -> None:
    status = SyncStatus(state="together", shop="Oak Lane", word="Saw")
    shown = "What is marked here shows on the others by itself, and theirs here."
    now = datetime(2026, 3, 2, 8, tzinfo=UTC)
    assert together_card(status, now).said == f"This tablet is Saw in Oak Lane. {shown}"
    alone = SyncStatus(state="alone", shop="Oak Lane", word="Saw", why="The hub isn't reached.", waiting=2)
    assert (
        together_card(alone, now).said
        == "This tablet is Saw in Oak Lane. The hub isn't reached. 2 facts aren’t on the hub yet."
    )
