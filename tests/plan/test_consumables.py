"""Glue and finish by area, beside areas worked by hand. Spread and coverage: common practice, from memory."""

from __future__ import annotations

from math import cos, hypot, radians, tan

import pytest

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.design.tables.finishes import FINISHES
from tracker.design.tables.glues import GLUES
from tracker.design.tables.spread_rates import COVERAGES, SPREADS, coverage_of, spread_of
from tracker.plan.consumables import finish_needed, glue_needed, joint_area, surface_area

INCH = 0.0254


def build(parts: str, assemblies: str) -> Build:
    text = f"""
[build]
name = "Tray"
units = "in"
[woods.oak]
species = "white oak"
thickness = "3/4"
width = 4
lengths = [96]
{parts}
{assemblies}
"""
    loaded = load_build(text.encode())
    assert loaded.build is not None, loaded.problems
    return loaded.build


SIDES = """
[[parts]]
id = "side"
name = "Side"
quantity = 6
wood = "oak"
length = 9
joint = { kind = "ring", sides = 6, lean = 10 }
"""
RING = """
[[assemblies]]
id = "ring"
name = "Ring"
joins = { side = 6 }
by = "glue"
glue = "PVA, cross-linking"
finish = { kind = "Danish oil", coats = 3 }
"""


def test_a_ring_of_six_has_six_joints_each_as_large_as_a_slanted_end() -> None:
    made = build(SIDES, RING)
    # Mitre and bevel of a ring of six leaning 10° (shop geometry tables): 5.725° and 29.499°.
    slant = hypot(1, tan(radians(5.725)), tan(radians(29.499)) / cos(radians(5.725)))
    by_hand = 6 * 4 * 0.75 * slant * INCH**2
    assert joint_area(made, made.assembly("ring")) == pytest.approx(by_hand, rel=1e-3)
    (need,) = glue_needed(made)
    assert need.grams == pytest.approx(by_hand * 200, rel=1e-3)


def test_boards_side_by_side_are_glued_at_their_edges_and_their_ends_stay_free() -> None:
    boards = """
[[parts]]
id = "seat"
name = "Seat board"
quantity = 3
wood = "oak"
length = 14
sequence = "seat"
"""
    glued = '[[assemblies]]\nid = "top"\nname = "Top"\njoins = { seat = 3 }\nby = "glue"\nglue = "Casein"\n'
    made = build(boards, glued + 'open_time = "15 min"\nclamp_time = "6 h"\ncure_time = "3 days"\n')
    (need,) = glue_needed(made)
    assert need.area == pytest.approx(2 * 14 * 0.75 * INCH**2)
    assert need.grams is None, "no figure is known of a glue that isn't in the table"


def test_a_finish_covers_every_face_of_every_piece_each_coat() -> None:
    made = build(SIDES, RING)
    (need,) = finish_needed(made)
    area = surface_area(made, made.assembly("ring"))
    # Six blocks of at least 9 x 4 x 3/4 in (tip to tip they are a little longer).
    assert area == pytest.approx(6 * 2 * (9 * 4 + 9 * 0.75 + 4 * 0.75) * INCH**2, rel=0.1)
    assert need.litres == pytest.approx(3 * area / 8.6)


def test_what_goes_into_an_assembly_of_assemblies_is_counted_as_often_as_it_is_joined() -> None:
    two = RING.replace("joins = { side = 6 }", "joins = { side = 3 }").split("finish")[0]
    whole = '[[assemblies]]\nid = "pair"\nname = "Pair"\njoins = { ring = 2 }\nby = "dry"\n'
    made = build(SIDES, two + whole)
    assert surface_area(made, made.assembly("pair")) == pytest.approx(2 * surface_area(made, made.assembly("ring")))


def test_every_figure_is_of_a_class_of_the_tables_and_runs_from_least_to_most() -> None:
    assert set(SPREADS) <= {glue.name for glue in GLUES}
    assert set(COVERAGES) <= {finish.name for finish in FINISHES}
    assert all(each.least < each.most for each in (*SPREADS.values(), *COVERAGES.values()))
    assert spread_of("yellow glue") == SPREADS["PVA, aliphatic (yellow)"]
    assert coverage_of("hardwax oil") == COVERAGES["Drying oil + wax (hardwax-oil type)"]
    assert spread_of("hot hide glue") is None
    assert coverage_of("paste wax") is None
