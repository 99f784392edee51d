"""Facts as they are written down: what was released is read and written the same for ever, whatever was added since."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.work.facts import Fact, Unknown, from_data, kinds, to_data
from tracker.work.facts.written import _WORDS

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
"""Rows of logs of the first version, to the letter: the chain of a log is over these."""


@pytest.mark.parametrize(("kind", "data"), RELEASED)
def test_a_row_of_the_first_version_is_read_and_written_to_the_letter(kind: str, data: str) -> None:
    fact = from_data(kind, json.loads(data))
    assert not isinstance(fact, Unknown)
    again, plain = to_data(fact)
    assert (again, json.dumps(plain, sort_keys=True, ensure_ascii=False)) == (kind, data)


st.register_type_strategy(float, st.floats(allow_nan=False, allow_infinity=False))
KINDS = [cls for name, cls in vars(kinds).items() if isinstance(cls, type) and cls.__module__ == kinds.__name__]
FACTS = [cls for cls in KINDS if cls.__name__ not in ("Unknown", "Wait", "PlannedBoard", "PlannedCut")]


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
            assert isinstance(from_data(_WORDS[cls], {field: odd}), (cls, Unknown)), (field, odd)


@settings(max_examples=120, deadline=None)
@given(st.one_of([st.from_type(cls) for cls in FACTS]), st.data())
def test_a_fact_that_was_meddled_with_is_read_or_unknown_and_never_an_error(fact: Fact, choose: Any) -> None:
    kind, data = to_data(fact)
    if data:
        key = choose.draw(st.sampled_from(sorted(data)))
        data[key] = choose.draw(st.sampled_from(ODD))
    meddled = from_data(kind, data)
    assert isinstance(meddled, (type(fact), Unknown))
