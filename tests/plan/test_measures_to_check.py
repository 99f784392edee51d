"""The measures to check on the workpiece, against plane geometry computed corner by corner."""

from __future__ import annotations

import math

import numpy as np
import pytest
from made import ends, mm, part

from tracker.design.model import EndCut, EndCuts, RingJoint
from tracker.measure import Mark, inches, millimetres, read_length
from tracker.measure.tape_reading import MARKS
from tracker.plan.checks import (
    drift,
    frame_diagonal,
    measures,
    out_of_square,
    plan_width,
    ring_across,
    ring_error,
    ring_slip,
    tape_error,
)
from tracker.plan.compound_mitre import ring
from tracker.plan.geometry import solid


@pytest.mark.parametrize(
    ("sides", "error", "width", "inner", "wedge", "each", "one", "half", "chain"),
    [
        (4, 0.25, 60, 300, 2.0, 0.74, 2.96, 1.481, 7.437),
        (6, 0.25, 75, 200, 3.0, 0.76, 4.53, 2.267, 10.551),
        (8, 0.10, 75, 200, 1.6, 0.28, 2.27, 1.133, 7.328),
        (8, 0.25, 75, 200, 4.0, 0.71, 5.67, 2.834, 18.434),
        (12, 0.10, 60, 150, 2.4, 0.22, 2.60, 1.301, 12.217),
    ],
)
def test_what_an_error_at_every_cut_comes_to(
    sides: int, error: float, width: float, inner: float, wedge: float, each: float, one: float, half: float,
    chain: float,
) -> None:  # fmt: skip
    """Computed independently; the chain matches a numeric one."""
    found = ring_error(sides, error, millimetres(width), millimetres(inner))
    assert found.wedge == pytest.approx(wedge)
    assert mm(found.each_joint) == pytest.approx(each, abs=5.5e-3)
    assert mm(found.one_joint) == pytest.approx(one, abs=5.5e-3)
    assert found.half_rings is not None
    assert mm(found.half_rings) == pytest.approx(half, abs=5.5e-4)
    assert mm(found.chain) == pytest.approx(chain, abs=5.5e-4)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12, 16])
@pytest.mark.parametrize("error", [0.05, 0.1, 0.5, -0.3])
def test_the_chain_is_what_is_left_when_the_pieces_are_laid_one_by_one(sides: int, error: float) -> None:
    """Each tight joint turns by twice the angle that was really cut; numpy adds up the inner sides."""
    turns = np.radians(2 * (180 / sides - error)) * np.arange(sides)
    missed = np.hypot(np.cos(turns).sum(), np.sin(turns).sum()) * 200
    assert mm(ring_error(sides, error, millimetres(75), millimetres(200)).chain) == pytest.approx(missed, abs=1e-9)


def test_an_odd_ring_has_no_halves() -> None:
    assert ring_error(5, 0.1, millimetres(60), millimetres(150)).half_rings is None


@pytest.mark.parametrize(("error", "per_100"), [(0.1, 0.175), (0.25, 0.436), (0.5, 0.873), (1.0, 1.746)])
def test_angle_error_over_length(error: float, per_100: float) -> None:
    assert mm(drift(error, millimetres(100))) == pytest.approx(per_100, abs=5.5e-4)


def test_a_frames_diagonals() -> None:
    """3-4-5, and a frame pushed out of square by half a degree, measured with numpy."""
    assert frame_diagonal(millimetres(300), millimetres(400)) == millimetres(500)
    lean = np.radians(0.5)
    top = 400 * np.array([np.sin(lean), np.cos(lean)])
    longer = millimetres(float(np.linalg.norm(np.array([300.0, 0.0]) + top)))
    shorter = millimetres(float(np.linalg.norm(top - np.array([300.0, 0.0]))))
    assert out_of_square(millimetres(300), millimetres(400), longer, shorter) == pytest.approx(0.5, abs=1e-9)


