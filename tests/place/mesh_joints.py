"""Random joints as a maker would write them, and an independent check of the places of their screws.

Two rails meet one leg, with screws that the program places. The check knows only the build's numbers and the output of
the commands (`screws --json`, `picture --json`): it makes a mesh (manifold3d) of every piece, bore, shank and thread,
and measures the gaps between them. `python -m tests.place.mesh_joints 1300` counts.
"""

from __future__ import annotations

import json
import random
import re
import sys
import time
from collections.abc import Iterator, Sequence
from math import cos, pi, radians, tan
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import manifold3d as m3
import numpy as np
from click.testing import CliRunner

from tracker.cli.main import commands

SIDES = 96
BORE = 9.5
GAUGE_8 = (0.060 + 0.013 * 8) * 25.4
"""Inches as the screws' own standard has them (ANSI B18.6.1): over the thread of a No. 8."""
WANTED = 3.0
"""The clearance in millimetres that the program promises for the screws that it places."""
NEAR = 12.0
"""The largest gap between meshes that is measured (mm)."""
SCREW_FOR = {16: 25, 19: 30, 22: 40, 25: 40, 32: 50, 38: 65}
"""Thickness and pocket screw in millimetres; common practice."""


class Joint(NamedTuple):
    """A build file with the numbers that the check needs: the leg's taper (edge, where it starts from end A, what it
    leaves at end B) and its blind holes."""

    text: str
    taper: tuple[str, float, float] | None
    leg: tuple[float, float, float]
    holes: tuple[tuple[float, float, float, float], ...]
    """Of blind holes in the leg's top face: from end A, from the near edge, diameter, depth."""


def random_joint(chance: random.Random) -> Joint:
    """A leg that stands, one rail to its right and one behind it, square or sloping, each with two to four screws."""
    square, height = chance.choice([32, 38, 45, 60]), 420
    rows = []
    legs = [f'id = "leg"\nname = "Leg"\nwood = "leg"\nlength = {height}\nwidth = {square}\nthickness = {square}']
    taper = None
    if chance.random() < 0.5:
        edge, start = chance.choice(["near", "far"]), chance.randint(40, 150)
        leave = round(square * chance.uniform(0.55, 0.85), 1)
        taper = (edge, float(start), leave)
        legs.append(f'tapers = [{{ edges = "{edge}", start = {start}, end = "B", leave = {leave} }}]')
    holes = []
    if chance.random() < 0.45:
        for _ in range(chance.randint(1, 3)):
            at, across = chance.randint(20, 160), round(chance.uniform(10, square - 10), 1)
            wide, deep = chance.choice([6.0, 8.0, 10.0]), round(chance.uniform(8, square - 6), 1)
            holes.append((float(at), across, wide, deep))
        written = (
            f'{{ kind = "blind", end = "A", from_end = {a}, from_edge = {b}, diameter = {c}, depth = {d} }}'
            for a, b, c, d in holes
        )
        legs.append(f"holes = [{', '.join(written)}]")
    parts = [_part(*legs)]
    for name, right in (("wide", True), ("deep", False)):
        thick, width = chance.choice(list(SCREW_FOR)), chance.randint(60, 180)
        length, slope = chance.randint(120, 400), chance.choice([0, 0, round(chance.uniform(2, 12), 1)])
        screws = chance.randint(2, 4)
        long = "near" if chance.random() < 0.5 else "far"
        ends = f'end_b = {{ miter = {slope}, long = "{long}" }}\n' if slope else ""
        parts.append(
            _part(
                f'id = "{name}"\nwood = "t{thick}"\nlength = {length}\nmeasured = "short"\nwidth = {width}\n{ends}'
                f"holes = [{{ {_fastening(chance, thick)}, places = {screws} }}]"
            )
        )
        tilt = slope if long == "near" else -slope
        inset = round(chance.uniform(2, max(3, square - thick - 2)), 1) if thick < square - 4 else 0
        top = height + round(chance.uniform(-20, 0) - (width * tan(radians(abs(slope)))), 1)
        lies = "B left, top front" if right else "B front, top left"
        lean = f"lean = {{ {'right' if right else 'back'} = {tilt} }}, " if slope else ""
        at = f"left = {square}, front = {inset}" if right else f"front = {square}, left = {inset}"
        rows.append(f'{{ part = "{name}", lies = "{lies}", {lean}at = {{ {at}, top = {top} }} }}')
    lies = chance.choice(
        ["A up, near right", "A up, near back", "A up, far right", "A up, top right", "A up, top back"]
    )
    rows.insert(0, f'{{ part = "leg", lies = "{lies}", at = {{ left = 0, front = 0 }} }}')
    text = "\n".join([_head(), *parts, _assembly(rows)])
    return Joint(text, taper, (float(height), float(square), float(square)), tuple(holes))


def _fastening(chance: random.Random, thick: int) -> str:
    """Pocket screws, or dowels in the end."""
    if chance.random() < 0.7:
        return f'kind = "pocket", end = "B", screw = {SCREW_FOR[thick]}'
    return f'kind = "dowel", end = "B", face = "end", diameter = 6, length = {chance.choice([24, 30, 40])}'


