"""The setting of the saw and the lay of the piece, in the words of the card. (test_joints_from_settings checks the
cut.)"""

from __future__ import annotations

import pytest
from made import SHOP, ends, part
from msgspec.structs import replace

from tracker.design.model import EndCut, RingJoint
from tracker.plan.geometry import solid
from tracker.plan.saw_setting import SawSetting, setting


def both(plan_ends: object, hand: str | None = None) -> tuple[SawSetting, SawSetting]:
    piece = solid(part(length=2000, ends=plan_ends), hand)  # type: ignore[arg-type]
    return setting(piece.a, "A", SHOP), setting(piece.b, "B", SHOP)


def test_in_the_normal_case_the_scales_read_the_cuts_own_angles() -> None:
    for miter in (0, 5.7, 45, 50):
        for bevel in (0, 12.3, 45):
            found = setting(EndCut(miter=miter, bevel=bevel), "B", SHOP)
            assert (found.miter_deg, found.bevel_deg, found.way) == (miter, bevel, "plain")


def test_a_square_end_lies_as_drawn() -> None:
    a, b = both(ends())
    assert a.square
    assert a.lay == b.lay == "top face up, far edge to the fence"
    assert (a.piece, b.piece) == ("right of the blade", "left of the blade")
    assert a.angles == "square"


def test_a_frame_side_is_turned_over_and_the_saw_left_alone() -> None:
    a, b = both(ends(45, 45))
    assert a.angles == b.angles == "swing 45° left"
    assert a.lay == "bottom face up, near edge to the fence"
    assert b.lay == "top face up, far edge to the fence"


def test_a_parallelogram_keeps_its_face_up() -> None:
    a, b = both(ends(15, 15, a_long="near"))
    assert a.lay == b.lay == "top face up, far edge to the fence"
    assert (a.swing, b.swing) == ("left", "left")


def test_both_hands_at_one_setting() -> None:
    for plan in (ends(15, 30), RingJoint(sides=6, lean=10)):
        for left, right in zip(both(plan, "left"), both(plan, "right"), strict=True):
            assert left.angles == right.angles
            assert left.lay != right.lay


def test_upright_ring_sides_keep_the_outer_face_up_and_the_blade_tilted_left() -> None:
    a, b = both(RingJoint(sides=8))
    assert a.angles == b.angles == "tilt 22.5° left"
    assert (a.up, b.up) == ("top face", "top face")
    assert (a.fence, b.fence) == ("far edge", "near edge")


def test_past_the_mitre_scale_the_complement_in_a_jig() -> None:
    a, b = both(ends(60, 60))
    for found in (a, b):
        assert found.way == "complement"
        assert found.miter_deg == pytest.approx(30)
        assert found.bevel_deg == 0
        assert found.piece == "toward you"
    assert a.fence == "end A"
    assert "swing 60° is past this saw's 50°" in a.note
    assert "90° to the fence" in a.note
    assert "clamp it in a jig" in a.note
    assert "never hold it by hand" in a.note


def test_past_the_bevel_scale_on_edge() -> None:
    found = setting(EndCut(bevel=48), "B", SHOP)
    assert found.way == "on edge"
    assert found.miter_deg == pytest.approx(48)
    assert found.bevel_deg == 0
    assert found.up in ("near edge", "far edge")
    assert "stand the piece on its edge" in found.note


def test_a_three_sided_upright_ring_on_edge_with_the_complement() -> None:
    a, b = both(RingJoint(sides=3))
    for found in (a, b):
        assert found.way == "on edge, complement"
        assert found.miter_deg == pytest.approx(30)
        assert found.bevel_deg == pytest.approx(0, abs=1e-9)


def test_what_no_lay_reaches_says_so() -> None:
    no_tilt = replace(SHOP, max_bevel=0)
    found = setting(EndCut(miter=10, bevel=10), "B", no_tilt)
    assert not found.possible
    assert found.note.startswith("not on this saw: tilt 10° is past this saw's 0°")
    assert (found.miter_deg, found.bevel_deg) == (10, 10)


def test_the_end_of_the_scale_is_on_the_scale() -> None:
    """A ring of four is computed as 45°, up to the last bit."""
    assert setting(solid(part(ends=RingJoint(sides=4))).b, "B", SHOP).way == "plain"


def test_words_are_short_enough_for_a_screen() -> None:
    for plan in (ends(45, 45), ends(15, 15, a_long="near"), RingJoint(sides=6, lean=10)):
        for found in both(plan):
            assert len(found.lay) <= 45
            assert len(found.note) <= 75
