"""Joints cut from the saw's settings only, by a saw in linear algebra (numpy), close in space.

Nothing here uses the program's formulas: the cutting plane is tilted and swung as printed, the board is laid as
printed, cut to the printed stop (tip to tip), and the pieces are stood up and put together.
"""

from __future__ import annotations

import random

import numpy as np
import pytest
from made import SHOP, mm, part
from msgspec.structs import replace
from saw_model import Array, about, every_lay, gap, piece, ring_gap, stood

from tracker.design.model import EdgeName, EndCut, EndCuts, FaceName, Hand, Part, RingJoint, Shop, SplayedLegJoint
from tracker.measure import millimetres
from tracker.plan.compound_mitre import corner, ring, splayed_leg
from tracker.plan.geometry import Solid, solid
from tracker.plan.saw_setting import SawSetting, setting
from tracker.plan.shape import ENDS

CLOSED = 0.01
HANDS: tuple[Hand, Hand] = ("left", "right")


def printed(shape: Solid, shop: Shop) -> tuple[SawSetting, SawSetting] | None:
    """The two settings a card prints; None when an end can't be cut on this saw."""
    a, b = setting(shape.a, "A", shop), setting(shape.b, "B", shop)
    return (a, b) if a.possible and b.possible else None


def saw(chance: random.Random) -> Shop:
    """Usual ranges (common practice, no source): mitre 45-52° each side, bevel 45-48°."""
    return replace(SHOP, max_miter=chance.uniform(45, 52), max_bevel=chance.uniform(45, 48))


def cut(shape: Solid, settings: tuple[SawSetting, SawSetting]) -> dict[str, Array]:
    return piece(*settings, mm(shape.edges.overall), mm(shape.width), mm(shape.thickness))


def mirrored_ends(ends: dict[str, Array], width: float) -> dict[str, Array]:
    """Near and far change places; the corners keep their order (near first)."""
    return {name: (points * [1, -1, 1] + [0, width, 0])[[2, 3, 0, 1]] for name, points in ends.items()}


def random_section(chance: random.Random) -> dict[str, float]:
    return {"width": chance.uniform(20, 300), "thickness": chance.uniform(6, 60)}


def test_500_random_rings_close() -> None:
    chance = random.Random(1)
    built = 0
    while built < 500:
        sides, lean = chance.randint(3, 16), chance.choice([0.0, 10.0, chance.uniform(0, 60), 60.0])
        section = random_section(chance)
        length = 2 * section["width"] * np.tan(np.pi / sides) + section["thickness"] * 4 + chance.uniform(20, 900)
        shape = solid(part(length=length, ends=RingJoint(sides=sides, lean=lean), **section))
        settings = printed(shape, saw(chance))
        if settings is None:
            continue
        built += 1
        assert ring_gap(cut(shape, settings), sides, lean) < CLOSED, (sides, lean, section)


@pytest.mark.parametrize("sides", range(3, 17))
@pytest.mark.parametrize("lean", [0, 5, 10, 22.5, 38, 45])
def test_every_ring_closes_on_a_saw_with_room(sides: int, lean: float) -> None:
    """N 3 to 16; with scales to 60° nothing needs another way."""
    shape = solid(part(length=900, ends=RingJoint(sides=sides, lean=lean)))
    settings = printed(shape, replace(SHOP, max_miter=60, max_bevel=60))
    assert settings is not None
    assert settings[0].way == settings[1].way == "plain"
    assert ring_gap(cut(shape, settings), sides, lean) < CLOSED


def test_one_saw_setting_cuts_both_ends_of_a_ring() -> None:
    for sides in range(4, 17):
        shape = solid(part(ends=RingJoint(sides=sides, lean=10)))
        a, b = setting(shape.a, "A", SHOP), setting(shape.b, "B", SHOP)
        assert (a.miter_deg, a.bevel_deg, a.swing, a.tilt) == (b.miter_deg, b.bevel_deg, b.swing, b.tilt)


@pytest.mark.parametrize("hand", HANDS)
def test_500_random_corners_close(hand: Hand) -> None:
    """Two pieces at any plan angle. The right-hand pair is the mirror image: it turns the other way."""
    chance = random.Random(2)
    built = 0
    while built < 500:
        plan_angle, lean = chance.uniform(50, 175), chance.uniform(0, 60)
        end = corner(plan_angle, lean)
        section = random_section(chance)
        # Of the one piece end B is at the corner, of the other end A.
        one = solid(part(length=2000, ends=EndCuts(b=end), **section), hand)
        other = solid(part(length=1500, ends=EndCuts(a=end), **section), hand)
        shop = saw(chance)
        settings = printed(one, shop), printed(other, shop)
        if settings[0] is None or settings[1] is None:
            continue
        built += 1
        first, second = cut(one, settings[0]), cut(other, settings[1])
        if hand == "right":  # hold it up to a mirror: it must be the left-hand corner
            width = section["width"]
            first, second = mirrored_ends(first, width), mirrored_ends(second, width)
        first, second = stood(first, lean, 0.0), stood(second, lean, 180.0 - plan_angle)
        joint, meets = first["B"], second["A"]
        assert gap(joint - joint[3], meets - meets[3]) < CLOSED, (plan_angle, lean, section)


