"""Facts as written in the log: a released fact is read and written the same for ever, regardless of later additions."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from store.keep_released import others

from tracker.cards.history import WORDS
from tracker.work import facts
from tracker.work.decide.built_upon import BUILT_UPON
from tracker.work.facts import Fact, Unknown, from_data, to_data
from tracker.work.facts.written import KINDS
from tracker.work.state.apply import ABOUT_A_RUN, ABOUT_AN_ITEM, ABOUT_THE_SHOP

STORE = Path(__file__).parent.parent / "store"

RELEASED = [
    ("opened", '{"build": "Towel frame", "file": "frame.toml", "run": "towel-frame#1"}'),
    ("done", '{"item": "rail:1", "run": "towel-frame#1", "step": "cut"}'),
    (
        "done",
        '{"against": "In clamps for 22 min", "answers": [["saw", 7]], "anyway": "My own risk", "item": "frame:1", '
        '"run": "towel-frame#1", "step": "unclamp", "wait": {"boot": 0.0, "boot_id": "b", "kind": "cure", '
        '"seconds": 60}}',
    ),
    ("undone", '{"count": 3, "tablet": "saw"}'),
    ("answered", '{"count": 3, "tablet": "saw"}'),
    ("labelled", '{"items": ["rail:1", "rack/K1"], "run": "towel-frame#1"}'),
]
"""Exact rows of logs of the first version: the chain of a log is over these bytes."""


@pytest.mark.parametrize(("kind", "data"), RELEASED)
def test_a_row_of_the_first_version_is_read_and_written_to_the_letter(kind: str, data: str) -> None:
    fact = from_data(kind, json.loads(data))
    assert not isinstance(fact, Unknown)
    again, plain = to_data(fact)
    assert (again, json.dumps(plain, sort_keys=True, ensure_ascii=False)) == (kind, data)


LEFT_OUT: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "opened": ({"run": "a#1", "build": "A", "file": ""}, {"revision": "", "digest": "", "parts": ()}),
    "done": (
        {"run": "a#1", "item": "leg:1", "step": "cut"},
        {"anyway": "", "against": "", "wait": None, "answers": (), "board": "", "at": 0, "to": (), "early": 0,
         "late": 0, "unchecked": (), "batch": 0, "batch_at": 0},
    ),
    "spoiled": ({"run": "a#1", "item": "leg:1"}, {"why": "", "inside": ""}),
    "proven": ({"run": "a#1", "item": "b:1", "check": "flat", "passed": True}, {"result": "", "by": ""}),
    "clock believed": ({"boot_id": "b"}, {"boot": 0.0, "starts": ()}),
    "racked": (
        {"run": "a#1", "name": "K1", "wood": "ash", "length": 9},
        {"board": "", "width": 0, "thickness": 0, "defects": (), "price": "", "rough_ends": False, "picture": ""},
    ),
}  # fmt: skip
"""What older logs don't say, and what that means: a released meaning, so it never changes."""


@pytest.mark.parametrize("kind", LEFT_OUT)
def test_what_is_left_out_of_a_fact_has_kept_its_meaning(kind: str) -> None:
    data, meant = LEFT_OUT[kind]
    fact = from_data(kind, data)
    assert {name: getattr(fact, name) for name in fact.__struct_fields__ if name not in data} == meant


def test_what_is_left_out_of_the_parts_of_a_fact_has_kept_its_meaning() -> None:
    wait = facts.Wait("cure", 60, "b", 1.0)
    assert (wait.machine, wait.limit, wait.source, wait.celsius, wait.humidity) == (0, 0, "", None, None)
    cut = facts.PlannedCut("leg:1", 5, 9)
    assert (cut.across, cut.width, cut.turned, cut.over) == (0, 0, False, False)
    assert (facts.Defect(1, 2).edge, facts.Defect(1, 2).deep) == ("near", 0)


st.register_type_strategy(float, st.floats(allow_nan=False, allow_infinity=False))
FACTS = list(KINDS.values())


@settings(max_examples=120, deadline=None)
@given(st.one_of([st.from_type(cls) for cls in FACTS]))
def test_every_fact_survives_being_written_as_json(fact: Fact) -> None:
    kind, data = to_data(fact)
    assert from_data(kind, json.loads(json.dumps(data, ensure_ascii=False))) == fact


