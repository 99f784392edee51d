"""Tipping against a linear program of the feet's reactions, sag against beam elements, weights against other solids."""

from __future__ import annotations

import math
import random
from pathlib import Path

import manifold3d
import numpy as np
import pytest
from scipy.optimize import linprog

from tracker.design.load import load_build
from tracker.plan.convex import hull
from tracker.plan.place import Placer
from tracker.plan.wood.bending import CREEP, LIMIT, Support, longest_span, sag
from tracker.plan.wood.stability import GRAVITY, Mass, feet_of, mass_of, tips_at
from tracker.plan.wood_properties import find

SAMPLES = Path(__file__).parents[2] / "sample_projects"
SQUARE = [(200.0, 200.0), (-200.0, 200.0), (-200.0, -200.0), (200.0, -200.0)]
STOOL = Mass(12.0, (0.0, 0.0, 400.0))


@pytest.mark.parametrize(
    ("at", "push", "newtons"),
    [
        ((350.0, 0.0), 0.0, 12 * GRAVITY * 200 / 150),
        ((350 / math.sqrt(2), 350 / math.sqrt(2)), 0.0, 12 * GRAVITY * 200 / (350 / math.sqrt(2) - 200)),
        ((350.0, 0.0), 20.0, (12 * GRAVITY * 200 - 20 * 400) / 150),
    ],
)
def test_moments_about_an_edge_by_hand(at: tuple[float, float], push: float, newtons: float) -> None:
    assert tips_at(SQUARE, STOOL, at, push, 400.0).newtons == pytest.approx(newtons, rel=1e-12)


def test_three_feet_tip_between_two_of_them() -> None:
    """On a circle of 300, 12 kg, a load 350 out between two feet: the edge is 150 from the middle."""
    feet = [(300 * math.cos(math.radians(a)), 300 * math.sin(math.radians(a))) for a in (90, 210, 330)]
    assert tips_at(feet, STOOL, (0.0, -350.0)).newtons == pytest.approx(12 * GRAVITY * 150 / 200, rel=1e-9)


def test_four_hundred_random_stands_against_a_linear_program() -> None:
    """The greatest load with no foot pulling: reactions of 0 or more that balance weight and moments (scipy)."""
    chance = random.Random(9)
    tried = 0
    while tried < 400:
        feet = [(chance.uniform(-300, 300), chance.uniform(-300, 300)) for _ in range(chance.randint(3, 6))]
        ring = hull(feet)
        if len(ring) < 3:
            continue
        tried += 1
        share = [chance.random() for _ in ring]
        middle = [sum(s * foot[axis] for s, foot in zip(share, ring, strict=True)) / sum(share) for axis in (0, 1)]
        kg, at = chance.uniform(3, 40), (chance.uniform(-600, 600), chance.uniform(-600, 600))
        found = tips_at(feet, Mass(kg, (middle[0], middle[1], 300.0)), at).newtons
        n, weight = len(feet), kg * GRAVITY
        equal = [[1] * n + [-1], [foot[0] for foot in feet] + [-at[0]], [foot[1] for foot in feet] + [-at[1]]]
        judge = linprog(
            [0] * n + [-1], A_eq=equal, b_eq=[weight, weight * middle[0], weight * middle[1]],
            bounds=[(0, None)] * (n + 1),
        )  # fmt: skip
        if found is None:
            assert judge.status == 3, "unbounded: no load there tips it"
        else:
            assert judge.status == 0
            assert found == pytest.approx(judge.x[-1], rel=1e-6, abs=1e-6)


def test_two_feet_or_a_centre_outside_them_fall_over_by_themselves() -> None:
    assert tips_at(SQUARE[:2], STOOL, (0.0, 0.0)).newtons == 0.0
    assert tips_at(SQUARE, Mass(12.0, (250.0, 0.0, 400.0)), (0.0, 0.0)).newtons == 0.0


