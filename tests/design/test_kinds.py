"""What kind of number a size is: from how it is written, from its formula, and from where the file uses it."""

from __future__ import annotations

from typing import Any

import pytest

from tracker.design.kinds import kind_of_formula, kinds_of_sizes

COUNTS = "sides copies count coats clamps leaves quantity places"
ANGLES = "miter bevel max_miter max_bevel angle turn lean around"


def kind(use: Any, a: object = 4) -> str:
    """Of a size `a` in a file with this use of it."""
    return kinds_of_sizes({"a": a, "b": 5}, use)["a"]


@pytest.mark.parametrize(
    ("keys", "expected"),
    [(COUNTS, "number"), (ANGLES, "angle"), ("length width depth from_edge height name", "bare")],
)
def test_a_bare_number_is_what_its_key_is(keys: str, expected: str) -> None:
    for key in keys.split():
        assert kind({"parts": [{key: "= a"}]}) == expected, key
        assert kind({"parts": [{key: [10, "= a"]}]}) == expected, key
        assert kind({"parts": [{key: "a"}]}) == "bare", "no formula"


@pytest.mark.parametrize(
    ("use", "expected"),
    [
        ({"parts": [{"left": "= a"}]}, "number"),
        ({"parts": [{"right": "= a"}]}, "number"),
        ({"assemblies": [{"place": [{"at": {"left": "= a"}}]}]}, "bare"),
        ({"assemblies": [{"left": "= a"}]}, "bare"),
        ({"assemblies": [{"joins": {"rail": "= a"}}]}, "number"),
        ({"parts": [{"features": [{"lean": {"near": "= a"}}]}]}, "angle"),
        ({"parts": [{"end_a": {"miter": "= a"}}]}, "angle"),
        ({"parts": [{"joint": {"front": "= a", "side": 8}}]}, "angle"),
        ({"parts": [{"joint": {"front": 8, "side": "= a"}}]}, "angle"),
        ({"parts": [{"joint": {"height": "= a"}}]}, "bare"),
        ({"parts": [{"joint": {"sides": "= a"}}]}, "number"),
        ({"parts": [{"angle": {"front": "= a"}}]}, "bare"),
        ({"parts": [{"angle": "= a"}, {"quantity": "= a"}]}, "number"),
        ({"parts": [{"quantity": "= a"}, {"angle": "= a"}]}, "number"),
    ],
)
def test_a_group_hands_on_what_its_keys_are(use: Any, expected: str) -> None:
    assert kind(use) == expected


@pytest.mark.parametrize(
    ("key", "formula", "a", "b"),
    [
        ("quantity", "= 2 * a", "number", "bare"), ("quantity", "= a + b", "number", "number"),
        ("quantity", "= a - 1", "number", "bare"), ("quantity", "= a * b", "number", "number"),
        ("quantity", "= a / 2", "bare", "bare"), ("quantity", "= -a", "number", "bare"),
        ("angle", "= 2 * a", "angle", "bare"), ("angle", "= a * 2", "angle", "bare"),
        ("angle", "= a / 2", "angle", "bare"),
        ("angle", "= a * b", "bare", "bare"), ("angle", "= a / b", "bare", "bare"),
        ("angle", "= a - b", "angle", "angle"),
        ("angle", "= atan(a / b)", "bare", "bare"), ("angle", "= (", "bare", "bare"),
    ],
)  # fmt: skip
def test_the_terms_of_a_formula_are_what_it_is(key: str, formula: str, a: str, b: str) -> None:
    assert kinds_of_sizes({"a": 4, "b": 5}, {"parts": [{key: formula}]}) == {"a": a, "b": b}


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("15 deg", "angle"), ("15°", "angle"), ("1:6", "angle"), ("3 in", "length"), ("3", "length"), (3, "bare"),
        ("= 3", "bare"), ("= b", "bare"), ("= atan(b)", "angle"), ("= cos(b)", "number"), ("= pi", "bare"),
        ("= a", "bare"), ("= b +", "bare"), ("= max(b, c)", "length"), ("= c / c", "number"), ("= c / b", "length"),
        ("= d / d", "number"), ("= d * b", "unsure"), ("= d * 2", "angle"), ("= b + d", "bare"), ("= c ** 2", "length"),
        ("= 2 ** c", "bare"), ("= -c", "length"), ("= cos(d) * c", "length"),
    ],
)  # fmt: skip
def test_a_size_is_what_it_is_written_as(written: object, expected: str) -> None:
    sizes = {"a": written, "b": 5, "c": "2 in", "d": "10 deg"}
    assert kinds_of_sizes(sizes, {})["a"] == expected


def test_a_formula_hands_its_kind_on_to_the_sizes_in_it() -> None:
    sizes = {"legs": "= pairs * 2", "pairs": "= half", "half": 3, "lean": "= twist / 2", "twist": 10}
    use = {"parts": [{"quantity": "= legs"}, {"end_a": {"bevel": "= lean"}}]}
    assert kinds_of_sizes(sizes, use) == {
        "legs": "number", "pairs": "number", "half": "number", "lean": "angle", "twist": "angle",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("a", "angle"), ("n + 1", "number"), ("n * l", "length"), ("l / l", "number"), ("a / l", "length"),
        ("(", "plain"),
        ("zzz", "bare"), ("3 * 4", "plain"), ("min(a, n)", "angle"), ("asin(n)", "angle"), ("a / z", "unsure"),
    ],
)  # fmt: skip
def test_the_kind_of_a_formula(formula: str, expected: str) -> None:
    assert kind_of_formula(formula, {"a": "angle", "n": "number", "l": "length"}) == expected
