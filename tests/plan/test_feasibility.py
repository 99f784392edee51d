"""Shapes that can't be cut are reported with their lines in the build file."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from made import build, ends, part
from shapely.geometry import Polygon

from tracker.cli.main import commands
from tracker.design.lines import Lines
from tracker.design.load import load_build
from tracker.design.model import EndCuts, Hole, RackBoard, RingJoint, Taper
from tracker.design.problems import Problem
from tracker.measure import inches, millimetres
from tracker.plan.feasibility import check
from tracker.plan.geometry import solid

HEAD = """[build]
name = "Bench"
units = "in"
[shop]
max_miter = 50
max_bevel = 45
end_trim = "1/2"
[woods.oak]
species = "white oak"
section = "1x6"
lengths = ["4 ft", "6 ft"]
prices = [10, 14]
[[parts]]
id = "rail"
wood = "oak"
"""


def told(lines: str) -> list[Problem]:
    """The problems of a part with these lines, the first of which is line 16 of the file."""
    loaded = load_build(HEAD + lines)
    assert loaded.build is not None, loaded.problems
    return list(check(loaded.build))


def line_of(lines: str, key: str) -> int:
    return 16 + next(number for number, line in enumerate(lines.splitlines()) if key in line)


def test_a_sound_part_has_no_problems() -> None:
    assert told('length = 24\nallowance = 1\nholes = [{ kind = "pocket", end = "B", from_edge = [1, 4] }]') == []


@pytest.mark.parametrize(
    ("lines", "key", "what"),
    [
        ("length = 6\nend_a = { miter = 30 }\nend_b = { miter = 40 }", "end_b", "ends cross"),
        ("length = 2\nend_a = { miter = 40 }", "end_a", "ends cross"),
        ("length = 1\nend_a = { bevel = 44 }\nend_b = { bevel = 40 }", "end_b", "ends cross"),
        ("length = 5\njoint = { kind = 'ring', sides = 4, lean = 45 }", "joint", "ends cross"),
        ("length = 80", "length", "no board of oak gives more than 71"),
        ("length = 70\nallowance = 2", "length", "no board of oak gives more than 71"),
        (
            "length = 24\nend_b = { miter = 30 }\ntapers = [\n"
            "  { edges = 'near', start = 22, end = 'B', leave = 3 },\n]",
            "start = 22",
            "starts off the piece",
        ),
        (
            "length = 24\ntapers = [\n  { edges = 'near', start = 4, end = 'B', leave = 3 },\n"
            "  { edges = 'far', start = 4, end = 'B', leave = 4 },\n]",
            "leave = 4",
            "takes nothing off",
        ),
        (
            "length = 24\ntapers = [\n  { edges = 'near', length = 25, end = 'B', leave = 3 },\n]",
            "length = 25",
            "the taper is longer than the piece",
        ),
        (
            "length = 24\ntapers = [\n  { edges = 'near', end = 'B', leave = 3, angle = 1 },\n]",
            "angle = 1",
            "the taper is longer than the piece",
        ),
        (
            "length = 24\ntapers = [\n  { edges = 'both', end = 'B', length = 12, angle = 20 },\n]",
            "angle = 20",
            "the taper is deeper than the board",
        ),
        (
            "length = 24\nholes = [\n  { kind = 'pocket', end = 'B', from_edge = ['3/4', 6] },\n]",
            "from_edge",
            "hole 2 at end B is off the piece",
        ),
        (
            "length = 24\nholes = [\n"
            "  { kind = 'through', end = 'A', from_edge = 1, from_end = 25, diameter = '3/8' },\n]",
            "from_end",
            "hole 1 at end A is off the piece",
        ),
        (
            "length = 24\nholes = [\n"
            "  { kind = 'through', end = 'A', from_edge = '1/8', from_end = 5, diameter = '3/8' },\n]",
            "from_edge",
            "hole 1 at end A is off the piece",
        ),
        (
            "length = 24\ntapers = [{ edges = 'near', start = 4, end = 'B', leave = 2 }]\n"
            "holes = [{ kind = 'pocket', end = 'B', from_edge = 1 }]",
            "holes",
            "hole 1 at end B is off the piece",
        ),
        (
            "length = 24\nholes = [\n"
            "  { kind = 'blind', end = 'A', from_edge = 1, from_end = 5, diameter = '3/8', depth = '3/4' },\n]",
            "depth",
            "comes out at the other face",
        ),
    ],
)
def test_each_mistake_is_told_once_at_its_line(lines: str, key: str, what: str) -> None:
    found = [problem for problem in told(lines) if problem.kind == "problem"]
    assert len(found) == 1, found
    assert what in found[0].what
    assert found[0].line == line_of(lines, key)


def test_a_blank_shorter_than_the_piece() -> None:
    """Values that the loader may refuse on its own are caught here as well."""
    (found,) = check(build(part(allowance=-3, lines=Lines({"allowance": 7}))))
    assert (found.line, found.kind) == (7, "problem")
    assert "shorter than the piece" in found.what


def test_a_taper_deeper_than_the_board() -> None:
    deep = Taper(edges="near", start=millimetres(100), end="B", leave=millimetres(-5))
    (found,) = check(build(part(tapers=(deep,), lines=Lines({"tapers.0.leave": 9}))))
    assert found.line == 9
    assert "deeper than the board" in found.what


def test_tapers_from_both_ends_and_edges_leave_a_piece() -> None:
    near = Taper(edges="near", start=millimetres(100), end="B", leave=millimetres(20))
    far = Taper(edges="far", start=millimetres(100), end="A", leave=millimetres(10))
    made = part(tapers=(near, far))
    assert check(build(made)) == ()
    assert Polygon(solid(made).silhouette()).area > 0


def test_ends_that_just_meet_in_a_point_can_be_cut() -> None:
    assert check(build(part(length=160, ends=ends(45, 45)))) == ()


@pytest.mark.parametrize(
    ("lines", "key", "way"),
    [
        ("length = 30\nend_b = { miter = 60 }", "end_b", "set the complement, 30°"),
        ("length = 30\nend_a = { bevel = 50 }", "end_a", "stand the piece on its edge"),
        ("length = 30\njoint = { kind = 'ring', sides = 3, lean = 60 }", "joint", "not on this saw"),
    ],
)
def test_an_angle_past_the_saw_is_a_note_that_names_the_way_out(lines: str, key: str, way: str) -> None:
    notes = [problem for problem in told(lines) if problem.kind == "note"]
    assert any(way in note.what and note.line == line_of(lines, key) for note in notes), notes
    assert all(problem.kind == "note" for problem in told(lines))


def test_a_short_mitred_piece_wants_a_jig() -> None:
    (note,) = told("length = 5\nwidth = 2\nend_b = { miter = 15 }")
    assert note.kind == "note"
    assert "clamp it in a jig" in note.what


def test_a_rack_board_is_long_enough_where_the_dealers_are_not() -> None:
    long = part(length=3000)
    board = RackBoard(wood="oak", length=millimetres(3400), name="A1", defects=((millimetres(100), millimetres(150)),))
    assert check(build(long))
    assert check(build(long, rack=(board,))) == ()
    split = RackBoard(wood="oak", length=inches(130), name="A2", defects=((inches(60), inches(60)),))
    assert check(build(long, rack=(split,)))


def test_problems_come_in_the_order_of_the_file() -> None:
    first = part(id="a", line=30, length=5000)
    second = part(id="b", line=20, ends=ends(80, 80))
    assert [problem.line for problem in check(build(first, second))] == [20, 30]


def test_what_has_no_shape_is_one_problem() -> None:
    (found,) = check(build(part(ends=RingJoint(sides=2), lines=Lines({"joint": 4}))))
    assert (found.line, found.kind) == (4, "problem")


def test_a_hole_in_a_right_hand_piece_is_checked_once() -> None:
    hole = Hole(kind="pocket", end="B", from_edge=(millimetres(90),), face="bottom", line=6)
    assert len(check(build(part(left=1, right=1, holes=(hole,), ends=EndCuts())))) == 1


@pytest.mark.parametrize(
    ("lines", "key", "what"),
    [
        ("length = 24\nallowance = -1", "allowance", "must not be less than zero"),
        ("length = 24\nallowance = '-1/2'", "allowance", "must not be less than zero"),
        (
            "length = 24\ntapers = [\n  { edges = 'near', start = 4, end = 'B', leave = -1 },\n]",
            "leave",
            "must not be less than zero",
        ),
        (
            "length = 24\ntapers = [\n  { edges = 'both', start = 4, end = 'A', leave = 0 },\n]",
            "leave",
            "must be more than zero",
        ),
        ("length = 6\nend_a = { miter = 30 }\nend_b = { miter = 40 }", "end_b", "its ends cross"),
        (
            "length = 24\nholes = [\n  { kind = 'pocket', end = 'B', from_edge = [1, 6] },\n]",
            "from_edge",
            "off the piece",
        ),
    ],
)
def test_the_command_tells_every_shape_that_cannot_be_cut_at_its_line(
    lines: str, key: str, what: str, tmp_path: Path
) -> None:
    """A blank shorter than the piece, a taper deeper than the board, ends that cross, a hole off the piece: a person
    reads one problem with its line, no matter whether the loader or the solid finds it."""
    file = tmp_path / "bench.toml"
    file.write_text(HEAD + lines, encoding="utf-8")
    told = CliRunner().invoke(commands, ["check", str(file)])
    assert told.exit_code == 1
    wrong = [line for line in told.stderr.splitlines() if not line.startswith("note: ")]
    assert len(wrong) == 1, told.stderr
    assert wrong[0].startswith(f"{file}:{line_of(lines, key)}: ")
    assert what in wrong[0]


def test_of_a_wood_that_is_only_on_the_rack_the_longest_clear_stretch_counts() -> None:
    """No length is for sale: a board of 40 in with 1/2 in trims and a knot from 30 to 32 in gives 29 3/8 in, one of 36
    in gives 35 in."""
    rack = "".join(
        f'[[rack]]\nwood = "oak"\nname = "{name}"\n{board}\n'
        for name, board in (("A", "length = 40\ndefects = [[30, 32]]"), ("B", "length = 36"))
    )
    head = HEAD.replace('lengths = ["4 ft", "6 ft"]\nprices = [10, 14]\n', "")
    for length, wrong in ((35, False), (36, True)):
        loaded = load_build((head.replace("[[parts]]", rack + "[[parts]]") + f"length = {length}\n").encode())
        assert loaded.build is not None, loaded.problems
        said = [each.what for each in check(loaded.build) if "no board of oak gives more" in each.what]
        assert said == (['rail: its blank is 36", and no board of oak gives more than 35"'] if wrong else []), length