@pytest.mark.parametrize(("name", "whole"), [("planter", "planter"), ("stool", "stool")])
def test_weight_and_centre_of_a_sample_against_another_library(name: str, whole: str) -> None:
    """Every body as the hull of its corners (manifold3d); its mesh's tetrahedra give volume and centre."""
    build = load_build((SAMPLES / f"{name}.toml").read_bytes()).build
    assert build is not None
    placed = Placer(build).placed(whole)
    species = {part.id: build.wood(part.wood).species for part in build.parts}
    mass = mass_of(placed, species)
    kg, moment = 0.0, np.zeros(3)
    for piece in placed:
        wood = find(species[piece.part])
        assert wood is not None
        assert wood.density is not None
        for cell in piece.cells:
            mesh = manifold3d.Manifold.hull_points(np.array(cell.points)).to_mesh()
            a, b, c = (mesh.vert_properties[mesh.tri_verts[:, k], :3].astype(float) for k in range(3))
            volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
            kg += volumes.sum() * 1e-9 * wood.density
            moment += (volumes[:, None] * (a + b + c) / 4).sum(axis=0) * 1e-9 * wood.density
    assert mass.kg == pytest.approx(kg, rel=1e-5)
    assert np.array(mass.centre) == pytest.approx(moment / kg, abs=0.01)
    assert len(feet_of(placed)) >= 3


SUPPORTS: list[Support] = [
    "even", "middle", "even, both ends fixed", "middle, both ends fixed", "even, held at one end",
    "end, held at the other",
]  # fmt: skip


@pytest.mark.parametrize("support", SUPPORTS)
def test_sag_against_two_hundred_beam_elements(support: Support) -> None:
    """Euler-Bernoulli elements with cubic shape functions, solved with numpy."""
    load, span, width, thick, stiffness, n = 400.0, 800.0, 60.0, 25.0, 11_000.0, 200
    inertia, step = width * thick**3 / 12, span / n
    k = stiffness * inertia / step**3 * np.array(
        [[12, 6 * step, -12, 6 * step], [6 * step, 4 * step**2, -6 * step, 2 * step**2],
         [-12, -6 * step, 12, -6 * step], [6 * step, 2 * step**2, -6 * step, 4 * step**2]]
    )  # fmt: skip
    whole, forces = np.zeros((2 * n + 2, 2 * n + 2)), np.zeros(2 * n + 2)
    for i in range(n):
        whole[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += k
        if support.startswith("even"):
            q = load / span
            forces[2 * i : 2 * i + 4] += np.array([q * step / 2, q * step**2 / 12, q * step / 2, -q * step**2 / 12])
    if support.startswith("middle"):
        forces[n] += load
    if support.startswith("end"):
        forces[2 * n] += load
    fixed = [0, 1] if "held" in support else [0, 1, 2 * n, 2 * n + 1] if "fixed" in support else [0, 2 * n]
    free = [i for i in range(2 * n + 2) if i not in fixed]
    moved = np.zeros(2 * n + 2)
    moved[free] = np.linalg.solve(whole[np.ix_(free, free)], forces[free])
    assert sag(load, span, width, thick, stiffness, support) == pytest.approx(np.abs(moved[::2]).max(), rel=1e-4)


@pytest.mark.parametrize(
    ("load", "span", "width", "thick", "stiffness", "millimetres"),
    [(300, 900, 250, 19, 12_548, 1.588), (300, 900, 250, 19, 8_549, 2.331), (500, 1000, 22, 70, 11_583, 0.894)],
)
def test_shelves_of_red_oak_and_white_pine_and_a_walnut_rail(
    load: float, span: float, width: float, thick: float, stiffness: float, millimetres: float
) -> None:
    """5 W L³ / 384 E I by hand, moduli of elasticity from FPL-GTR-190, table 5-3."""
    assert sag(load, span, width, thick, stiffness) == pytest.approx(millimetres, abs=0.001)


def test_the_longest_shelf_sags_just_to_the_limit_in_years() -> None:
    span = longest_span(0.3, 250, 19, 12_548)
    assert span == pytest.approx(726, abs=1)
    assert sag(0.3 * span, span, 250, 19, 12_548) * CREEP == pytest.approx(span * LIMIT, rel=1e-9)
