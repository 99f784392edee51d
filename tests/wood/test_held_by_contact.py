"""When the contacts of a board or panel with another piece hold it across its grain: each angle's limit, by hand.

The board's grain runs to the right and it lies flat, so it moves to the front and back."""

from __future__ import annotations

from math import cos, radians, sin
from types import SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace
from wood.test_fastened import TABLE, top

from tracker.plan.place.poses import Pose
from tracker.plan.wood import cross_grain
from tracker.plan.wood.cross_grain import Contact, _held
from tracker.plan.wood.fastened import Held

UP, FLAT = (0.0, 0.0, 1.0), Pose()
LOOSE = {"board": replace(top(), id="board"), "second": replace(top(), id="second", dry_strain=-0.02)}


def held(second: float, other: float, normal: Any = UP, across: Any = LOOSE, pose: Pose = FLAT) -> Held | None:
    """The board and a second one, whose grain is off by these degrees, on a cleat whose grain is so far from across."""
    grains = {
        "board": (1.0, 0.0, 0.0), "second": (cos(radians(second)), sin(radians(second)), 0.0),
        "cleat": (sin(radians(other)), cos(radians(other)), 0.0),
    }  # fmt: skip
    board, beside, cleat = (SimpleNamespace(part=part, pose=pose) for part in grains)
    contacts: list[Any] = [
        Contact(board, cleat, ((0.0, 10.0, 0.0), (50.0, 120.0, 0.0)), normal),  # type: ignore[arg-type]
        Contact(beside, cleat, ((0.0, 120.0, 0.0), (50.0, 210.0, 0.0)), normal),  # type: ignore[arg-type]
    ]
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(cross_grain, "_grain", lambda _, piece: grains[piece.part])
        return _held(None, TABLE, contacts, across)  # type: ignore[arg-type]


def test_it_is_held_over_all_contacts_and_moves_as_the_board_that_moves_most() -> None:
    """From 10 to 210 mm across the grain; 200 · 0.02 of the second board in the dry season."""
    found = held(0, 0)
    assert found is not None
    assert (found.id, found.assembly, found.by, found.line) == ("second", "table", "screws", TABLE.line)
    assert found.moves == pytest.approx(200 * 0.02)


@pytest.mark.parametrize(
    ("degrees", "parallel"), [(5.1, True), (5.2, False), (174.9, True), (174.8, False), (90, False)]
)
def test_boards_within_five_degrees_of_one_another_move_together(degrees: float, parallel: bool) -> None:
    assert (held(degrees, 0) is not None) is parallel


@pytest.mark.parametrize(("degrees", "holds"), [(0, True), (45.5, True), (45.6, False), (90, False), (134.5, True)])
def test_a_cleat_within_45_degrees_of_across_holds_it(degrees: float, holds: bool) -> None:
    """cos 45.5° = 0.7009, cos 45.6° = 0.6997; 134.5° is 45.5° the other way."""
    assert (held(0, degrees) is not None) is holds


@pytest.mark.parametrize(("degrees", "holds"), [(90, True), (45.6, True), (45.5, False), (0, False)])
def test_end_grain_is_not_held(degrees: float, holds: bool) -> None:
    """The normal of the contact from the grain: the end of a board meets the cleat with its grain."""
    normal = (cos(radians(degrees)), 0.0, sin(radians(degrees)))
    assert (held(0, 0, normal) is not None) is holds


def test_a_piece_that_is_not_known_to_move_is_left_out() -> None:
    assert held(0, 0, across={"board": top()}) is None


def test_through_its_thickness_the_rings_lie_the_other_way() -> None:
    """On edge, a flat-sawn board moves by its radial coefficient, which is about half."""
    flat, edge = held(0, 0), held(0, 0, pose=Pose(((1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0))))
    assert flat is not None
    assert edge is not None
    wood = top().wood
    assert edge.moves / flat.moves == pytest.approx(wood.radial / wood.tangential)
