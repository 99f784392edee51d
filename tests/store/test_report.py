"""What a recovery says, on the screen and in its file, word by word."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import pytest

from tracker.store.recovery.rejoin import Fork, TabletRejoined
from tracker.store.recovery.report import spoken_report, written_report
from tracker.store.rows import Row
from tracker.store.settings import unreadable_sentence

NOW = datetime(2026, 3, 2, 8, 0, 0, 123_456, tzinfo=UTC)
WHY, ASIDE, REPORT = "its file is empty", "damaged-260302-0800", "report-260302-0800.txt"


def row(count: int, data: object = None, kind: str = "done") -> Row:
    words = json.dumps({"run": "stool#2", "item": f"leg:{count}"} if data is None else data)
    return Row("saw", count, "{}", NOW.isoformat(), kind, words, "c" * 64)


def spoken(*tablets: TabletRejoined) -> str:
    return spoken_report(WHY, ASIDE, REPORT, tablets)


def test_the_screen_says_what_was_recovered_and_what_is_lost() -> None:
    first = f"The record was damaged ({WHY}); it was set aside in {ASIDE}."
    assert spoken() == f"{first} 0 facts were recovered: {REPORT} says which."
    assert spoken(TabletRejoined("saw", 1)) == f"{first} 1 fact was recovered: {REPORT} says which."
    both = (TabletRejoined("saw", 5, ((2, 2), (7, 9))), TabletRejoined("bench", 2, ((1, 1),)))
    assert spoken(*both) == f"{first} 7 facts were recovered and 5 lost: {REPORT} says which."


@pytest.mark.parametrize(
    ("count", "named"),
    [
        (1, "leg 1 of stool"),
        (6, "leg 1 of stool, leg 2 of stool, leg 3 of stool, leg 4 of stool, leg 5 of stool, leg 6 of stool"),
        (
            7,
            "leg 1 of stool, leg 2 of stool, leg 3 of stool, leg 4 of stool, leg 5 of stool, leg 6 of stool and others",
        ),
    ],
)
def test_what_is_not_proven_is_named_on_the_screen(count: int, named: str) -> None:
    said = spoken(TabletRejoined("saw", 9, unproven=tuple(row(number) for number in range(1, count + 1))))
    assert said.endswith(
        f" Something said of {named} could be read but not proven: look whether it is true before you go on."
    )


@pytest.mark.parametrize(
    ("data", "kind", "named"),
    [
        ({"run": "stool#1", "item": "leg:2", "twin": "leg:3"}, "swapped", "leg 2 of stool, leg 3 of stool"),
        ({"run": "stool#1", "item": "frame:1", "piece": "leg:3"}, "checked in", "frame 1 of stool, leg 3 of stool"),
        ({"run": "stool#1", "items": ["leg:1", "rack/F2"]}, "labelled", "leg 1 of stool, rack/F2 of stool"),
        ({"run": "stool#1"}, "opened", "stool"),
        ({"item": "leg:1"}, "told", "leg 1"),
        ({"celsius": 20}, "air", "air"),
    ],
)
def test_it_is_named_by_what_it_is_about(data: object, kind: str, named: str) -> None:
    assert f"Something said of {named} could be" in spoken(TabletRejoined("saw", 9, unproven=(row(1, data, kind),)))


def test_the_same_thing_is_named_once_and_what_cannot_be_read_not_at_all() -> None:
    rows = (row(1), row(1), row(2)._replace(data="rust"))
    said = spoken(TabletRejoined("saw", 9, unproven=rows))
    assert "Something said of leg 1 of stool could be read" in said
    assert "Something" not in spoken(TabletRejoined("saw", 9, unproven=rows[2:]))


def fork(first: int, last: int) -> Fork:
    return Fork("saw", first, tuple(row(count) for count in range(1, last + 1)))


def test_other_histories_are_counted_and_where_they_are_is_said() -> None:
    said = spoken(TabletRejoined("saw", 9, forks=(fork(4, 4),)))
    assert said.endswith(f" 1 fact of another history of this record is not taken in; it is kept in {ASIDE}.")
    said = spoken(TabletRejoined("saw", 9, forks=(fork(4, 6), fork(2, 5))))
    assert said.endswith(f" 7 facts of another history of this record are not taken in; they are kept in {ASIDE}.")


def test_the_file_says_everything() -> None:
    tablets = (
        TabletRejoined("bench", 1),
        TabletRejoined("saw", 40, ((3, 3), (7, 9), (12, 11)), (row(10),), (fork(4, 6),)),
    )
    found = {"in the record itself": "12", "in backups/000001.db": "it can't be read"}
    assert written_report(WHY, NOW, ASIDE, found, tablets) == (
        "Kerfcard's record was damaged: its file is empty.\n"
        "Found on 2026-03-02T08:00:00+00:00. The damaged files are kept as they were in damaged-260302-0800.\n"
        "\n"
        "Where rows were found (damaged ones and copies among them):\n"
        "  in the record itself: 12\n"
        "  in backups/000001.db: it can't be read\n"
        "\n"
        "What was recovered, by tablet and by the count of its facts:\n"
        "  tablet bench: 1 fact recovered, 0 lost\n"
        "    the last that was found is 1; the files can't tell whether there were later ones\n"
        "  tablet saw: 40 facts recovered, 4 lost\n"
        "    lost: 3\n"
        "    lost: 7 to 9\n"
        "    10 could be read, but not proven (leg 10 of stool): look whether it is true\n"
        "    another history of this tablet goes from 4 to 6; it is kept as a file of its own beside the damaged ones\n"
        "    the last that was found is 44; the files can't tell whether there were later ones\n"
        "\n"
        "This tablet writes under a new name from here on, so that no count is ever written twice.\n"
    )
    assert "by the count of its facts:\n  nothing\n\nThis" in written_report(WHY, NOW, ASIDE, found, ())


# -- settings ----------------------------------------------------------------------------------------------------------

LOOK = "back at the ordinary value: look at More, Settings before you cut."


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ((), ""),
        (("kerf",), f"The setting “kerf” can't be read and is {LOOK}"),
        (("kerf", "max miter"), f"The settings “kerf”, “max miter” can't be read and are {LOOK}"),
        (("kerf", "kerf"), f"The setting “kerf” can't be read and is {LOOK}"),
        (tuple("abcde"), f"The settings “a”, “b”, “c”, “d”, “e” can't be read and are {LOOK}"),
        (tuple("abcdef"), f"The settings “a”, “b”, “c”, “d”, “e” and more can't be read and are {LOOK}"),
        (("?",), f"Some settings can't be read and are {LOOK}"),
        (("Kerf", " kerf", "k" * 32, "k2"), f"Some settings can't be read and are {LOOK}"),
        (("?", "k" * 31), f"The settings “{'k' * 31}” can't be read and are {LOOK}"),
    ],
)
def test_the_settings_that_fell_back_are_named_where_their_names_can_be_read(names: tuple[str, ...], said: str) -> None:
    assert unreadable_sentence(names) == said
