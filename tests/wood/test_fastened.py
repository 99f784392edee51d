"""How something wide is held: each way by hand. A top of white oak, 400 mm wide, flat-sawn (C_T 0.00365 per percent,
Wood Handbook, table 13-5); play of 0.5 mm, 3 mm in a groove, a swing of 45°: common practice, no source."""

from __future__ import annotations

from typing import Any

import pytest

from tracker.design.in_use import Fastened
from tracker.design.model import Assembly
from tracker.measure import millimetres
from tracker.plan.wood.fastened import Across, Gap, Held, SlotNeeded, fastened, held_solid
from tracker.plan.wood.movement import FREE, SOLID, held, panel_in_groove, swings_far_enough, widest_solid
from tracker.plan.wood_properties import find

DRY, DAMP = -0.00365 * 2, 0.00365 * 3
OAK = find("white oak")
TABLE = Assembly(id="table", name="Table", quantity=1, copies=1, clamps=0, line=0, joins=(("top", 1),), by="screws")


def top(rings: float = 0.0, dry: float = DRY, damp: float = DAMP) -> Across:
    assert OAK is not None
    return Across("top", "Top", 400.0, dry, damp, OAK, rings)


def held_by(by: Any, **more: Any) -> list[Any]:
    return list(fastened(top(), TABLE, Fastened(id="top", by=by, **more)))


def test_slots_buttons_and_figure_eights_at_both_sides_of_the_middle() -> None:
    """250 mm from the middle: in by 250 · 0.0073 = 1.825, out by 250 · 0.01095 = 2.7375 mm."""
    at = (millimetres(-250), millimetres(0), millimetres(250))
    left, middle, right = held_by("slots", at=at, shank=millimetres(5))
    assert isinstance(left, SlotNeeded)
    assert (left.at, middle.at, right.at) == (-250, 0, 250)
    assert left.length == right.length == pytest.approx(5 + 1.825 + 2.7375 + 1)
    assert left.screw_from_inner_end == pytest.approx(2.5 + 0.5 + 2.7375)
    assert middle.length == pytest.approx(6)
    assert (left.enough, left.assembly, left.by) == (True, "table", "slots")
    (usual,) = held_by("slots", at=(millimetres(0),))
    assert usual.length == pytest.approx(4.2 + 1), "the shank of a number 8 screw"
    (button,) = held_by("buttons", at=(millimetres(-250),))
    assert (button.length, button.screw_from_inner_end, button.enough) == (pytest.approx(2.7375 + 1), 0, True)
    (eight,) = held_by("figure eights", at=(millimetres(250),), arm=millimetres(4))
    assert (eight.length, eight.screw_from_inner_end, eight.enough) == (4, 0, True)
    (short,) = held_by("figure eights", at=(millimetres(250),), arm=millimetres(3))
    assert not short.enough


def test_a_figure_eight_follows_as_far_as_it_swings() -> None:
    """10 mm between its screws, 45° to each side: 7.0711 mm."""
    assert swings_far_enough(707.1, -0.01, 0.005, 10)
    assert not swings_far_enough(707.2, -0.01, 0.005, 10)
    assert not swings_far_enough(707.2, -0.005, 0.01, 10)


def test_a_panel_in_its_groove_and_a_door_in_its_opening() -> None:
    """It grows by 400 · 0.01095 = 4.38 mm and shrinks by 2.92: half of that and the play at each side."""
    (groove,) = held_by("groove", depth=millimetres(10))
    assert isinstance(groove, Gap)
    assert (groove.gap, groove.stays) == (pytest.approx(2.19 + 0.5), pytest.approx(10 - 2.69 - 1.46))
    assert groove.enough
    (inset,) = held_by("inset")
    assert (inset.gap, inset.stays, inset.enough) == (pytest.approx(4.38 + 1), None, True)
    for depth, enough in ((7.16, True), (7.14, False)):
        (tight,) = held_by("groove", depth=millimetres(depth))
        assert tight.enough is enough
    assert panel_in_groove(400, 0.001, 0.002, 10) == (pytest.approx(0.9), pytest.approx(9.1)), "it only grows"
    assert panel_in_groove(400, -0.002, -0.001, 10) == (pytest.approx(0.5), pytest.approx(9.1)), "it only shrinks"


@pytest.mark.parametrize("by", ["screws", "glue"])
def test_what_is_held_solid(by: str) -> None:
    (solid,) = held_by(by)
    assert isinstance(solid, Held)
    assert (solid.moves, solid.verdict) == (pytest.approx(4.38), "no")
    assert solid.widest == pytest.approx(1.5 / 0.01095)
    assert (solid.of, solid.assembly, solid.by, solid.to) == ("Top", "table", by, "")


def test_the_limits_of_what_may_be_glued_solid() -> None:
    assert (FREE, SOLID) == (0.5, 1.5)
    assert [held(width, -0.001, 0.01)[1] for width in (50, 51, 150, 151)] == ["fine", "caution", "caution", "no"]
    assert held(100, -0.02, 0.01) == (pytest.approx(2.0), "no"), "the worse season counts"
    assert widest_solid(-0.005, 0.003) == pytest.approx(300)
    assert widest_solid(0.0, 0.0) == float("inf")
    assert held_solid(top(), "table", "glue", 40.0).line == 0


def test_how_certain_it_is_depends_on_the_rings() -> None:
    assert [top(rings).certain for rings in (0.0, 90.0, 45.0)] == ["read", "read", "model"]
