"""The sample builds load without problems, use every key, and are furniture: the pieces meet.

The geometry is computed here a second time, in space or in the plane, from the drawing and not by the program.
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from tracker.design import load_build
from tracker.design.feature import FeatureKind, ProfileShape
from tracker.design.model import Build, EndCuts, RingJoint, SplayedLegJoint
from tracker.plan.place import Placer, meetings

FOLDER = Path(__file__).parents[2] / "sample_projects"
FILES = sorted(FOLDER.glob("*.toml"))

KEYS = {
    "build": "name units currency revision notes",
    "shop": "kerf end_trim max_miter max_bevel mark",
    "woods": "species section thickness width lengths prices price_per_foot price_per_board_foot price_per_metre",
    "rack": "wood length name defects end_trim",
    "parts": "id name quantity left right wood length measured width thickness allowance end_a end_b joint tapers "
    "holes sequence grain route notes",
    "end_b": "miter long bevel long_face",
    "joint": "kind sides lean height front side",
    "tapers": "edges start end leave",
    "holes": "kind end from_edge face from_end diameter depth plug",
    "assemblies": "id name joins by glue open_time clamp_time cure_time clamps route finish prove",
    "finish": "kind coats recoat sand_between cure",
    "hardware": "name quantity price",
}
"""The keys of the format; a part's thickness is shown by the wood's.

