"""The holes that get a plug, with its wood and grain."""

from __future__ import annotations

import pytest

from tracker.design.load import load_build
from tracker.plan.plugs import plug_holes

BUILD = """
[build]
name = "Step"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 20
width = 90
lengths = [2000]
[woods.oak]
species = "white oak"
thickness = 20
width = 90
lengths = [2000]
[[parts]]
id = "rail"
name = "Rail"
quantity = 4
wood = "ash"
length = 500
holes = [{ kind = "pocket", end = "both", from_edge = [20, 70], face = "bottom" }]
[[parts]]
id = "tread"
name = "Tread"
quantity = 1
wood = "oak"
length = 400
holes = [
  { kind = "through", end = "A", from_edge = 45, from_end = 30, diameter = 10, face = "top" },
  { kind = "blind", end = "B", from_edge = 45, from_end = 30, diameter = 8, depth = 12, face = "bottom" },
]
[[assemblies]]
id = "frame"
name = "Frame"
joins = { rail = 2 }
by = "screws"
[[assemblies]]
id = "step"
name = "Step"
joins = { frame = 2, tread = 1 }
by = "screws"
route = ["dry fit", "attach", "plug"]
"""


def test_every_pocket_and_through_hole_is_plugged_with_its_own_wood() -> None:
    build = load_build(BUILD).build
    assert build is not None
    holes = plug_holes(build, "step")
    assert [(each.part, each.kind, each.end, each.count, each.match, each.angled) for each in holes] == [
        ("rail", "pocket", "A", 8, "white ash, its grain along the piece", True),
        ("rail", "pocket", "B", 8, "white ash, its grain along the piece", True),
        ("tread", "through", "A", 1, "white oak, its grain along the piece", False),
    ]
    assert float(holes[2].diameter or 0) == 10


def test_what_is_plugged_before_isn_t_plugged_again() -> None:
    build = load_build(BUILD.replace("joins = { rail = 2 }", 'joins = { rail = 2 }\nroute = ["attach", "plug"]')).build
    assert build is not None
    assert [each.part for each in plug_holes(build, "step")] == ["tread"]
    assert [each.count for each in plug_holes(build, "frame")] == [4, 4]


def test_an_unknown_assembly_has_none() -> None:
    build = load_build(BUILD).build
    assert build is not None
    with pytest.raises(KeyError):
        plug_holes(build, "shelf")
