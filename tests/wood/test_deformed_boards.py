"""Mitre gaps, slanted boards and chevrons against boards that are deformed point by point, and weights against prisms.

A board that swells or shrinks moves every point of it across its grain in proportion: x' = x + e n (n · x), n being the
direction across the grain (definition of a uniform strain). The measurements on the deformed corners are independent of
the formulas. Both agree to the first order of the strain: the rest is no more than the strain itself, as a share.
"""

from __future__ import annotations

import math
import random

import pytest

from tracker.design.load import load_build
from tracker.plan.place import Placer
from tracker.plan.wood import slanted_fields, stands
from tracker.plan.wood.movement import mitre_gap, slanted

BOARDS = 500
Point = tuple[float, float]


def deformed(point: Point, grain: float, strain: float) -> Point:
    """The point after the strain; the grain lies at `grain` degrees to the x axis."""
    nx, ny = -math.sin(math.radians(grain)), math.cos(math.radians(grain))
    far = strain * (nx * point[0] + ny * point[1])
    return point[0] + nx * far, point[1] + ny * far


def reflected(point: Point, along: float) -> Point:
    """The point reflected in the line through zero at `along` degrees."""
    c, s = math.cos(math.radians(2 * along)), math.sin(math.radians(2 * along))
    return c * point[0] + s * point[1], s * point[0] - c * point[1]


def random_strain(dice: random.Random) -> float:
    """A strain as between seasons: up to 3 % either way."""
    return dice.choice((-1, 1)) * dice.uniform(0.0005, 0.03)