def _part(*lines: str) -> str:
    return "\n".join(["[[parts]]", *lines])


def _head() -> str:
    woods = "\n".join(
        f'[woods.t{thick}]\nspecies = "white oak"\nthickness = {thick}\nwidth = 200\nlengths = ["3 m"]'
        for thick in SCREW_FOR
    )
    leg = '[woods.leg]\nspecies = "white oak"\nthickness = 60\nwidth = 60\nlengths = ["3 m"]'
    return f'[build]\nname = "Joint"\nunits = "mm"\n{woods}\n{leg}'


def _assembly(rows: Sequence[str]) -> str:
    return (
        '[[assemblies]]\nid = "corner"\njoins = { leg = 1, wide = 1, deep = 1 }\nby = "screws"\n'
        f"place = [{', '.join(rows)}]"
    )


class Rod(NamedTuple):
    piece: str
    what: str
    a: np.ndarray
    b: np.ndarray
    radius: float
    screw: int

    def mesh(self) -> m3.Manifold:
        """Never smaller than the true cylinder."""
        return cylinder(self.a, self.b, self.radius / cos(pi / SIDES))


def cylinder(a: np.ndarray, b: np.ndarray, radius: float) -> m3.Manifold:
    way = b - a
    length = float(np.linalg.norm(way))
    z = way / length
    x = np.cross(z, (1.0, 0.0, 0.0) if abs(z[0]) < 0.9 else (0.0, 1.0, 0.0))
    x /= np.linalg.norm(x)
    return m3.Manifold.cylinder(length, radius, radius, SIDES).transform(np.column_stack([x, np.cross(z, x), z, a]))


def run(joint: Joint, folder: Path) -> tuple[list[dict[str, Any]], dict[str, Any], int]:
    """The output of the two commands, and the number of rows of screws that got no places."""
    file = folder / "joint.toml"
    file.write_text(joint.text)
    screws = CliRunner().invoke(commands, ["screws", str(file), "--json"])
    if screws.exit_code:
        return [], {}, 1 if "no place is found" in screws.stderr else 2
    file.write_text(
        re.sub(r"places = \d", "from_edge = 20", joint.text)
    )  # the places of pieces don't depend on their holes
    placed = CliRunner().invoke(commands, ["picture", str(file), "--json"])
    return json.loads(screws.stdout), json.loads(placed.stdout)["assemblies"][0], 0


def judge(joint: Joint, screws: Sequence[dict[str, Any]], assembly: dict[str, Any]) -> tuple[list[str], float]:
    """Everything nearer to a placed screw than the program promises, and the least gap of all."""
    corners = {each["part"]: np.array(each["corners_mm"]) for each in assembly["placed"]}
    wrong: list[str] = []
    gaps = [NEAR]
    rods = [rod for at, screw in enumerate(screws) for rod in _rods(screw, corners, at)]
    holes = list(_holes(joint, corners["leg"]))
    for rod in rods:
        mesh = rod.mesh()
        points = np.array(mesh.to_mesh().vert_properties)[:, :3]
        for name, normal, distance in _faces(joint, rod.piece, corners[rod.piece]):
            if name in _opens(rod, normal):
                continue
            gaps.append(distance - float((points @ normal).max()))
            if gaps[-1] < WANTED - 2e-3:
                wrong.append(f"{rod.what} of {rod.piece} is {gaps[-1]:.3f} from {name}")
        for other in rods:
            if other.screw > rod.screw and other.piece == rod.piece:
                gaps.append(mesh.min_gap(other.mesh(), NEAR))
                if gaps[-1] < WANTED - 2e-3:
                    wrong.append(f"{rod.what} is {gaps[-1]:.3f} from another {other.what}")
        for hole in holes if rod.piece == "leg" else ():
            gaps.append(mesh.min_gap(hole, NEAR))
            if gaps[-1] < WANTED - 2e-3:
                wrong.append(f"{rod.what} is {gaps[-1]:.3f} from a hole")
    return wrong, min(gaps)


def _rods(screw: dict[str, Any], corners: dict[str, np.ndarray], at: int) -> Iterator[Rod]:
    """Bore, shank and thread of a pocket screw: plane geometry along its axis, from its mouth and its tip. Of a dowel,
    half in each piece."""
    mouth, tip = (np.array(point) for point in screw["axis"])
    way = (tip - mouth) / np.linalg.norm(tip - mouth)
    if screw["kind"] == "dowel":
        yield Rod(screw["part"], "dowel", mouth - way * screw["length_mm"] / 2, mouth, 3.0, at)
        yield Rod("leg", "thread", mouth, mouth + way * screw["length_mm"] / 2, 3.0, at)
        return
    seat = tip - way * screw["length_mm"]
    points = corners[screw["part"]]
    near, far, top = points[4], points[5], points[6]  # end B: near bottom, far bottom, near top
    normal = np.cross(far - near, top - near)
    joint = mouth + way * (np.dot(normal, near - mouth) / np.dot(normal, way))
    out = mouth - way * (BORE / 2 / tan(radians(15)))
    yield Rod(screw["part"], "bore", out, seat, BORE / 2, at)
    yield Rod(screw["part"], "shank", seat, joint, GAUGE_8 / 2, at)
    yield Rod("leg", "thread", joint, tip, GAUGE_8 / 2, at)


