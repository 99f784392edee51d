"""Mitre, bevel and lengths of joints against tables, and against planes in linear algebra (numpy).

compound_joints.csv: derived, and verified by a 3-D construction of the cut planes, independent of this program.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from made import mm

from tracker.measure import millimetres
from tracker.plan.compound_mitre import corner, dihedral, ring, splayed_leg
from tracker.plan.slants import across, through

ROWS = list(csv.DictReader((Path(__file__).parent / "data" / "compound_joints.csv").open(encoding="utf-8")))
EXACT = 0.001


def by_planes(sides: float, lean: float) -> tuple[float, float]:
    """Mitre and bevel from the planes of two neighbouring faces, which is what the formulas were derived from."""

    def frame(turn: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        out = np.array([np.cos(turn), np.sin(turn), 0.0])
        up = np.array([0.0, 0.0, 1.0])
        a = np.radians(lean)
        return np.cross(up, out), np.sin(a) * out + np.cos(a) * up, np.cos(a) * out - np.sin(a) * up

    length, width, face = frame(0.0)
    neighbour = frame(2 * np.pi / sides)[2]
    bisector = neighbour - face
    bisector /= np.linalg.norm(bisector)  # the plane of the cut, square to the plane halfway between the faces
    line = np.cross(face, neighbour)  # along the joint, on the outer face
    miter = np.degrees(np.arctan2(abs(line @ length), abs(line @ width)))
    bevel = np.degrees(np.arcsin(abs(bisector @ face)))
    return float(miter), float(bevel)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['N']}-{row['tilt_from_vertical_deg']}")
def test_every_row_of_the_table(row: dict[str, str]) -> None:
    sides, lean = int(row["N"]), float(row["tilt_from_vertical_deg"])
    cut, butted = ring(sides, lean), ring(sides, lean, butted=True)
    assert cut.miter == pytest.approx(float(row["miter_from_square_deg"]), abs=EXACT)
    assert cut.bevel == pytest.approx(float(row["bevel_from_square_deg"]), abs=EXACT)
    assert dihedral(cut) == pytest.approx(float(row["interior_dihedral_deg"]), abs=EXACT)
    assert butted.miter == pytest.approx(float(row["miter_from_square_deg"]), abs=EXACT)
    assert butted.bevel == pytest.approx(float(row["butt_bevel_from_square_deg"]), abs=EXACT)
    assert (cut.long, cut.long_face) == ("far", "top")


def test_the_table_is_all_there() -> None:
    assert len(ROWS) == 27


@pytest.mark.parametrize("sides", range(3, 17))
def test_rows_that_are_not_in_the_table(sides: int) -> None:
    """N 3 to 16, lean 0 to 60 by half degrees."""
    for lean in np.arange(0, 60.5, 0.5):
        cut = ring(sides, float(lean))
        assert (cut.miter, cut.bevel) == pytest.approx(by_planes(sides, float(lean)), abs=EXACT)


@pytest.mark.parametrize(
    ("sides", "lean", "miter", "bevel"),
    [
        (4, 5, 4.981, 44.782), (4, 10, 9.851, 44.136), (4, 15, 14.511, 43.080), (4, 30, 26.565, 37.761),
        (4, 38, 31.619, 33.863), (4, 45, 35.264, 30.000), (3, 10, 16.740, 58.525), (5, 10, 7.191, 35.370),
        (5, 15, 10.650, 34.594),
        (6, 5, 2.881, 29.874), (6, 10, 5.725, 29.499), (6, 15, 8.499, 28.879), (6, 30, 16.102, 25.659),
        (8, 10, 4.114, 22.140), (8, 30, 11.701, 19.355), (12, 10, 2.664, 14.767), (12, 30, 7.631, 12.953),
    ],
)  # fmt: skip
def test_compound_angles_to_a_thousandth(sides: int, lean: float, miter: float, bevel: float) -> None:
    """Computed independently and verified by a saw-table model; the 31.6/33.9 and 35.3/30.0 settings of mouldings
    (marks on saw scales, from memory) are N 4 at 38° and 45°."""
    cut = ring(sides, lean)
    assert (cut.miter, cut.bevel) == pytest.approx((miter, bevel), abs=5.5e-4)


@pytest.mark.parametrize(
    ("plan_angle", "lean", "miter", "bevel"), [(85, 38, 33.896, 35.520), (135, 38, 14.306, 17.551)]
)
def test_corners_of_any_plan_angle(plan_angle: float, lean: float, miter: float, bevel: float) -> None:
    """Computed independently, verified by a saw-table model."""
    cut = corner(plan_angle, lean)
    assert (cut.miter, cut.bevel) == pytest.approx((miter, bevel), abs=5.5e-4)


@pytest.mark.parametrize(
    ("sides", "cut_angle"),
    [(3, 60), (4, 45), (5, 36), (6, 30), (7, 25.714), (8, 22.5), (9, 20), (10, 18), (12, 15)],
)
def test_a_flat_ring_is_cut_at_180_over_n(sides: int, cut_angle: float) -> None:
    """Plane geometry of a regular polygon; lying flat it is all mitre, standing upright all bevel, exactly."""
    flat, upright = ring(sides, 90), ring(sides, 0)
    assert flat.miter == pytest.approx(cut_angle, abs=5e-4)
    assert flat.bevel == 0
    assert upright.bevel == pytest.approx(cut_angle, abs=5e-4)
    assert upright.miter == 0


def test_a_ring_leaning_inward_is_longer_at_its_lower_edge() -> None:
    cut = ring(6, -10)
    assert (cut.long, cut.long_face) == ("near", "top")
    assert cut.miter == ring(6, 10).miter


@pytest.mark.parametrize(
    ("height", "front", "side", "runs", "length", "resultant", "sight", "miter", "bevel"),
    [
        (400, 10, 10, (70.531, 70.531), 412.249, 14.002, 45, 9.851, 10),
        (420, 12, 8, (89.274, 59.027), 433.421, 14.296, 33.472, 11.887, 8),
        (380, 15, 0, (101.821, 0), 393.405, 15, 0, 15, 0),
    ],
)
def test_splayed_legs(
    height: float, front: float, side: float, runs: tuple[float, float], length: float, resultant: float, sight: float,
    miter: float, bevel: float,
) -> None:  # fmt: skip
    """Computed independently and verified by rotations."""
    leg = splayed_leg(millimetres(height), front, side)
    assert (mm(leg.run_front), mm(leg.run_side)) == pytest.approx(runs, abs=5.5e-4)
    assert mm(leg.length) == pytest.approx(length, abs=5.5e-4)
    assert (leg.resultant, leg.sight) == pytest.approx((resultant, sight), abs=5.5e-4)
    assert (leg.miter, leg.bevel) == pytest.approx((miter, bevel), abs=5.5e-4)


def test_an_upright_leg_stays_exact() -> None:
    leg = splayed_leg(millimetres(400), 0, 0)
    assert leg.length == millimetres(400)
    assert leg.foot.square
    assert leg.seat.square


def test_offsets_of_square_cuts_are_exactly_nothing() -> None:
    assert across(millimetres(80), 0).mm == 0
    assert across(millimetres(80), 45) == millimetres(80)
    assert through(millimetres(20), ring(4, 90)).mm == 0


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: ring(2, 0), lambda: ring(6, 91), lambda: corner(180), lambda: corner(0),
        lambda: splayed_leg(millimetres(400), 90, 0),
    ],
)  # fmt: skip
def test_what_makes_no_joint_is_refused(wrong: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match=r"ring|lean|angle"):
        wrong()
