"""What happened, in words: one row for every kind of fact, and what an undo does to it."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from work.one_tablet import START, Bench, floor, towel_frame

from tracker.cards.history import PAGE, WORDS, ago, history_card, words_of
from tracker.words.dates import time_of_day
from tracker.work import facts
from tracker.work.decide.decide import Do, UndoEntry
from tracker.work.facts import Fact

RUN = "Towel frame"
MM = 320
"""Facts store lengths in parts of a millimetre."""


def rows(run: str) -> list[tuple[Fact, str, str]]:
    """A fact, its title, and what is said beside the time."""
    board = facts.PlannedBoard("ash/1", "ash", "dealer", 2000 * MM, ())
    return [
        (facts.Opened(run, RUN, "frame.toml", "C"), "Build opened", "frame.toml, revision C"),
        (facts.Opened(run, RUN, "frame.toml"), "Build opened", "frame.toml"),
        (facts.Done(run, "rail:1", "cut", board="ash/1"), "Rail 1: cut", "from ash/1"),
        (
            facts.Done(run, "rail:1", "trim A", anyway="Done before", against="not cut", board="ash/1"),
            "Rail 1: trimmed at end A",
            "Done before (not cut), from ash/1",
        ),
        (facts.Measured(run, "rail:1", "width", 60 * MM, 59 * MM), "Rail 1: width 59 mm", "−1 mm"),
        (facts.Measured(run, "rail:1", "length", 500 * MM, 500 * MM), "Rail 1: length 500 mm", "as planned"),
        (facts.Spoiled(run, "rail:1", "split"), "Rail 1: scrapped, made again", "split"),
        (facts.SetAside(run, "rail:2", "for later"), "Rail 2: set aside", "for later"),
        (facts.Resumed(run, "rail:2"), "Rail 2: back in work", ""),
        (facts.Noted(run, "rail:2", "sapwood"), "Rail 2: sapwood", "note"),
        (facts.Checked(run, "frame:1", "pads"), "Frame: pads checked", ""),
        (facts.CheckedIn(run, "frame:1", "rail:2"), "Rail 2 in at Frame", ""),
        (facts.Swapped(run, "rail:1", "rail:2"), "Rail 1 and Rail 2 changed places", ""),
        (facts.Labelled(run, ("rail:1", "rail:2")), "2 labels made", ""),
        (facts.Labelled(run, ("rail:1",)), "1 label made", "Rail 1"),
        (facts.BoardsPlanned(run, (board,)), "Board plan kept", "1 board"),
        (facts.Racked(run, "A1", "ash", 900 * MM), "Offcut A1 to the rack", "900 mm"),
        (
            facts.Racked(run, "A2", "ash", 900 * MM, width=60 * MM, rough_ends=True),
            "Board A2 to the rack",
            "60 mm × 900 mm",
        ),
        (facts.GivenBack(run, "A2"), "Board A2 given back", ""),
        (facts.MoistureRead(run, "rail:2", 9.25), "Rail 2: 9.25 % moisture", "by the meter"),
        (facts.MoistureRead(run, "rack/A1", 8.0), "A1: 8 % moisture", "by the meter"),
        (facts.Overruled(run, "frame:1", "open", 600, "on the bottle"), "Frame: open 10 min", "label: on the bottle"),
        (facts.Proven(run, "frame:1", "stands flat", True), "Frame: stands flat passed", ""),
        (
            facts.Proven(run, "frame:1", "stands flat", False, "rocks", "A. K."),
            "Frame: stands flat failed",
            "rocks, by A. K.",
        ),
        (facts.Air(19.6, 48.4), "Shop air 20 °C, 48 %", ""),
        (facts.ClockConfirmed("first boot"), "Clock confirmed", ""),
        (facts.Answered("saw", 3), "Alarm stopped", ""),
        (facts.Done(run, "gone:1", "cut"), "gone:1: cut", ""),
    ]


def test_every_kind_of_fact_is_a_row_in_words() -> None:
    bench = Bench(towel_frame())
    known = rows(bench.run.name)
    for fact, title, said in known:
        entry = bench.write(fact)
        row = history_card(floor(bench)).rows[0]
        assert (row.id, row.title, row.tone) == ((entry.tablet, entry.count), title, "done")
        assert row.said == (f"08:00 · {said}" if said else "08:00")
        assert words_of(floor(bench), fact) == title
    assert {type(fact) for fact, _, _ in known} == set(WORDS)
    card = history_card(floor(bench))
    assert [row.title for row in card.rows] == [title for _, title, _ in reversed(known)], "the newest first"
    assert (card.title, card.more) == ("The whole build", 0)
    assert words_of(floor(bench), facts.Undone("saw", 1)) == ""


def test_of_one_item_only_its_own_and_no_more_than_a_page() -> None:
    bench = Bench(towel_frame())
    for key in ("rail:1", "rail:2"):
        assert bench.do(Do(key, "cut")) is None
    card = history_card(floor(bench), "rail:1")
    assert (card.title, [row.title for row in card.rows]) == ("Rail 1 of 2", ["Rail 1: cut"])
    for number in range(PAGE):
        bench.write(facts.Noted(bench.run.name, "rail:2", f"note {number}"))
    card = history_card(floor(bench))
    assert (len(card.rows), card.more) == (100, 2)
    assert history_card(floor(bench), most=3).more == 99
    assert history_card(floor(bench), most=102).more == 0


def test_an_undo_is_offered_for_the_newest_that_is_in_effect_or_for_the_chosen_one() -> None:
    bench = Bench(towel_frame())
    for key in ("rail:1", "rail:2"):
        assert bench.do(Do(key, "cut")) is None
    bench.time += 150
    card = history_card(floor(bench))
    assert card.chosen == card.rows[0]
    assert card.intent is not None
    assert bench.do(card.intent) is None
    bench.time += 120
    card = history_card(floor(bench))
    assert [(row.title, row.said, row.tone) for row in card.rows] == [
        ("Rail 2: cut", "undone 08:02", ""),
        ("Rail 1: cut", "08:00", "done"),
    ]
    assert (card.chosen, card.why) == (card.rows[1], "")
    chosen = history_card(floor(bench), chosen=card.rows[0].id)
    assert (chosen.chosen, chosen.intent) == (card.rows[0], UndoEntry(card.rows[0].id, run=bench.run.name))
    assert chosen.why
    nothing = history_card(floor(Bench(towel_frame())))
    assert (nothing.rows, nothing.chosen, nothing.intent, nothing.why) == ((), None, None, "")


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (datetime(2026, 3, 2, 0, 0), "00:00"), (datetime(2026, 3, 1, 23, 59), "Sun 23:59"),
        (datetime(2026, 2, 24, 8, 0), "Tue 08:00"), (datetime(2026, 2, 23, 9, 5), "Mon 23 Feb 09:05"),
        (datetime(2025, 12, 31, 17, 30), "Wed 31 Dec 2025 17:30"),
        (datetime(2026, 3, 3, 8, 0), "Tue 3 Mar 08:00"),  # the tablet's clock was ahead
    ],
)  # fmt: skip
def test_the_time_of_an_entry_has_as_much_of_the_date_as_is_needed(at: datetime, said: str) -> None:
    """By the calendar: 2 March 2026 is a Monday."""
    assert time_of_day(at, datetime(2026, 3, 2, 10, 40)) == said


@pytest.mark.parametrize(
    ("seconds", "said"), [(0, "just now"), (59.9, "just now"), (60, "1 min ago"), (90_000, "1 day 1 h ago")]
)
def test_how_long_ago(seconds: float, said: str) -> None:
    assert ago(START, START + timedelta(seconds=seconds)) == said
