"""Glue and finish by area, against areas computed by hand. Spread and coverage: common practice, from memory."""

from __future__ import annotations

from math import cos, hypot, radians, tan

import pytest

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.design.tables.finishes import FINISHES
from tracker.design.tables.glues import GLUES
from tracker.design.tables.spread_rates import COVERAGES, SPREADS, coverage_of, spread_of
from tracker.plan.consumables import (
    end_area,
    estimated_joint_area,
    finish_needed,
    glue_needed,
    joint_area,
    surface_area,
)
from tracker.plan.plugs import plug_holes

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


PANEL = """
[[parts]]
id = "board"
name = "Board"
quantity = 3
wood = "oak"
length = 30

[[parts]]
id = "lip"
name = "Lip"
quantity = 2
wood = "oak"
length = 30
width = 1

[[parts]]
id = "end"
name = "Breadboard end"
quantity = 2
wood = "oak"
length = 14
width = 2
"""
GLUED = 'by = "glue"\nglue = "PVA, interior (white)"\n'


def placed(rows: str, joins: str, id_: str = "top", size: str = '[30, 12, "3/4"]') -> str:
    head = f'[[assemblies]]\nid = "{id_}"\nname = "{id_.title()}"\njoins = {joins}\n{GLUED}'
    return f"{head}size = {size}\nplace = [\n{rows}\n]\n"


LAID = '{ part = "board", lies = "B right, top up", at = { left = 0, front = 0 }, count = 3, step = { back = 4 } },'


def test_boards_that_are_placed_side_by_side_are_glued_at_their_edges_without_a_sequence() -> None:
    made = build(PANEL, placed(LAID, "{ board = 3 }"))
    assert joint_area(made, made.assembly("top")) == pytest.approx(2 * 30 * 0.75 * INCH**2)


def test_boards_that_are_placed_face_to_face_are_glued_at_their_faces() -> None:
    rows = '{ part = "board", lies = "B right, top up", at = { bottom = 0 }, count = 3, step = { up = "3/4" } },'
    made = build(PANEL, placed(rows, "{ board = 3 }", size='[30, 4, "2 1/4"]'))
    assert joint_area(made, made.assembly("top")) == pytest.approx(2 * 30 * 4 * INCH**2)


def test_what_was_glued_up_before_counts_with_what_is_glued_to_it_alone() -> None:
    """Two lips of 30 x 3/4 on the panel's long sides, two breadboard ends of 14 x 3/4 across panel and lips."""
    rows = """{ assembly = "top", at = { left = 2, front = 1 } },
  { part = "lip", lies = "B right, top up", at = { left = 2, front = 0 }, mirror = "front-back" },
  { part = "end", lies = "B back, top up", at = { left = 0, front = 0 }, mirror = "left-right" },"""
    outer = placed(rows, "{ top = 1, lip = 2, end = 2 }", "whole", '[34, 14, "3/4"]')
    made = build(PANEL, placed(LAID, "{ board = 3 }") + outer)
    assert joint_area(made, made.assembly("whole")) == pytest.approx((2 * 30 + 2 * 14) * 0.75 * INCH**2)
    (need,) = glue_needed(made)
    assert need.area == pytest.approx((2 * 30 + 2 * 30 + 2 * 14) * 0.75 * INCH**2)


def test_where_nothing_says_how_they_meet_the_estimate_is_on_the_high_side() -> None:
    """The same without places: three boards edge to edge; lips and ends count their long edges, the panel one."""
    inner = f'[[assemblies]]\nid = "top"\nname = "Top"\njoins = {{ board = 3 }}\n{GLUED}'
    outer = f'[[assemblies]]\nid = "whole"\nname = "Whole"\njoins = {{ top = 1, lip = 2, end = 2 }}\n{GLUED}'
    made = build(PANEL, inner + outer)
    assert joint_area(made, made.assembly("top")) == pytest.approx(2 * 30 * 0.75 * INCH**2)
    estimate = estimated_joint_area(made, made.assembly("whole"))
    assert (2 * 30 + 2 * 14) * 0.75 * INCH**2 <= estimate <= 1.3 * (2 * 30 + 2 * 14) * 0.75 * INCH**2


def test_pieces_that_are_left_over_and_further_copies_count_too() -> None:
    glued = f'[[assemblies]]\nid = "top"\nname = "Top"\njoins = {{ board = 3 }}\n{GLUED}'
    finish = 'finish = { kind = "Danish oil", coats = 1 }\n'
    board = 2 * (30 * 4 + 30 * 0.75 + 4 * 0.75) * INCH**2
    only = PANEL.split("[[parts]]")[1]
    for quantity, copies in ((3, 1), (4, 1), (6, 2), (7, 2)):
        made = build("[[parts]]" + only.replace("quantity = 3", f"quantity = {quantity}"), glued + finish)
        (glue,), (oil,) = glue_needed(made), finish_needed(made)
        assert glue.area == pytest.approx(copies * 2 * 30 * 0.75 * INCH**2)
        assert oil.area == pytest.approx(quantity * board)


def test_holes_that_stay_open_get_no_plug() -> None:
    """Four pieces of two holes at both ends, one line of which stays open: 8 plugs, not 16."""
    rail = SIDES.replace('joint = { kind = "ring", sides = 6, lean = 10 }', "").replace("quantity = 6", "quantity = 4")
    line = '{ kind = "through", end = "both", from_edge = 1, from_end = %s, diameter = "3/8"%s }'
    holes = f"holes = [{line % (1, '')}, {line % (3, ', plug = false')}]\n"
    made = build(rail + holes, RING.replace("side = 6", "side = 4"))
    assert sum(each.count for each in plug_holes(made, "ring")) == 8


def test_the_ends_of_a_square_board_are_width_by_thickness() -> None:
    """A side of the tray is 3/4 by 4 in, square at both ends: 2 × 3 in²."""
    made = build('[[parts]]\nid = "side"\nwood = "oak"\nlength = 20\n', "")
    assert end_area(made.part("side")) == pytest.approx(2 * 3 * INCH**2)