@pytest.mark.parametrize("sides", range(3, 17))
def test_across_a_ring(sides: int) -> None:
    """Corners of a regular polygon, measured with numpy."""
    radius = 250.0
    angles = 2 * np.pi * np.arange(sides) / sides
    corners = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    side = millimetres(float(np.linalg.norm(corners[1] - corners[0])))
    found = [mm(length) for length in ring_across(sides, side)]
    if sides % 2:
        opposite = (corners[sides // 2] + corners[sides // 2 + 1]) / 2
        assert found == pytest.approx([np.linalg.norm(corners[0] - opposite)])
    else:
        flats = np.linalg.norm((corners[0] + corners[1]) / 2 - (corners[sides // 2] + corners[sides // 2 + 1]) / 2)
        assert found == pytest.approx([2 * radius, flats])


def test_what_to_lay_the_tape_on() -> None:
    square = measures(solid(part()))
    assert [(each.what, round(mm(each.length), 3)) for each in square] == [
        ("both edges", 600.0),
        ("both diagonals of the top face", round(math.hypot(600, 80), 3)),
    ]
    side = {each.what: mm(each.length) for each in measures(solid(part(ends=RingJoint(sides=6, lean=10))))}
    assert side["far top edge"] == 600
    assert len(side) == 5
    leaning = {each.what: mm(each.length) for each in measures(solid(part(ends=ends(30, 30, a_long="near"))))}
    assert leaning["all four long edges"] == 600
    assert leaning["tip to tip, along the piece"] == pytest.approx(600 + 80 * math.tan(math.pi / 6))
    shift = 80 * math.tan(math.pi / 6)
    assert leaning["diagonal of the top face, end A near to end B far"] == pytest.approx(math.hypot(600 + shift, 80))
    assert leaning["diagonal of the top face, end A far to end B near"] == pytest.approx(math.hypot(600 - shift, 80))


def test_a_pair_of_edges_that_are_alike_is_one_measure() -> None:
    slanted = measures(solid(part(ends=EndCuts(a=EndCut(bevel=15), b=EndCut(bevel=15)))))
    assert [(each.what, round(mm(each.length), 3)) for each in slanted[:2]] == [
        ("both top edges", 600.0),
        ("both bottom edges", round(600 - 2 * 20 * math.tan(math.radians(15)), 3)),
    ]


def test_an_angle_error_of_a_tenth_over_a_foot() -> None:
    """0.1° is 0.0209 in to the foot: arithmetic."""
    assert mm(drift(0.1, inches(12))) / 25.4 == pytest.approx(0.0209, abs=5e-5)


@pytest.mark.parametrize(("error", "worst"), [("1/64", 0.397), ("1/32", 0.794), ("1/16", 1.588)])
def test_marks_of_a_tape_in_millimetres(error: str, worst: float) -> None:
    assert mm(inches(error)) == pytest.approx(worst, abs=5.5e-4)


@pytest.mark.parametrize("mark", MARKS, ids=str)
def test_no_reading_is_more_than_half_a_mark_off_and_some_are(mark: Mark) -> None:
    """To the nearest 1/32 in that is 1/64 in, 0.397 mm: arithmetic."""
    lengths = [millimetres(600) + inches("1/1024") * count for count in range(1024)]
    worst = max(abs(read_length(length, mark).left_over) for length in lengths)
    assert mark.length.mm * 48 / 100 < worst.mm <= mark.length.mm / 2


@pytest.mark.parametrize(("metres", "error"), [(0.4, 0.5), (1, 0.5), (1.001, 0.7), (2, 0.7), (5, 1.3)])
def test_what_a_good_tape_may_be_off(metres: float, error: float) -> None:
    """0.3 + 0.2 L mm, whole metres up: European class II, measuring instruments directive, from memory."""
    assert mm(tape_error(millimetres(metres * 1000))) == pytest.approx(error)


def turn_between_neighbours(miter: float, bevel: float) -> float:
    """The angle through which the next piece of a ring is turned when both ends are cut so, joint faces flush: two
    mirrors one after the other, the piece's own middle and the plane of its end B."""
    m, b = np.radians(miter), np.radians(bevel)
    normal = np.array([np.cos(b) * np.cos(m), -np.cos(b) * np.sin(m), -np.sin(b)])
    at_the_cut = np.eye(3) - 2 * np.outer(normal, normal)
    turned = at_the_cut @ np.diag([-1.0, 1.0, 1.0])
    return float(np.degrees(np.arccos((np.trace(turned) - 1) / 2)))


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12, 16])
@pytest.mark.parametrize("lean", [-20, 0, 10, 30, 45, 60, 90])
def test_what_a_slip_of_either_scale_does_to_a_leaning_ring(sides: int, lean: float) -> None:
    cut = ring(sides, lean)
    assert turn_between_neighbours(cut.miter, cut.bevel) == pytest.approx(360 / sides, abs=1e-6)
    for slip in (0.1, 0.25, 0.5):
        miter = abs(360 - sides * turn_between_neighbours(cut.miter + slip, cut.bevel))
        bevel = abs(360 - sides * turn_between_neighbours(cut.miter, cut.bevel + slip))
        assert 2 * sides * ring_slip(cut, "miter", slip) == pytest.approx(miter, abs=1e-6)
        assert 2 * sides * ring_slip(cut, "bevel", slip) == pytest.approx(bevel, abs=1e-6)


def test_in_a_flat_ring_the_mitre_slips_and_in_an_upright_one_the_bevel() -> None:
    flat, upright = ring(6, 90), ring(6, 0)
    assert ring_slip(flat, "miter") == pytest.approx(0.25)
    assert ring_slip(upright, "bevel") == pytest.approx(0.25)
    assert ring_slip(flat, "bevel") < 0.001
    assert ring_slip(upright, "miter") < 0.001


@pytest.mark.parametrize("lean", [-30, 0, 10, 38, 90])
def test_a_joint_seen_from_above_is_as_wide_as_the_corners_of_its_end(lean: float) -> None:
    """The four corners of an end of the solid, stood up by the lean: they lie on one line, w / cos(180°/N) long."""
    piece = solid(part(ends=RingJoint(sides=6, lean=lean)))
    a = math.radians(lean)
    seen = [
        (x, y * math.sin(a) + z * math.cos(a))
        for x, y, z in (piece.corner("B", edge, face) for edge in ("near", "far") for face in ("top", "bottom"))
    ]
    joint = max(math.dist(one, other) for one in seen for other in seen)
    assert mm(plan_width(piece.width, piece.thickness, lean)) / math.cos(math.pi / 6) == pytest.approx(joint)