@pytest.mark.parametrize("seed", range(BOARDS // 50))
def test_a_mitred_corner_opens_as_its_deformed_boards_do(seed: int) -> None:
    """One board along x, its cut from the heel at zero to the toe; the other is its mirror image in the cut. They touch
    at the toe when they shrink, at the heel when they swell: the other ends of both cuts are as far apart as that
    corner and its mirror image."""
    dice = random.Random(seed)
    for _ in range(50):
        width, miter, strain = dice.uniform(20, 150), dice.uniform(30, 60), random_strain(dice)
        toe = (width * math.tan(math.radians(miter)), width)
        moved = deformed(toe, 0.0, strain)
        image = reflected(moved, 90 - miter)
        apart = math.dist(moved, image)
        assert mitre_gap(strain, width, miter) == pytest.approx(apart, rel=abs(strain) + 1e-9)


@pytest.mark.parametrize("seed", range(BOARDS // 50))
def test_a_slanted_board_grows_and_turns_as_its_corners_do(seed: int) -> None:
    """Along a line of its face and across it, in the components of what two of its corners move apart."""
    dice = random.Random(1000 + seed)
    for _ in range(50):
        angle, strain, long = dice.uniform(5, 85), random_strain(dice), dice.uniform(50, 900)
        found = slanted(strain, angle)
        on_line, beside = (long, 0.0), (0.0, long)
        moved_along, moved_beside = deformed(on_line, angle, strain), deformed(beside, angle, strain)
        assert found.along * long == pytest.approx(moved_along[0] - long, abs=1e-9)
        assert found.across * long == pytest.approx(moved_beside[1] - long, abs=1e-9)
        # Its grain stays; the line drawn on it turns toward the direction that swells.
        turned = math.degrees(math.atan2(*reversed(moved_along)))
        assert abs(found.turn) == pytest.approx(abs(turned), rel=2 * abs(strain) + 1e-9)


CHEVRONS = """
[build]
name = "Field"
units = "mm"
[air]
shop = {shop}
home = [{dry}, {damp}]
[woods.oak]
species = "white oak"
thickness = 10
width = 60
lengths = ["3 m"]
[[parts]]
id = "bay"
name = "Bay"
left = 5
right = 5
wood = "oak"
length = 150
rings = "{rings}"
end_a = {{ miter = {miter}, long = "near" }}
end_b = {{ miter = {miter}, long = "far" }}
[[assemblies]]
id = "field"
name = "Field"
joins = {{ bay = 10 }}
by = "glue"
glue = "PVA, interior (white)"
size = [{long}, {across}, 10]
place = [
  {{ part = "bay", turn = {turn}, at = {{ front = 0 }}, mirror = "front-back", count = 5, step = {{ right={step} }} }},
]
"""
C_T, C_R = 0.00365, 0.0018
"""White oak (Wood Handbook, FPL-GTR-190, table 13-5)."""


@pytest.mark.parametrize("seed", range(6))
def test_a_chevron_field_grows_along_its_spine_as_its_boards_ends_do(seed: int) -> None:
    """Each board's end lies on the spine; deformed and turned back onto it, it is as much longer as its two corners are
    farther apart. All boards of a half do the same, so the field grows in that proportion."""
    dice = random.Random(2000 + seed)
    miter, rings = dice.uniform(20, 40), dice.choice(("flat", "quarter"))
    step = 60 / math.cos(math.radians(miter))
    across = 2 * 150 * math.cos(math.radians(miter))
    text = CHEVRONS.format(
        shop=50, dry=dice.randint(25, 40), damp=dice.randint(55, 75), rings=rings, miter=miter, step=step,
        turn=-(90 - miter), long=1000, across=across,
    )  # fmt: skip
    build = load_build(text).build
    assert build is not None, load_build(text).problems
    (found,) = slanted_fields(build, Placer(build))
    from tracker.plan.wood import seasons_of

    seasons = seasons_of(build)
    strain = (C_T if rings == "flat" else C_R) * (seasons.damp - seasons.dry)
    angle = 90 - miter
    assert found.angle == pytest.approx(angle, abs=0.01)
    end = deformed((step, 0.0), angle, strain)
    placed = Placer(build).placed("field")
    points = [point for piece in placed for point in piece.points]
    long = max(p[0] for p in points) - min(p[0] for p in points)
    assert found.along == pytest.approx(long * (math.hypot(*end) / step - 1), rel=2 * strain)


PRISMS = """
[build]
name = "Prism"
units = "mm"
[woods.oak]
species = "white oak"
thickness = {thick}
width = {wide}
lengths = ["6 m"]
[[parts]]
id = "rail"
name = "Rail"
quantity = 2
wood = "oak"
length = {long}
end_a = {{ miter = {ma}, bevel = {ba}, long = "far", long_face = "top" }}
end_b = {{ miter = {mb}, bevel = {bb}, long = "{edge}", long_face = "{face}" }}
[[assemblies]]
id = "pair"
name = "Pair"
joins = {{ rail = 2 }}
by = "dry"
size = [{long}, 2000, {thick}]
place = [{{ part = "rail", at = {{ front = 0 }} }}, {{ part = "rail", at = {{ back = 2000 }} }}]
"""
DENSITY = round(1000 * 0.68 * 1.12)
"""White oak at 12 % moisture, kg/m³: 1000 G (1 + M/100), G = 0.68 (Wood Handbook, chapter 4), to a whole kilogram."""


@pytest.mark.parametrize("seed", range(40))
def test_what_pieces_weigh_is_what_prisms_do(seed: int) -> None:
    """A piece between two flat cuts holds width x thickness x the length of its middle line. A cut shortens that by
    half of what it takes across the width, w tan m, and of what it takes through the thickness, t tan b / cos m."""
    dice = random.Random(3000 + seed)
    wide, thick, long = dice.randint(30, 200), dice.randint(10, 60), dice.randint(700, 2000)
    ma, mb, ba, bb = (dice.choice((0, dice.randint(1, 40))) for _ in range(4))
    text = PRISMS.format(
        wide=wide, thick=thick, long=long, ma=ma, mb=mb, ba=ba, bb=bb, edge="far", face="top",
    )  # fmt: skip
    build = load_build(text).build
    assert build is not None, load_build(text).problems
    (found,) = stands(build, Placer(build))

    def lost(m: float, b: float) -> float:
        cosine = math.cos(math.radians(m))
        return (wide * math.tan(math.radians(m)) + thick * math.tan(math.radians(b)) / cosine) / 2

    volume = wide * thick * (long - lost(ma, ba) - lost(mb, bb))
    assert found.mass.kg == pytest.approx(2 * volume * 1e-9 * DENSITY, rel=1e-9)