ODD: list[Any] = [None, True, -1, 10**40, 2.5, "x", [], [[]], [None], ["x"], {}, {"kind": "x"}, [{"kind": None}]]


@pytest.mark.parametrize("cls", FACTS)
def test_no_field_with_a_value_of_another_kind_is_an_error(cls: type[Any]) -> None:
    for field in cls.__struct_fields__:
        for odd in ODD:
            assert isinstance(from_data(cls.kind, {field: odd}), (cls, Unknown)), (field, odd)


@settings(max_examples=120, deadline=None)
@given(st.one_of([st.from_type(cls) for cls in FACTS]), st.data())
def test_a_fact_that_was_meddled_with_is_read_or_unknown_and_never_an_error(fact: Fact, choose: Any) -> None:
    kind, data = to_data(fact)
    if data:
        key = choose.draw(st.sampled_from(sorted(data)))
        data[key] = choose.draw(st.sampled_from(ODD))
    meddled = from_data(kind, data)
    assert isinstance(meddled, (type(fact), Unknown))


STRICT: list[tuple[str, dict[str, Any]]] = [
    ("done", {"run": "r", "item": "rail:1", "step": "cut", "at": True}),
    ("done", {"run": "r", "item": "rail:1", "step": "cut", "at": 2.0}),
    ("done", {"run": "r", "item": "rail:1", "step": "cut", "answers": [["saw", "7"]]}),
    ("done", {"run": "r", "item": "rail:1", "step": "cut", "answers": [["saw", 7, 8]]}),
    ("done", {"run": "r", "item": "rail:1", "step": "cut", "to": [["length", 600]]}),
    ("done", {"run": "r", "item": "rail:1"}),
    ("labelled", {"run": "r", "items": "rail:1"}),
    ("labelled", {"run": "r", "items": [1]}),
    ("measured", {"run": "r", "item": "rail:1", "what": "depth", "planned": 1, "actual": 1}),
    ("noted", {"run": "r", "item": "rail:1", "text": None}),
    ("later kind", {"run": "r"}),
]


@pytest.mark.parametrize(("kind", "data"), STRICT)
def test_a_value_of_another_type_makes_the_whole_fact_unknown_and_is_passed_on_as_it_came(
    kind: str, data: dict[str, Any]
) -> None:
    fact = from_data(kind, data)
    assert fact == Unknown(kind, data)
    assert to_data(fact) == (kind, data)


def test_a_whole_number_is_read_where_a_broken_one_may_stand() -> None:
    """Other JSON writers write 5 for 5.0."""
    assert from_data("air", {"celsius": 5, "humidity": 50}) == facts.Air(5.0, 50.0)


UNRELEASED = {"given back", "moisture read"}
"""Kinds of fact that no released version wrote; `keep_released.py` writes them at the next release."""


def test_every_row_of_the_released_logs_is_understood_and_written_again_to_the_letter() -> None:
    rows = [row for path in (STORE / "released").glob("*.json") for row in json.loads(path.read_text("utf-8"))]
    assert {row[4] for row in rows} >= set(KINDS) - {"opened"} - UNRELEASED
    coming = {to_data(fact)[0] for fact in others("r")}
    assert coming >= UNRELEASED, "the next release keeps a log of them"
    for *_, kind, data in rows:
        fact = from_data(kind, data)
        written = json.dumps([kind, data], sort_keys=True, ensure_ascii=False)
        assert json.dumps(to_data(fact), sort_keys=True, ensure_ascii=False) == written
        if kind in KINDS:
            assert not isinstance(fact, Unknown), written


def test_every_kind_of_fact_is_applied_can_be_undone_or_says_why_not_and_has_its_words() -> None:
    """The four places of a new fact: its class, its effect, the entries that depend on it, its words in the history."""
    kinds = set(KINDS.values())
    assert kinds - {facts.Undone, facts.Answered} == ABOUT_AN_ITEM | ABOUT_A_RUN | ABOUT_THE_SHOP
    assert set(BUILT_UPON) == kinds
    assert set(WORDS) == kinds - {facts.Undone}