def _faces(joint: Joint, piece: str, points: np.ndarray) -> Iterator[tuple[str, np.ndarray, float]]:
    """The planes of a piece, from its eight corners and its taper: a name, the outward normal, the distance."""
    quads = {
        "near": (0, 4, 6), "far": (1, 5, 7), "bottom": (0, 1, 5), "top": (2, 3, 7), "A": (0, 1, 3), "B": (4, 5, 7),
    }  # fmt: skip
    middle = points.mean(axis=0)
    planes = [(name, *(points[at] for at in three)) for name, three in quads.items()]
    if piece == "leg" and joint.taper is not None:
        edge, start, leave = joint.taper
        length, width, _ = joint.leg
        along, across = (points[4] - points[0]) / length, (points[1] - points[0]) / width
        up = points[2] - points[0]
        y0, y1 = (0.0, width - leave) if edge == "near" else (width, leave)
        first, last = points[0] + along * start + across * y0, points[0] + along * length + across * y1
        planes.append(("taper", first, last, first + up))
    for name, a, b, c in planes:
        normal = np.cross(b - a, c - a)
        normal /= np.linalg.norm(normal)
        if np.dot(normal, middle - a) > 0:
            normal = -normal
        yield name, normal, float(np.dot(normal, a))


def _opens(rod: Rod, normal: np.ndarray) -> tuple[str, ...]:
    """The faces through which a rod may come out: for a thread, the one that it is driven through."""
    if rod.what == "bore":
        return ("bottom",)
    if rod.what == "dowel":
        return ("B",)
    if rod.what == "shank":
        return ("bottom", "B")
    way = (rod.b - rod.a) / np.linalg.norm(rod.b - rod.a)
    entered = float(np.dot(normal, way)) < -0.5
    return ("near", "far", "top", "bottom", "A", "B", "taper") if entered else ()


def _holes(joint: Joint, points: np.ndarray) -> Iterator[m3.Manifold]:
    length, width, thick = joint.leg
    along, across = (points[4] - points[0]) / length, (points[1] - points[0]) / width
    up = (points[2] - points[0]) / thick
    for at, from_near, wide, deep in joint.holes:
        mouth = points[2] + along * at + across * from_near
        yield cylinder(mouth, mouth - up * deep, wide / 2 / cos(pi / SIDES))


class Count(NamedTuple):
    joints: int
    screws: int
    wrong: tuple[str, ...]
    refused: int
    broken: tuple[str, ...]
    both: int
    """Joints in which both rails have screws in the leg."""
    over: tuple[float, ...]
    """The least gap of the meshes minus the program's least clearance."""
    seconds: tuple[float, ...]


def count(joints: int, seed: int, folder: Path) -> Count:
    """Check `joints` random joints that got their screws."""
    chance = random.Random(seed)
    wrong: list[str] = []
    broken: list[str] = []
    over: list[float] = []
    seconds: list[float] = []
    done = screws = refused = both = 0
    while done < joints:
        joint = random_joint(chance)
        start = time.process_time()
        found, assembly, state = run(joint, folder)
        seconds.append(time.process_time() - start)
        if state == 1 or (not state and any(each["enters"] != "leg:1" for each in found)):
            refused += 1
            continue
        if state:
            broken.append(joint.text)
            continue
        done, screws = done + 1, screws + len(found)
        both += len({each["part"] for each in found}) == 2
        bad, least = judge(joint, found, assembly)
        wrong += bad
        over.append(least - min(NEAR, *(each["clearance_mm"] for each in found)))
    return Count(done, screws, tuple(wrong), refused, tuple(broken), both, tuple(over), tuple(seconds))


def main() -> None:
    joints, seed = int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 11
    with TemporaryDirectory() as folder:
        found = count(joints, seed, Path(folder))
    over, seconds = sorted(found.over), sorted(found.seconds)
    print(f"{found.joints} joints ({found.both} with screws of two rails in one leg), {found.screws} screws")
    print(f"violations: {len(found.wrong)}", *found.wrong[:5], sep="\n  ")
    print(f"refused: {found.refused}, broken: {len(found.broken)}", *found.broken[:1], sep="\n")
    print(f"mesh less ours: least {over[0]:.4f}, median {over[len(over) // 2]:.4f}, most {over[-1]:.3f} mm")
    median, worst = seconds[len(seconds) // 2] * 1e3, seconds[-1] * 1e3
    print(f"both commands, placing the screws among it: median {median:.0f} ms of processor time, worst {worst:.0f}")


if __name__ == "__main__":
    main()