Used only on the page, because no sample needs them: a joint's angle and butted, a taper's length and angle, laps.
"""


def sample(name: str) -> Build:
    loaded = load_build((FOLDER / f"{name}.toml").read_bytes())
    assert loaded.build is not None
    return loaded.build


def long(build: Build, part: str) -> float:
    length = build.part(part).length
    assert length is not None
    return float(length.per(build.units))


def keys(value: Any, section: str = "", at: str = "") -> set[tuple[str, str]]:
    """(section, key) of every key of the format that a file uses."""
    if isinstance(value, list):
        return set().union(*(keys(each, section, at) for each in value))
    if not isinstance(value, dict):
        return set()
    found = {(section, key) for key in value} if section in KEYS else set()
    for key, each in value.items():
        inner = section if section == "woods" and at == "woods" else "end_b" if key == "end_a" else key
        found |= keys(each, inner, key)
    return found


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_sample_loads_without_a_problem_or_a_note(file: Path) -> None:
    loaded = load_build(file.read_bytes())
    assert loaded.problems == ()
    assert loaded.build is not None
    lines = file.read_text("utf-8").splitlines()
    for_the_picture = [line for line in lines if line.startswith(("size = ", "place = ", "  {", "]"))]
    assert len(lines) - len(for_the_picture) <= 225


def test_between_them_they_use_every_key() -> None:
    used = set().union(*(keys(tomllib.loads(file.read_text("utf-8"))) for file in FILES))
    wanted = {(section, key) for section, names in KEYS.items() for key in names.split()}
    wanted.discard(("parts", "thickness"))
    assert wanted <= used
    assert {section for section, _ in used} == KEYS.keys()


def test_the_samples_are_of_a_size_worth_showing() -> None:
    pieces = {file.stem: sum(part.quantity for part in sample(file.stem).parts) for file in FILES}
    assert pieces["hall_bench"] >= 40
    assert all(count >= 10 for count in pieces.values())
    bench = sample("hall_bench")
    assert any(part.left and part.right for part in bench.parts)
    assert {(each.id, each.quantity) for each in bench.assemblies} >= {("end-frame", 2), ("base", 1), ("bench", 1)}


# The planter, in the plane: r outward from its axis, z upward from the lower edge of the sides' outer face


def corner(u: float, v: float, lean: float, across: float, wide: float) -> tuple[float, float]:
    """(r, z) of a point on a leaning side: u up its outer face from the lower edge, v into the wood."""
    down = wide - u
    return across / 2 - down * math.sin(lean) - v * math.cos(lean), u * math.cos(lean) + v * math.sin(lean)


def hexagon(flats: float) -> Polygon:
    """A hexagon with two flats across y, by its width from flat to flat."""
    radius = flats / 2 / math.cos(math.pi / 6)
    return Polygon(
        [(radius * math.cos(math.radians(a)), radius * math.sin(math.radians(a))) for a in range(0, 360, 60)]
    )


def test_the_planters_ring_closes_and_its_floor_drops_in_and_rests() -> None:
    build = sample("planter")
    side = build.part("side")
    assert isinstance(side.ends, RingJoint)
    lean, wide, thick = math.radians(side.ends.lean), float(side.width.per("in")), float(side.thickness.per("in"))
    across = long(build, "side") / math.tan(math.pi / 6)  # a hexagon's width from its side
    assert across == pytest.approx(16)
    assert side.quantity == side.ends.sides

    cleat = build.part("cleat")
    high, deep = float(cleat.width.per("in")), float(cleat.thickness.per("in"))
    inside, _ = corner(high, thick, lean, across, wide)  # the side's inner face, at the cleat's upper edge
    shelf, _ = corner(high, thick + deep, lean, across, wide)

    slat = float(build.part("inner-slat").width.per("in"))
    slats, y = [], 0.25  # half the gap of 1/2 in between slats
    for name in ("inner-slat", "outer-slat"):
        half, back = long(build, name) / 2, slat * math.tan(math.radians(30))
        slats.append(Polygon([(-half, y), (half, y), (half - back, y + slat), (-half + back, y + slat)]))
        y += slat + 0.5
    floor = unary_union([*slats, *(rotate(each, 180, origin=(0, 0)) for each in slats)])
    assert hexagon(2 * inside - 0.2).contains(floor)  # drops in, with a tenth of an inch to spare all round
    assert not hexagon(2 * inside - 0.5).contains(floor)  # but it doesn't rattle

    rests = [rotate(box(shelf, -long(build, "cleat") / 2, inside, long(build, "cleat") / 2), angle, origin=(0, 0))
             for angle in (30, 150, 210, 330)]  # fmt: skip
    assert len(rests) == cleat.quantity
    for each in (*slats, *(rotate(slat, 180, origin=(0, 0)) for slat in slats)):
        assert sum(rest.intersection(each).area > 0.4 for rest in rests) == 2  # both its ends rest on a cleat


# The stool, in space: x to the right, y to the back, z up; its legs seen from the seat's underside at z = 0


def test_the_stools_legs_and_rails_meet() -> None:
    build = sample("stool")
    leg = build.part("leg")
    assert isinstance(leg.ends, SplayedLegJoint)
    front, side = math.radians(leg.ends.front), math.radians(leg.ends.side)
    thick, height = float(leg.width.mm), float(leg.ends.height.mm)
    axis = np.array([math.tan(front), math.tan(side), -1.0])  # of the right back leg, downward
    axis /= np.linalg.norm(axis)
    out = np.array([0.0, math.cos(side), math.sin(side)])  # square to the leaning frame
    assert out @ axis == pytest.approx(0)
    across = np.cross(out, axis)  # in the frame, square to the leg
    under_the_seat = thick / abs(across[0])  # a level line through the leg, along x
    top_width, top_depth = 260.0, 220.0
    assert long(build, "rail") == pytest.approx(top_width - 2 * under_the_seat)
    assert long(build, "stretcher") == pytest.approx(top_depth - 2 * thick / math.cos(side))

    rail = build.part("rail")
    assert isinstance(rail.ends, EndCuts)
    level = np.array([1.0, 0.0, 0.0])
    lean = math.degrees(math.acos(abs(across @ level)))  # of the leg against the rail's square end
    assert rail.ends.a.miter == rail.ends.b.miter == pytest.approx(lean)

    seat = build.part("seat-board")
    seat_width, seat_depth = long(build, "seat-board"), 3 * float(seat.width.mm)
    assert top_width < seat_width < top_width + 2 * height * math.tan(front)  # the feet stand outside the seat
    assert top_depth < seat_depth < top_depth + 2 * height * math.tan(side)


def test_the_benchs_chevrons_cover_the_field_and_the_border_goes_round_it() -> None:
    build = sample("hall_bench")
    strip = build.part("strip-1")
    assert isinstance(strip.ends, EndCuts)
    angle, wide, edge = math.radians(strip.ends.b.miter), float(strip.width.per("in")), long(build, "strip-1")
    assert (strip.ends.a.long, strip.ends.b.long) == ("near", "far")  # a parallelogram
    pitch = wide / math.cos(angle)  # along the spine
    reach = edge * math.cos(angle)  # out from the spine
    half = Polygon([(0, 0), (pitch, 0), (pitch + edge * math.sin(angle), reach), (edge * math.sin(angle), reach)])
    count = sum(build.part(name).left for name in ("strip-1", "strip-2"))
    fronts = [translate(half, k * pitch) for k in range(count)]
    backs = [Polygon([(x, -y) for x, y in each.exterior.coords]) for each in fronts]
    field = unary_union([*fronts, *backs]).buffer(1e-6)
    point = reach * math.tan(angle)
    assert field.contains(box(point, -6.5, point + 44, 6.5))  # what is left when both ends are trimmed
    assert long(build, "long-border") == 44 + 2 * 1.5
    assert long(build, "short-border") == 13 + 2 * 1.5


def test_the_benchs_field_is_of_strips_thin_enough_for_their_ground() -> None:
    """Solid boards there would grow across their grain: e sin² a along the spine, a their grain's angle to it.

    White oak, flat-sawn, 0.00365 a percent (Wood Handbook, FPL-GTR-190, table 13-5), 8 to 12 %: 12.2 mm in 44 in.
    Strips on plywood are 1/8 in at the most (common practice, no source).
    """
    build = sample("hall_bench")
    strip, ground = build.part("strip-1"), build.part("ground")
    assert isinstance(strip.ends, EndCuts)
    grain = math.radians(90 - strip.ends.b.miter)
    assert 0.00365 * 4 * math.sin(grain) ** 2 * 44 * 25.4 == pytest.approx(12.2, abs=0.1)
    assert float(strip.thickness.per("in")) <= 1 / 8
    assert ground.thickness > 4 * strip.thickness
    assert dict(build.assembly("field").joins)["ground"] == 1


def test_the_benchs_low_rail_meets_untapered_wood() -> None:
    """A taper toward the other leg would leave a gap of 9.5 mm at each end of the rail."""
    build = sample("hall_bench")
    placed = Placer(build).placed("end-frame")
    rail = next(at for at, piece in enumerate(placed) if piece.part == "low-rail")
    touching = [each for each in meetings(placed) if rail in (each.first, each.second)]
    assert sorted(placed[each.first].part for each in touching) == ["leg", "leg"]
    assert all(abs(each.gap) < 0.01 for each in touching)
    assert "other end frame" in build.part("leg").notes


def test_the_stools_stretcher_is_its_own_mirror_image() -> None:
    stretcher = sample("stool").part("stretcher")
    at = {end: sorted((h.kind, h.face, h.from_edge, h.from_end, h.diameter, h.depth) for h in stretcher.holes
                      if h.end == end) for end in ("A", "B")}  # fmt: skip
    assert at["A"] == at["B"]


def test_the_bench_stands_and_its_screws_are_counted() -> None:
    build = sample("hall_bench")
    leg = float(build.part("leg").width.per("in"))
    top = float(build.part("strip-1").thickness.per("in")) + float(build.part("ground").thickness.per("in"))
    assert top == float(build.part("long-border").thickness.per("in"))
    assert long(build, "leg") + top == 17.5
    assert long(build, "long-apron") + 2 * leg == 45
    assert long(build, "short-apron") == long(build, "low-rail") == 14 - 2 * leg
    assert long(build, "long-border") - 1 > 45
    assert long(build, "short-border") - 1 > 14
    assert 4 * float(build.part("slat").width.per("in")) < long(build, "low-rail")  # between the legs
    for name in ("hall_bench", "stool"):
        one = sample(name)
        pockets = sum(part.quantity * len(hole.from_edge) for part in one.parts for hole in part.holes
                      if hole.kind == "pocket")  # fmt: skip
        screws = next(each for each in one.hardware if each.name.startswith("Pocket screw"))
        assert screws.quantity == pockets


# The bedside tables and the trestle table: features, mates, own steps, copies


def test_between_them_the_two_use_every_feature_that_there_is() -> None:
    builds = [sample("bedside_tables"), sample("trestle_table")]
    assert {build.units for build in builds} == {"mm", "in"}
    parts = [part for build in builds for part in build.parts]
    features = [feature for part in parts for feature in part.features]
    assert {feature.kind for feature in features} == set(get_args(FeatureKind))
    assert {feature.shape for feature in features if feature.kind == "profile"} == set(get_args(ProfileShape))
    assert {feature.kind for feature in features if feature.fits} == {"tenon", "dowel", "bolt"}
    assert any(feature.haunch for feature in features)
    assert any(isinstance(part.ends, EndCuts) and part.ends.a.miter and part.features for part in parts)
    assert any(build.outlines for build in builds)
    steps = [step for build in builds for each in (*build.parts, *build.assemblies) for step in each.steps]
    assert any(step.picture and step.jig for step in steps)
    assert all((FOLDER / step.picture).exists() for step in steps if step.picture)
    assert builds[0].copies == 2
    assert any(wood.rough for build in builds for wood in build.woods)


def test_the_leaning_legs_tenons_lie_in_their_mortises() -> None:
    """In the plane of a trestle, from the file's numbers: feet 28 apart outside, legs 12 degrees from upright."""
    build = sample("trestle_table")
    lean, under, low = math.radians(12), 24.5, 6.0
    half = 1.75 / math.cos(lean)
    head, leg = build.part("head"), build.part("leg")
    mortise = next(each for each in head.features if each.kind == "mortise")
    at = float(dict(mortise.at)["A"].per("in"))
    foot = 1 + half  # of the leg's middle, from the head's end A
    assert at + 1.25 == pytest.approx(foot + under * math.tan(lean), abs=1e-6)
    tenon = next(each for each in leg.features if each.kind == "tenon")
    assert tenon.width is not None
    assert float(tenon.width.per("in")) == pytest.approx(2.5 * math.cos(lean), abs=1e-6)  # square to the leg
    assert tenon.length == mortise.depth
    inside = 28 - 2 * (2 * half + low * math.tan(lean))  # between the legs at the spreader's lower edge
    assert long(build, "spreader") == pytest.approx(inside, abs=1e-6)
