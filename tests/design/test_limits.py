"""Each limit of a value in a build file: at it a file is read, one step beyond it a problem says the limit.

The limits are those of the page of the build file, and of the geometry that they stand for.
"""

from __future__ import annotations

import pytest

from tracker.design import load_build
from tracker.design.problems import Problem

BUILD = """
[build]
name = "Limits"
units = "mm"
{build}
[shop]
{shop}
[woods.oak]
species = "white oak"
thickness = 40
width = 200
lengths = ["3 m"]
{wood}
[[parts]]
id = "rail"
wood = "oak"
length = 600
{part}
[[parts]]
id = "other"
wood = "oak"
length = 600
width = 40
[[assemblies]]
id = "frame"
joins = {{ other = 1 }}
{assembly}
{rest}
"""
HOLE = 'holes = [{ kind = "screw", end = "A", from_end = 80, from_edge = 40, X }]'
BORE = 'features = [{ kind = "bore", on = "top", from = { A = 50 }, diameter = 5, through = true, X }]'
BEVEL = 'features = [{ kind = "bevel", on = "near", angle = X }]'
FINISH = 'by = "glue"\nglue = "PVA, cross-linking"\nfinish = { kind = "Wiping varnish", X }'
PLACE = 'by = "dry"\nplace = [{ part = "other", X }]'
HARDWARE = '[[hardware]]\nname = "Hinge"\nquantity = X'
TURNS = "must be from -360 to 360 degrees"
LIMITS: list[tuple[str, str, tuple[str, ...], tuple[str, ...], str]] = [
    ("part", "quantity = X", ("1", "999"), ("0", "1000", "-1"), "must be from 1 to 999"),
    ("part", "left = X\nright = 1", ("0", "998"), ("-1", "1000"), "must be from 0 to 999"),
    ("build", "copies = X", ("1", "200"), ("0", "201"), "must be from 1 to 200"),
    ("part", "resaw = { leaves = X }\nquantity = 8\nthickness = 2", ("2", "8"), ("1", "9"), "must be from 2 to 8"),
    ("assembly", "copies = X", ("1", "200"), ("0", "201"), "must be from 1 to 200"),
    ("assembly", "clamps = X", ("0", "200"), ("-1", "201"), "must be from 0 to 200"),
    ("assembly", FINISH.replace("X", "coats = X"), ("1", "20"), ("0", "21"), "must be from 1 to 20"),
    ("assembly", FINISH.replace("X", "coats = 2, sand_between = X"), ("24", "5000"), ("23", "5001"), "from 24 to 5000"),
    ("rest", HARDWARE, ("1", "100000"), ("0", "100001"), "must be from 1 to 100000"),
    ("part", HOLE.replace("X", "gauge = X"), ("4", "16"), ("3", "17"), "must be from 4 to 16"),
    ("part", BORE.replace("X", "count = X, spacing = 5.1"), ("1", "100"), ("0", "101"), "must be from 1 to 100"),
    ("part", BORE.replace("X", "lean = { A = X }"), ("0", "60"), ("-0.1", "60.1"), "must be from 0 to 60 degrees"),
    ("part", BEVEL, ("0.1", "60"), ("0.09", "60.1"), "must be from 0.1 to 60 degrees"),
    ("shop", "max_miter = X", ("0", "89"), ("-0.1", "89.1"), "must be from 0 to 89 degrees"),
    ("shop", "max_bevel = X", ("0", "89"), ("-0.1", "89.1"), "must be from 0 to 89 degrees"),
    ("part", "end_a = { miter = X }", ("0", "89"), ("-0.1", "89.1"), "must be from 0 to 89 degrees"),
    ("part", "end_a = { bevel = X }", ("0", "89"), ("-0.1", "89.1"), "must be from 0 to 89 degrees"),
    ("part", 'joint = { kind = "ring", sides = X }', ("3", "64"), ("2", "65"), "must be from 3 to 64"),
    ("part", 'joint = { kind = "corner", angle = X }', ("2", "179"), ("1.9", "179.1"), "must be from 2 to 179 degrees"),
    (
        "part", 'laps = [{ end = "A", from_end = 300, crosses = "other", angle = X }]', ("10", "90"), ("9.9", "90.1"),
        "must be from 10 to 90 degrees",
    ),
    ("assembly", PLACE.replace("X", "turn = X"), ("-360", "0", "360"), ("-360.1", "360.1"), TURNS),
    ("assembly", PLACE.replace("X", "around = [X]"), ("-360", "360"), ("-361", "361"), TURNS),
    ("assembly", PLACE.replace("X", "lean = { left = X }"), ("-90", "90"), ("-90.1", "90.1"), "must be from -90 to 90"),
    ("assembly", PLACE.replace("X", "count = X"), ("1", "999"), ("0", "1000"), "must be from 1 to 999"),
    ("part", "notes = 'a'\nallowance = X", ('"100 m"', "100000"), ('"100.001 m"', "100000.1"), "is longer than 100 m"),
    ("assembly", 'clamp_time = X', ('"366 days"', '"1 min"'), ('"367 days"', '"0 min"'), "at most a year"),
]  # fmt: skip


def problems(where: str, text: str) -> list[Problem]:
    given = dict.fromkeys(("build", "shop", "wood", "part", "assembly", "rest"), "") | {where: text}
    if "by = " not in given["assembly"]:
        given["assembly"] += '\nby = "glue"\nglue = "PVA, cross-linking"'
    return list(load_build(BUILD.format(**given)).problems)


@pytest.mark.parametrize(
    ("where", "text", "value", "sound", "said"),
    [
        (where, text, value, sound, said)
        for where, text, within, beyond, said in LIMITS
        for values, sound in ((within, True), (beyond, False))
        for value in values
    ],
)
def test_a_limit_is_where_it_is_said_to_be(where: str, text: str, value: str, sound: bool, said: str) -> None:
    found = [f"{each.what} {each.hint}" for each in problems(where, text.replace("X", value))]
    assert any(said in each for each in found) is not sound, found
    assert not any("must be from" in each or "longer than 100 m" in each for each in found) or not sound, found
