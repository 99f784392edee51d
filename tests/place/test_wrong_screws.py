"""Mistakes with screws, dowels and bolts are reported with their lines."""

from __future__ import annotations

from pathlib import Path

import pytest
from kit.build_text import one_wood

from tracker.design.problems import Problem
from tracker.plan.screws import screw_problems
from tracker.shop import read_build

HEAD = (
    one_wood("Corner", "mm", "oak", "white oak", "thickness = 20", "width = 100", 'lengths = ["2 m"]')
    + """\
[woods.square]
species = "white oak"
thickness = 40
width = 40
lengths = ["2 m"]
[[parts]]
id = "leg"
name = "Leg"
wood = "square"
length = 400
"""
)
PLACE = """
[[assemblies]]
id = "corner"
joins = { leg = 1, rail = 1 }
by = "screws"
place = [
  { part = "leg", lies = "A up, near right", at = { left = 0, front = 0 } },
  { part = "rail", lies = "B left, top front", at = { left = 40, front = 10, top = 400 } },
]
"""


def said(
    holes: str, tmp_path: Path, leg: str = "", rail: str = "length = 300", place: str = PLACE
) -> tuple[list[Problem], int]:
    """Every problem and note, and the line of the rail's holes."""
    lines = f'{HEAD}{leg}\n[[parts]]\nid = "rail"\nname = "Rail"\nwood = "oak"\n{rail}\n'
    file = tmp_path / "corner.toml"
    file.write_text(f"{lines}{holes}\n{place}")
    loaded = read_build(file)
    found = list(loaded.problems)
    if loaded.build is not None:
        found += screw_problems(loaded.build)
    return found, lines.count("\n") + 1


P = 'kind = "pocket", end = "B"'
D = 'kind = "dowel", end = "B", face = "end"'


def row(text: str) -> str:
    return f"holes = [{{ {text} }}]"


@pytest.mark.parametrize(
    ("holes", "kind", "words"),
    [
        (P + ", from_edge = 30, screw = 90", "problem", "comes out of the far edge of Leg by"),
        (P + ", from_edge = 30, screw = 12", "problem", "ends in its own piece"),
        ('kind = "screw", end = "B", from_end = 20, from_edge = 30, screw = 18', "problem", "ends in its own piece"),
        (
            'kind = "screw", end = "B", from_end = 20, from_edge = 30, screw = 30, recess = 25, plug = 10',
            "problem",
            "recess is deeper than the piece",
        ),
        (
            'kind = "screw", end = "B", from_end = 20, from_edge = 4, screw = 30, recess = 5, plug = 12',
            "problem",
            "its recess comes out of the near edge of Rail by 2 mm",
        ),
        (
            'kind = "screw", end = "B", from_end = 20, from_edge = 30, screw = 30, recess = 5, plug = 3',
            "problem",
            "its plug is no wider than its screw",
        ),
        (P + ", from_edge = [30, 30]", "problem", "runs into the bore from Rail"),
        (P + ", from_edge = [30, 36]", "problem", "runs into the bore from Rail by 3.5 mm"),
        (P + ", places = 9", "note", "9 don't fit with 25 mm from one to the next, 4 do"),
        (P + ", places = 2, from_edge = 30", "problem", "'places' and 'from_edge' both say"),
        (P, "problem", "'from_edge' is missing"),
        ('kind = "pocket", end = "A", from_edge = 30', "note", "what its pocket at end A goes into isn't known"),
        (
            P + ", from_edge = 30, shoulder = 40",
            "problem",
            "the pocket's seat isn't all in the wood",
        ),
        (P + ", from_edge = 30, bore = 18", "note", "the wood behind the pocket is too thin"),
        (
            P + ", from_edge = 30, shoulder = 2",
            "note",
            "the screw's head has 2 mm of wood before",
        ),
        (P + ", from_edge = 30, recess = 4", "problem", "a pocket hole has no 'recess'"),
        (
            D + ", from_edge = 30, diameter = 8",
            "problem",
            "needs 'depth' or 'length'",
        ),
        (
            D + ", from_edge = 30, diameter = 8, length = 100",
            "problem",
            "comes out of the far edge of Leg by 10 mm",
        ),
        (
            D + ", from_edge = 30, diameter = 8, length = 40, depth = 40",
            "problem",
            "ends in its own hole",
        ),
        (
            D + ", from_end = 5, from_edge = 30, diameter = 8",
            "problem",
            "no 'from_end'",
        ),
        (
            'kind = "bolt", end = "B", from_end = 20, from_edge = 30, diameter = 6, '
            "length = 60, counterbore = 5, recess = 5",
            "problem",
            "its counterbore is no wider than its bolt",
        ),
        ('kind = "screw", end = "B", face = "near", from_end = 20, from_edge = 3', "problem", "no 'from_edge'"),
        ('kind = "screw", end = "B", from_end = 20, from_edge = 30, plug = 10', "problem", "a plug needs a recess"),
        (P + ", from_edge = 30, gauge = 40", "problem", "gauge"),
    ],
)
def test_a_wrong_row_is_said_with_its_line(holes: str, kind: str, words: str, tmp_path: Path) -> None:
    found, line = said(row(holes), tmp_path)
    ours = [each for each in found if words in each.what]
    assert ours, found
    assert {(each.line, each.kind) for each in ours} == {(line, kind)}


