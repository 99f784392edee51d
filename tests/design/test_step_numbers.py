"""The numbers of an own step are shown by their kind: lengths, angles, times and counts, written or computed."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tracker.design import load_build
from tracker.design.own_step import Count, StepNumber
from tracker.design.problems import Problem
from tracker.measure import Span, inches, millimetres

FILE = """[build]
name = "Lampshade"
units = "in"
[sizes]
staves = 12
around = "= staves"
rows = 3
across = 10
drop = "8 in"
depth = "3/4"
lean = "10 deg"
flare = 4
half = "= flare / 2"
cut = "= 90 - flare"
passes = 5
[woods.pine]
species = "eastern white pine"
thickness = "1/2"
width = 4
lengths = ["6 ft"]
[[parts]]
id = "stave"
quantity = "= around"
wood = "pine"
length = 9
end_a = { bevel = "= flare" }
features = [{ kind = "bore", on = "top", diameter = "1/4", through = true, count = "= rows", spacing = 1 }]
steps = [{ do = "mark it", numbers = { number = NUMBER } }]
[[assemblies]]
id = "shade"
joins = { stave = 12 }
by = "dry"
"""


def read(number: str) -> tuple[StepNumber | None, tuple[Problem, ...]]:
    """The number, and every problem and note."""
    loaded = load_build(FILE.replace("NUMBER", number))
    return (dict(loaded.build.parts[0].steps[0].numbers)["number"] if loaded.build else None), loaded.problems


@pytest.mark.parametrize(
    ("number", "value"),
    [
        ("3", inches(3)),  # a bare number is a length, as everywhere
        ('"2 1/2"', inches(Fraction(5, 2))),
        ('"40 mm"', millimetres(40)),
        ('"12 holes"', Count(Fraction(12), "holes")),
        ('"1 hole"', Count(Fraction(1), "hole")),
        ('"2.5 turns of the screw"', Count(Fraction(5, 2), "turns of the screw")),
        ('"15 deg"', 15.0),
        ('"20 min"', Span(1200)),
        # a formula is what its sizes make of it
        ('"= across / 4"', inches(Fraction(5, 2))),
        ('"= drop - depth"', inches(Fraction(29, 4))),
        ('"= 7 * 3"', inches(21)),
        ('"= across * tan(45)"', inches(10)),
        ('"= across / staves"', inches(Fraction(5, 6))),
        ('"= lean / 2"', 5.0),
        ('"= 90 - lean"', 80.0),
        ('"= atan2(drop, drop)"', pytest.approx(45.0)),
        ('"= half"', 2.0),  # half of what bevels an end
        ('"= cut"', 86.0),
        ('"= staves * 2"', Count(Fraction(24))),  # the quantity is worked out from it
        ('"= rows"', Count(Fraction(3))),
        ('"= staves / rows"', Count(Fraction(4))),
        ('"= drop / depth"', Count(Fraction(32, 3))),
        ('"= lean / lean"', Count(Fraction(1))),
        ('"= 360 / staves"', Count(Fraction(30))),
        ('"= tan(45)"', Count(Fraction(1))),
        ('"= max(rows, staves)"', Count(Fraction(12))),
        ('"= passes"', inches(5)),  # nothing says that this is counted
        # or its unit is behind it
        ('"= 360 / staves deg"', 30.0),
        ('"= 360 / staves°"', 30.0),
        ('"= passes * 2 strokes"', Count(Fraction(10), "strokes")),
        ('"= passes * 20 min"', Span(6000)),
        ('"= (passes + 1) cm"', millimetres(60)),
        ('"= max(1, 2) mm"', millimetres(2)),
    ],
)
def test_each_is_what_it_is(number: str, value: StepNumber) -> None:
    found, problems = read(number)
    assert problems == ()
    assert type(found) is type(value) or isinstance(found, float)
    assert found == value


@pytest.mark.parametrize(
    ("number", "told"),
    [
        ('"12 inhces"', "'inhces' is not a unit that is known"),
        ('"= passes * 2 degs"', "'degs' is not a unit that is known"),
        ('"= staves across"', "can't read the formula"),  # a sign is missing, and no unit is called across
        ('"= passes mm of"', "can't read the formula"),
        ('"= 2 - passes holes"', "must be a number of zero or more"),
        ('"= 2 - passes in"', "must not be less than zero"),
        ('"= passes * 1000 days"', "must be more than zero and at most a year"),
        ('"= passes * 1000 m"', "is longer than 100 m"),
        ('"-2 holes"', "'holes' is not a unit of length"),
    ],
)
def test_what_is_none_of_them_is_told(number: str, told: str) -> None:
    _, problems = read(number)
    assert [told in each.what for each in problems] == [True], problems


def test_an_angle_times_a_bare_number_is_a_length_with_a_note() -> None:
    """It may be the length of an arc; an angle has its unit behind it."""
    found, (note,) = read('"= lean * passes"')
    assert found == inches(50)
    assert note.kind == "note"
    assert "is taken as a length" in note.what
    assert "deg" in note.hint
    assert read('"= lean * passes deg"') == (50.0, ())


def test_sizes_in_a_circle_are_told_once() -> None:
    loaded = load_build(FILE.replace("NUMBER", "1").replace("rows = 3", 'rows = "= more"\nmore = "= rows"'))
    assert ["circle" in each.what for each in loaded.problems if each.line < 15] == [True]


def test_a_count_reads_without_a_unit() -> None:
    assert Count(Fraction(12), "holes").text == "12 holes"
    assert Count(Fraction(5, 2)).text == "2.5"
    assert Count(1 / 3).text == "0.333"
    assert Count(Fraction(100)).text == "100"