@pytest.mark.parametrize("hand", HANDS)
def test_500_random_splayed_legs_stand_flat_under_a_level_seat(hand: Hand) -> None:
    chance = random.Random(3)
    for _ in range(500):
        front, side, height = chance.uniform(0, 35), chance.uniform(0, 35), chance.uniform(150, 800)
        size = chance.uniform(20, 90)
        leg = part(
            length=None, width=size, thickness=size,
            ends=SplayedLegJoint(height=millimetres(height), front=front, side=side),
        )  # fmt: skip
        shape = solid(leg, hand)
        settings = printed(shape, saw(chance))
        assert settings is not None
        ends = cut(shape, settings)
        # The axis leans `front` and `side` in the two views; the outer side face leans out by `side` only.
        outward = 1.0 if hand == "left" else -1.0
        axis = np.array([outward * np.tan(np.radians(front)), np.tan(np.radians(side)), 1.0])
        axis /= np.linalg.norm(axis)
        face = about(0, -side) @ np.array([0.0, 1.0, 0.0])
        frame = np.array([axis, np.cross(face, axis), face])
        foot, seat = ends["A"] @ frame, ends["B"] @ frame
        assert np.ptp(foot[:, 2]) < CLOSED
        assert np.ptp(seat[:, 2]) < CLOSED
        assert seat[:, 2].mean() - foot[:, 2].mean() == pytest.approx(height, abs=CLOSED)


def random_ends(chance: random.Random) -> EndCuts:
    def end() -> EndCut:
        return EndCut(
            miter=chance.choice([0.0, chance.uniform(0, 75)]), bevel=chance.choice([0.0, chance.uniform(0, 60)]),
            long=chance.choice(["near", "far"]), long_face=chance.choice(["top", "bottom"]),
        )  # fmt: skip

    return EndCuts(a=end(), b=end())


def corners_of(shape: Solid) -> dict[str, Array]:
    edges: tuple[EdgeName, EdgeName] = ("near", "far")
    faces: tuple[FaceName, FaceName] = ("bottom", "top")
    return {end: np.array([shape.corner(end, edge, face) for edge in edges for face in faces]) for end in ENDS}


def test_the_solid_is_what_the_saw_leaves() -> None:
    """2000 random pairs of ends, both hands: eight corners of the program's solid against the board that was cut."""
    chance = random.Random(4)
    compared = 0
    for _ in range(2000):
        plan: Part = part(length=3000, ends=random_ends(chance), **random_section(chance))
        for hand in HANDS:
            shape = solid(plan, hand)
            settings = printed(shape, saw(chance))
            if settings is None:
                continue
            compared += 1
            ends, mine = cut(shape, settings), corners_of(shape)
            assert max(gap(ends[end], mine[end]) for end in ends) < 1e-6
    assert compared > 2000


def test_left_and_right_pieces_come_out_as_a_pair() -> None:
    chance = random.Random(5)
    for _ in range(500):
        plan = part(length=3000, ends=random_ends(chance), **random_section(chance))
        made = []
        for hand in HANDS:
            shape = solid(plan, hand)
            settings = printed(shape, replace(SHOP, max_miter=75, max_bevel=60))
            assert settings is not None
            made.append(cut(shape, settings))
        mirror = mirrored_ends(made[0], mm(plan.width))
        assert max(gap(mirror[end], made[1][end]) for end in mirror) < 1e-6


def test_not_on_this_saw_is_only_said_when_no_lay_of_the_board_reaches() -> None:
    """2000 random ends, checked with every way to lay a board (numpy)."""
    chance = random.Random(6)
    said = 0
    for _ in range(2000):
        shape = solid(part(length=3000, ends=random_ends(chance)))
        shop = saw(chance)
        corners = corners_of(shape)
        for end in ENDS:
            normal = np.cross(corners[end][1] - corners[end][0], corners[end][2] - corners[end][0])
            normal *= (1 if end == "B" else -1) * np.sign(normal[0]) / np.linalg.norm(normal)
            reached = any(
                miter <= shop.max_miter and bevel <= shop.max_bevel and lean != "right"
                for miter, bevel, lean in every_lay(normal)
            )
            possible = setting(shape.end(end), end, shop).possible
            assert possible == reached
            said += not possible
    assert said > 20


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12])
@pytest.mark.parametrize("lean", [0.0, 5.0, 10.0, 30.0, 45.0])
def test_a_butted_end_lies_in_its_neighbours_face(sides: int, lean: float) -> None:
    """The plane of the butted cut is the plane of the neighbour's inner face."""
    end = ring(sides, lean, butted=True)
    shape = solid(part(length=3000, ends=EndCuts(b=end)))
    settings = printed(shape, replace(SHOP, max_miter=60, max_bevel=70))
    assert settings is not None
    here = stood(cut(shape, settings), lean, 0.0)["B"]
    neighbour = stood(corners_of(solid(part())), lean, 360.0 / sides)
    inner = np.array([*neighbour["A"][[0, 2]], neighbour["B"][0]])  # three corners of its bottom (inner) face
    normal = np.cross(inner[1] - inner[0], inner[2] - inner[0])
    normal /= np.linalg.norm(normal)
    assert np.ptp(here @ normal) < 1e-6


def test_a_splayed_legs_hands_are_one_leg_turned_over_end_for_end() -> None:
    """Parallel cuts make a body that is its own mirror image, so that either leg of a pair fits."""
    leg = splayed_leg(millimetres(400), 12, 8)
    left = solid(part(ends=EndCuts(a=leg.foot, b=leg.seat), width=40, thickness=40), "left")
    right = solid(part(ends=EndCuts(a=leg.foot, b=leg.seat), width=40, thickness=40), "right")
    turned = np.array(left.corners) @ about(1, 180).T + [mm(left.edges.overall), 0.0, 40.0]
    assert all(min(np.linalg.norm(corner - other) for other in turned) < 1e-9 for corner in np.array(right.corners))