def test_a_row_without_fault_says_nothing(tmp_path: Path) -> None:
    for holes in (
        P + ", from_edge = [30, 70]",
        P + ", places = 2",
    ):
        found, _ = said(row(holes), tmp_path)
        assert found == []


def test_pockets_of_a_short_piece_that_run_into_each_other(tmp_path: Path) -> None:
    found, line = said(row('kind = "pocket", end = "both", from_edge = 30'), tmp_path, rail="length = 90")
    assert any("its bore runs into the bore from Rail" in each.what and each.line == line for each in found), found


def test_a_mitre_that_cuts_a_mouth(tmp_path: Path) -> None:
    rail = "length = 300\nend_b = { miter = 60 }"
    found, line = said(row(P + ", from_edge = 30, shoulder = 2"), tmp_path, rail=rail)
    assert any("end B cuts into its mouth" in each.what and each.line == line for each in found), found


def test_a_screw_that_runs_into_a_half_lap_of_the_leg(tmp_path: Path) -> None:
    lap = 'laps = [{ end = "A", from_end = 20, crosses = "leg", face = "bottom" }]'
    found, line = said(row(P + ", from_edge = [30, 70], screw = 35"), tmp_path, leg=lap)
    assert any("runs into the half-lap of Leg" in each.what and each.line == line for each in found), found


def test_a_place_past_a_taper(tmp_path: Path) -> None:
    rail = 'length = 300\ntapers = [{ edges = "near", start = 100, end = "B", leave = 40 }]'
    found, line = said(row(P + ", from_edge = 20"), tmp_path, rail=rail)
    assert any("off the piece" in each.what and each.line == line for each in found), found


def test_nowhere_to_put_a_screw_says_what_is_in_the_way(tmp_path: Path) -> None:
    found, line = said(row(P + ", places = 2, screw = 60"), tmp_path)
    (wrong,) = found
    assert (wrong.line, wrong.kind) == (line, "problem")
    assert wrong.what == "Rail: no place is found for its screws"
    assert "its thread and the far edge of Leg" in wrong.hint


def test_without_places_the_pieces_are_looked_at_alone(tmp_path: Path) -> None:
    place = '[[assemblies]]\nid = "corner"\njoins = { leg = 1, rail = 1 }\nby = "screws"\n'
    found, line = said(row('kind = "pocket", end = "both", from_edge = 30'), tmp_path, rail="length = 90", place=place)
    assert any("its bore runs into the bore" in each.what and each.line == line for each in found)
    assert any("isn't known" in each.what and each.kind == "note" for each in found)


ARCH = """
[[outlines]]
id = "arch"
of = "rail"
path = [{ from = [0, 0] }, { to = [300, 0], through = [150, 50] }, { to = [300, 100] }, { to = [0, 100] }]
at = { left = 0, front = 0 }
margin = 0
"""


def test_a_curve_that_is_sawn_later_takes_the_saw_s_wander_with_it(tmp_path: Path) -> None:
    """A bore of 9.5 mm across an arch of radius 250: half of it, and 2 mm of wander, are in the way (and 0.05 mm that
    the chords of the arch may be off). There it is 29 to 11 mm high."""
    found, line = said(row(f"{P}, from_edge = 26"), tmp_path, place=ARCH + PLACE)
    ours = [each for each in found if each.kind == "problem"]
    assert [(each.line, each.what) for each in ours] == [
        (line, "Rail: pocket at end B: its bore is in the way of the saw by 6.8 mm: Rail, at the curve it is sawn to")
    ]
    found, line = said(row(f"{P}, from_edge = 8"), tmp_path, place=ARCH + PLACE)
    assert any("is in the waste of Rail, which is sawn off" in each.what and each.line == line for each in found)
    found, _ = said(row(f"{P}, from_edge = 70"), tmp_path, place=ARCH + PLACE)
    assert found == []


def test_screws_that_come_out_before_the_saw_comes_may_be_in_the_waste(tmp_path: Path) -> None:
    found, _ = said(row(f"{P}, from_edge = 20, temporary = true"), tmp_path, place=ARCH + PLACE)
    assert not any("saw" in each.what for each in found), found


def test_an_assembly_trimmed_to_its_size_takes_the_wander_too(tmp_path: Path) -> None:
    """Sawn off 30 mm from the rail's end A, where a pocket's mouth begins 18 mm from the end."""
    place = PLACE.replace('by = "screws"', 'by = "screws"\ntrim = true\nsize = [310, 40, 400]')
    found, line = said(row('kind = "pocket", end = "A", from_edge = 30'), tmp_path, place=place)
    assert any("in the way of the saw where Rail is trimmed" in each.what and each.line == line for each in found), (
        found
    )


def test_a_dowel_says_where_its_hole_in_the_other_piece_is_until_the_file_has_it(tmp_path: Path) -> None:
    """The rail's upper edge is level with the leg's end A; its middle is 10 + 20 / 2 mm from the leg's front,
    its bottom face; half of a dowel of 40 mm goes into each."""
    dowels = row(D + ", from_edge = [30, 70], diameter = 8, length = 40")
    found, line = said(dowels, tmp_path)
    assert [(each.line, each.kind, each.what) for each in found] == [
        (
            line,
            "note",
            "Rail: its dowel needs a hole in the near edge of Leg, 30 mm from end A, 20 mm from the bottom face, "
            "20 mm deep, and 1 more",
        )
    ]
    bored = 'kind = "dowel", end = "A", face = "near", from_end = [30, 70], from_face = 20, diameter = 8, length = 40'
    assert said(dowels, tmp_path, leg=row(bored))[0] == []
    off = bored.replace("from_face = 20", "from_face = 14")
    found, _ = said(dowels, tmp_path, leg=row(off))
    assert any("runs into the dowel from" in each.what and each.kind == "problem" for each in found)


@pytest.mark.parametrize(("wide", "wrong"), [(8, False), (10, True)])
def test_a_hole_in_the_other_piece_is_a_dowel_s_own_only_where_it_fits(wide: int, wrong: bool, tmp_path: Path) -> None:
    bored = f'kind = "blind", end = "A", from_end = 30, from_edge = 20, diameter = {wide}, depth = 20'
    place = PLACE.replace("near right", "top right")
    dowel = row(D + ", from_edge = 30, diameter = 8, length = 40")
    found, line = said(dowel, tmp_path, leg=row(bored), place=place)
    ours = [each for each in found if each.kind == "problem"]
    assert [each.line for each in ours] == ([line] if wrong else [])
    assert all("its dowel runs into the hole from Leg" in each.what for each in ours)


def test_screws_keep_clear_of_mortises_and_of_bores_of_the_other_piece(tmp_path: Path) -> None:
    """The rail is 20 mm thick, its middle in the middle of the leg; a mortise there leaves the thread no wood."""
    mortise = 'features = [{ kind = "mortise", on = "bottom", from = { A = 20 }, length = 50, width = 10, depth = 25 }]'
    found, line = said(row(P + ", from_edge = 30"), tmp_path, leg=mortise)
    assert [(each.line, each.kind) for each in found] == [(line, "problem")]
    assert "its thread runs into the mortise of Leg by" in found[0].what
    bore = 'features = [{ kind = "bore", on = "far", from = { A = 30 }, diameter = 8, through = true }]'
    found, line = said(row(P + ", from_edge = 30"), tmp_path, leg=bore)
    assert any("its thread runs into the bore from Leg" in each.what and each.line == line for each in found), found
