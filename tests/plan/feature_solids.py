"""Random parts with features, and an independent judge of what they leave: another library's solids (manifold3d).

The judge knows the rows of the build file and what the maker's words mean, nothing of the program: it makes every cut a
mesh of its own and subtracts them. `PYTHONPATH=tests python -m plan.feature_solids 2000 [SEED]` counts.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Iterator
from math import cos, radians, sin, tan
from typing import Any

import manifold3d as m3
import numpy as np

from tracker.design import load_build
from tracker.plan.features import feature_problems, features_of, net_volume
from tracker.plan.geometry import solid
from tracker.plan.place.cells import cells_of

ROUND = 1024
"""Corners of the judge's circles: what they leave of one is 6e-6 of it."""
PAD = 60.0
Row = dict[str, Any]
FACES, EDGES, ENDS = ("top", "bottom"), ("near", "far"), ("A", "B")


class Board:
    """What the judge knows of a piece: L × W × T with square ends, or a mitre at end B, long at the far edge."""

    def __init__(self, long: float, wide: float, thick: float, miter: float, rows: list[Row]) -> None:
        tenons = {row["on"]: row["length"] for row in rows if row["kind"] == "tenon"}
        self.long = long + sum(tenons.values())
        self.wide, self.thick, self.miter, self.rows = wide, thick, miter, rows
        self.shoulder = long

    def end_b(self, y: float) -> float:
        """x of end B: the length is that of the longest edge, the far one."""
        return self.long - (self.wide - y) * tan(radians(self.miter))

    def bare(self) -> m3.Manifold:
        corners = [(0, y, z) for y in (0, self.wide) for z in (0, self.thick)]
        corners += [(self.end_b(y), y, z) for y in (0, self.wide) for z in (0, self.thick)]
        return m3.Manifold.hull_points(np.array(corners, dtype=np.float64))

    def frame(self, on: str) -> tuple[np.ndarray, np.ndarray, tuple[str, str, str, str], tuple[float, float]]:
        """Origin, the directions u, v and inward as columns, the sides that u and v run between, and how far."""
        x, y, z = np.eye(3)
        lo, wi, th = self.long, self.wide, self.thick
        return {
            "top": (np.array([0, 0, th]), np.array([x, y, -z]).T, ("A", "B", "near", "far"), (lo, wi)),
            "bottom": (np.zeros(3), np.array([x, y, z]).T, ("A", "B", "near", "far"), (lo, wi)),
            "near": (np.zeros(3), np.array([x, z, y]).T, ("A", "B", "bottom", "top"), (lo, th)),
            "far": (np.array([0, wi, 0]), np.array([x, z, -y]).T, ("A", "B", "bottom", "top"), (lo, th)),
            "A": (np.zeros(3), np.array([y, z, x]).T, ("near", "far", "bottom", "top"), (wi, th)),
            "B": (np.array([lo, 0, 0]), np.array([y, z, -x]).T, ("near", "far", "bottom", "top"), (wi, th)),
        }[on]  # type: ignore[return-value]

    def put(self, on: str, local: m3.Manifold) -> m3.Manifold:
        origin, axes, _, _ = self.frame(on)
        return local.transform(np.hstack([axes, origin[:, None]]))

    def start(self, row: Row, axis: int, size: float, which: int) -> float:
        """Where it begins along u or v."""
        _, _, names, spans = self.frame(row["on"])
        first, last, span = names[2 * axis], names[2 * axis + 1], spans[axis]
        at, toward = row.get("from", {}), row.get("toward", {})
        step = row.get("spacing", 0.0) * which if axis == (0 if row.get("row", "along") == "along" else 1) else 0.0
        if first in at:
            return float(at[first] + step)
        if last in at:
            return float(span - at[last] - size - step)
        back = row.get("spacing", 0.0) * (row.get("count", 1) - 1) / 2 if step or row.get("spacing") else 0.0
        back = back if axis == (0 if row.get("row", "along") == "along" else 1) else 0.0
        return float((span - size) / 2 - toward.get(first, 0.0) + toward.get(last, 0.0) + step - back)

    def shear(self, row: Row, local: m3.Manifold) -> m3.Manifold:
        _, _, names, _ = self.frame(row["on"])
        for side, angle in row.get("lean", {}).items():
            slope = tan(radians(angle)) * (1 if side in (names[1], names[3]) else -1)
            matrix = np.hstack([np.eye(3), np.zeros((3, 1))])
            matrix[0 if side in names[:2] else 1, 2] = slope
            local = local.transform(matrix)
        return local

    def cuts(self) -> Iterator[m3.Manifold]:
        for row in self.rows:
            for which in range(row.get("count", 1)):
                yield from getattr(self, f"_{row['kind']}")(row, which)

    def left(self) -> m3.Manifold:
        piece = self.bare()
        for cut in self.cuts():
            piece -= cut
        return piece

    # Each kind, in the directions of its side: u, v, and inward

    def _mortise(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        u, v = self.start(row, 0, row["length"], which), self.start(row, 1, row["width"], which)
        deep = 2000.0 if row.get("through") else row["depth"]
        box = brick(u, v, -PAD, u + row["length"], v + row["width"], deep)
        if not row.get("lean"):
            yield self.put(row["on"], box)
            return
        yield self.put(row["on"], self.shear(row, box))

    def _slot(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        u, v = self.start(row, 0, row["length"], which), self.start(row, 1, row["width"], which)
        radius, deep = row["width"] / 2, 2000.0 if row.get("through") else row["depth"]
        pin = m3.Manifold.cylinder(deep + PAD, radius, radius, ROUND).translate((0, 0, -PAD))
        ends = [pin.translate((at, v + radius, 0)) for at in (u + radius, u + row["length"] - radius)]
        yield self.put(row["on"], m3.Manifold.batch_hull(ends))

    def _notch(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        u, size = self.start(row, 0, row["length"], which), row["length"]
        _, _, names, _ = self.frame(row["on"])
        at = row.get("from", {})
        low = u - (300.0 if at.get(names[0]) == 0 else 0.0)
        high = u + size + (300.0 if at.get(names[1]) == 0 else 0.0)
        yield self.put(row["on"], self.shear(row, brick(low, -PAD, -PAD, high, 1000.0, row["depth"])))

    def _tenon(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        u, v = self.start(row, 0, row["width"], 0), self.start(row, 1, row["thickness"], 0)
        waste = brick(-PAD, -PAD, -PAD, 1000.0, 1000.0, row["length"])
        waste -= brick(u, v, -2 * PAD, u + row["width"], v + row["thickness"], row["length"] + 1)
        if "haunch" in row:
            stub = row["haunch"]
            wide = stub.get("width", 2000.0)
            a, b = (u - wide, u) if stub["edge"] == "near" else (u + row["width"], u + row["width"] + wide)
            waste -= brick(a, v, row["length"] - stub["length"], b, v + row["thickness"], row["length"] + 1)
        yield self.put(row["on"], waste)

    def _groove(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        _, _, names, spans = self.frame(row["on"])
        v, stop = self.start(row, 1, row["width"], which), row.get("stop", {})
        low = stop.get(names[0], -PAD)
        y = {"near": 0.0, "far": self.wide}.get(row["on"], v + row["width"] / 2)
        end = self.end_b(y) if names[1] == "B" else spans[0]  # measured along the groove itself
        high = end - stop[names[1]] if names[1] in stop else spans[0] + PAD
        yield self.put(row["on"], brick(low, v, -PAD, high, v + row["width"], row["depth"]))

    def _dado(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        _, _, names, spans = self.frame(row["on"])
        angle, stop = radians(row.get("angle", 0.0)), row.get("stop", {})
        along = row["width"] / cos(angle)
        u = self.start(row, 0, along, which)
        low = stop.get(names[2], -PAD)
        high = spans[1] - stop[names[3]] if names[3] in stop else spans[1] + PAD
        corners = [
            (a + tan(angle) * (b - spans[1] / 2), b, c) for a in (u, u + along) for b in (low, high)
            for c in (-PAD, row["depth"])
        ]  # fmt: skip
        yield self.put(row["on"], m3.Manifold.hull_points(np.array(corners, dtype=np.float64)))

    def _rabbet(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        _, _, names, spans = self.frame(row["on"])
        edge, stop = row["edge"], row.get("stop", {})
        axis = 0 if edge in names[:2] else 1
        low_side = edge in (names[0], names[2])
        a, b = (-PAD, row["width"]) if low_side else (spans[axis] - row["width"], spans[axis] + PAD)
        first, last = names[2 - 2 * axis], names[3 - 2 * axis]
        run = spans[1 - axis]
        c = stop.get(first, -PAD)
        d = run - stop[last] if last in stop else run + PAD
        box = (a, c, -PAD, b, d, row["depth"]) if axis == 0 else (c, a, -PAD, d, b, row["depth"])
        yield self.put(row["on"], brick(*box))

    def _bore(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        yield self._hole(row, which, row["diameter"], row.get("depth"))

    _dowel = _bore

    def _bolt(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        if "head" not in row:
            yield self._hole(row, which, row["diameter"], row.get("depth"))
            return
        yield self._hole(row, which, row["head"], row["head_depth"])
        deep = None if row.get("through") else row["depth"]
        yield self._hole(row, which, row["diameter"], deep)

    def _counterbore(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        yield self._hole(row, which, row["diameter"], row["depth"])
        if "hole" in row:
            yield self._hole(row, which, row["hole"], None if row.get("through") else row["hole_depth"])

    def _hole(self, row: Row, which: int, diameter: float, deep: float | None) -> m3.Manifold:
        u, v = self.start(row, 0, 0.0, which), self.start(row, 1, 0.0, which)
        long = PAD + (2000.0 if deep is None else deep)
        pin = m3.Manifold.cylinder(long, diameter / 2, diameter / 2, ROUND).translate((0, 0, -PAD))
        _, _, names, _ = self.frame(row["on"])
        for side, angle in row.get("lean", {}).items():
            turn = angle if side in (names[1], names[3]) else -angle
            c, s, axis = cos(radians(turn)), sin(radians(turn)), 0 if side in names[:2] else 1
            matrix = np.hstack([np.eye(3), np.zeros((3, 1))])
            matrix[axis, axis] = matrix[2, 2] = c
            matrix[axis, 2], matrix[2, axis] = s, -s
            pin = pin.transform(matrix)
        return self.put(row["on"], pin.translate((u, v, 0)))

    def _profile(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        for edge, face in (each.split() for each in row["edges"]):
            yield self._along_edge(row, edge, face)

    def _along_edge(self, row: Row, edge: str, face: str) -> m3.Manifold:
        """Made along y at the corner x = z = 0, the wood in x > 0, z < 0, then laid along its edge; between the
        shoulders where there are tenons."""
        wide = row.get("width", row.get("radius"))
        high = row.get("height", wide)
        run = 3000.0  # longer than any board here
        if row["shape"] == "chamfer":
            corners = [(x, y, z) for x, z in ((0, 0), (wide, 0), (0, -high), (-1, 1), (wide, 1), (-1, -high))
                       for y in (-run, run)]  # fmt: skip
            cut = m3.Manifold.hull_points(np.array([c for c in corners if c[0] >= 0 and c[2] <= 0], dtype=np.float64))
            grow = m3.Manifold.hull_points(
                np.array([(x, y, z) for x, z in ((0, 0), (wide, 0), (0, -high)) for y in (-run, run)], dtype=np.float64)
            )
            cut = cut + grow
        else:
            pin = m3.Manifold.cylinder(2 * run, wide, wide, ROUND, True).rotate((90, 0, 0))
            if row["shape"] == "cove":
                cut = pin
            else:
                cut = brick(-1, -run, -wide, wide, run, 1) - pin.translate((wide, 0, -wide))
                cut = cut - brick(-2, -run - 1, -2000, 0, run + 1, 2000) - brick(-2, -run - 1, 0, 2000, run + 1, 2)
        cut = {
            "near": lambda c: c.rotate((0, 0, 90)), "far": lambda c: c.rotate((0, 0, -90)),
            "A": lambda c: c, "B": lambda c: c.rotate((0, 0, 180)),
        }[edge](cut)  # fmt: skip
        place = {"near": (0, 0), "far": (0, self.wide), "A": (0, 0), "B": (self.long, 0)}[edge]
        if face == "bottom":
            cut = cut.mirror((0, 0, 1))
        cut = cut.translate((*place, self.thick if face == "top" else 0.0))
        shoulders = {each["on"]: each["length"] for each in self.rows if each["kind"] == "tenon"}
        low, high_x = shoulders.get("A", -PAD), self.long - shoulders.get("B", -PAD)
        return cut ^ brick(low, -PAD, -PAD, high_x, self.wide + PAD, self.thick + PAD)

    def _bevel(self, row: Row, which: int) -> Iterator[m3.Manifold]:
        slope, top = tan(radians(row["angle"])), row.get("long_face", "top") == "top"
        near = row["on"] == "near"
        z_long, z_other = (self.thick, 0.0) if top else (0.0, self.thick)
        over = 5.0 if top else -5.0
        deep = slope * (self.thick + 5.0)
        sign, base = (1, 0.0) if near else (-1, self.wide)
        points = [(base, z_long), (base + sign * deep, z_other - over), (base - sign * PAD, z_other - over)]
        points += [(base - sign * PAD, z_long)]
        corners = [(x, y, z) for y, z in points for x in (-PAD, self.long + PAD)]
        yield m3.Manifold.hull_points(np.array(corners, dtype=np.float64))


def brick(x0: float, y0: float, z0: float, x1: float, y1: float, z1: float) -> m3.Manifold:
    return m3.Manifold.cube((x1 - x0, y1 - y0, z1 - z0)).translate((x0, y0, z0))


def toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else repr(value)


def build_text(board: Board) -> str:
    rows = "".join(f"  {toml(row)},\n" for row in board.rows)
    miter = f"end_b = {{ miter = {board.miter} }}\n" if board.miter else ""
    return (
        f'[build]\nname = "x"\nunits = "mm"\n[woods.oak]\nspecies = "white oak"\nthickness = {board.thick}\n'
        f'width = {board.wide}\nlengths = ["6 m"]\n[[parts]]\nid = "part"\nwood = "oak"\nlength = {board.shoulder}\n'
        f"{miter}features = [\n{rows}]\n"
    )


def random_board(chance: random.Random) -> Board:
    """A piece with one to six features, each in its own stretch of the length, and now and then one along all of it."""
    wide, thick = float(chance.randint(40, 160)), float(chance.randint(16, 60))
    count = chance.randint(1, 6)
    long = 160.0 * (count + 1)
    miter = chance.choice([0.0, 0.0, 0.0, float(chance.randint(1, 30))])
    rows = [_random_row(chance, at, wide, thick) for at in range(count)]
    if not miter:
        rows += [_at_an_end(chance, wide, thick, end) for end in "AB" if chance.random() < 0.35]
    if chance.random() < 0.3:
        rows.append(_all_along(chance, wide, thick, bool(miter)))
    chance.shuffle(rows)
    return Board(long, wide, thick, miter, rows)


def _size(chance: random.Random, low: float, high: float) -> float:
    return round(chance.uniform(low, max(low, high)), 1)


def _random_row(chance: random.Random, at: int, wide: float, thick: float) -> Row:
    kind = chance.choice(["mortise", "slot", "notch", "dado", "bore", "dowel", "bolt", "counterbore", "groove"])
    on = chance.choice([*FACES, *EDGES])
    if kind == "notch":
        on = chance.choice(EDGES)
    across, deep = (wide, thick) if on in FACES else (thick, wide)
    begin = 100.0 + 160.0 * at + _size(chance, 0, 20)
    low = "near" if on in FACES else "bottom"
    row: Row = {"kind": kind, "on": on, "from": {"A": begin}}
    if kind in ("mortise", "slot"):
        row |= {"width": _size(chance, 4, across / 2), "length": 0.0}
        row["length"] = _size(chance, row["width"] + 1, 80)
        row["from"][low] = _size(chance, 1, across - row["width"] - 1)
        row |= {"through": True} if chance.random() < 0.3 else {"depth": _size(chance, 2, deep - 2)}
        if kind == "mortise" and "depth" in row and chance.random() < 0.3:
            row["lean"] = {chance.choice("AB"): _size(chance, 1, 20)}
    elif kind == "notch":
        row |= {"length": _size(chance, 5, 80), "depth": _size(chance, 3, wide - 5)}
        if chance.random() < 0.3:
            row["lean"] = {chance.choice("AB"): _size(chance, 1, 15)}
    elif kind == "dado":
        row |= {"width": _size(chance, 4, 60), "depth": _size(chance, 2, deep - 2)}
        if chance.random() < 0.4:
            row["stop"] = {
                chance.choice(["near", "far"] if on in FACES else ["bottom", "top"]): _size(chance, 2, across / 3)
            }
        if on in FACES and chance.random() < 0.3:
            row["angle"] = _size(chance, -15, 15)
    elif kind == "groove":
        row = {"kind": kind, "on": on, "width": _size(chance, 2, across / 3), "depth": _size(chance, 2, deep / 2)}
        row |= {"from": {low: _size(chance, 1, across / 2)}, "stop": {"A": begin, "B": 1.0}}
        row["stop"]["B"] = _size(chance, 1, 40)
    else:
        _hole_row(chance, row, kind, across, deep, low)
    return row


def _hole_row(chance: random.Random, row: Row, kind: str, across: float, deep: float, low: str) -> None:
    big = _size(chance, 4, min(across - 3, 30))
    row["from"][low] = _size(chance, big / 2 + 1, across - big / 2 - 1)
    row["from"]["A"] += 20
    row["diameter"] = big
    if kind in ("bore", "dowel"):
        row["depth"] = _size(chance, 2, deep - 2)
        if kind == "bore" and chance.random() < 0.4:
            del row["depth"]
            row["through"] = True
        if kind == "bore" and chance.random() < 0.3:
            row["lean"] = {chance.choice("AB"): _size(chance, 1, 20)}
        if chance.random() < 0.3:
            row |= {"count": chance.randint(2, 3), "spacing": big + 4}
    elif kind == "counterbore":
        row |= {"depth": _size(chance, 1, deep / 2), "hole": round(big / 2, 1), "through": True}
    elif chance.random() < 0.6:
        row |= {"diameter": round(big / 2, 1), "head": big, "head_depth": _size(chance, 1, deep / 2), "through": True}
    else:
        row["depth"] = _size(chance, 2, deep - 2)


def _at_an_end(chance: random.Random, wide: float, thick: float, end: str) -> Row:
    kind = chance.choice(["tenon", "tenon", "bore", "mortise", "rabbet", "groove", "notch", "profile"])
    if kind == "tenon":
        row: Row = {"kind": kind, "on": end, "length": _size(chance, 8, 50)}
        row |= {"width": _size(chance, wide / 3, wide), "thickness": _size(chance, thick / 4, thick)}
        if row["width"] < wide - 12 and chance.random() < 0.4:
            row["haunch"] = {"edge": chance.choice(EDGES), "length": _size(chance, 2, row["length"] - 2)}
        elif row["width"] < wide - 12 and chance.random() < 0.5:
            row["from"] = {chance.choice(EDGES): _size(chance, 0, wide - row["width"])}
        return row
    if kind == "bore":
        return {"kind": kind, "on": end, "diameter": 8.0, "depth": 40.0, "count": 2, "spacing": wide / 3}
    if kind == "mortise":
        return {"kind": kind, "on": end, "length": wide / 2, "width": thick / 3, "depth": 30.0}
    if kind == "rabbet":
        return {
            "kind": kind,
            "on": chance.choice(FACES),
            "edge": end,
            "width": _size(chance, 4, 50),
            "depth": thick / 2,
        }
    if kind == "groove":
        return {"kind": kind, "on": end, "width": thick / 4, "depth": _size(chance, 3, 40)}
    if kind == "notch":
        edge = chance.choice(EDGES)
        return {"kind": kind, "on": edge, "from": {end: 0}, "length": _size(chance, 5, 60), "depth": wide / 3}
    return {"kind": kind, "edges": [f"{end} {chance.choice(FACES)}"], "shape": chance.choice(["chamfer", "round over", "cove"]),  # noqa: E501
            "radius": 4.0} | {}  # fmt: skip


def _all_along(chance: random.Random, wide: float, thick: float, miter: bool) -> Row:
    kind = chance.choice(["profile", "bevel", "rabbet", "groove"])
    if kind == "profile":
        edges = chance.sample([f"{edge} {face}" for edge in EDGES for face in FACES], chance.randint(1, 2))
        return {"kind": kind, "edges": edges, "shape": chance.choice(["round over", "cove", "chamfer"]), "radius": 3.0}
    if kind == "bevel":
        return {
            "kind": kind,
            "on": chance.choice(EDGES),
            "angle": _size(chance, 2, 30),
            "long_face": chance.choice(FACES),
        }
    if kind == "rabbet":
        return {"kind": kind, "on": chance.choice(FACES), "edge": chance.choice(EDGES), "width": 6.0, "depth": 5.0}
    return {"kind": "groove", "on": chance.choice(EDGES), "width": thick / 4, "depth": 6.0}


def relative_error(board: Board) -> float | None:
    """How far the program's volume is from the judge's, over it; None where the file isn't taken."""
    for row in board.rows:  # a chamfer has a width
        if row["kind"] == "profile" and row["shape"] == "chamfer" and "radius" in row:
            row["width"] = row.pop("radius")
    build = load_build(build_text(board)).build
    if build is None:
        raise AssertionError(load_build(build_text(board)).problems, build_text(board))
    part = build.parts[0]
    made = solid(part, None)
    if any(each.kind == "problem" for each in feature_problems(build, part, made)):
        return None
    found = net_volume(made, cells_of(made), features_of(part, made))
    judged = float(board.left().volume())
    return abs(found - judged) / judged


def count(wanted: int, seed: int = 1) -> tuple[int, int, float]:
    """So many combinations that are taken: how many there were, how many were refused, and the largest error."""
    chance = random.Random(seed)
    taken, refused, worst = 0, 0, 0.0
    while taken < wanted:
        board = random_board(chance)
        error = relative_error(board)
        if error is None:
            refused += 1
            continue
        taken += 1
        if error > worst:
            worst = error
        if error > 1e-6:
            print(error, build_text(board), flush=True)
    return taken, refused, worst


if __name__ == "__main__":
    began = time.process_time()
    wanted, seed = (int(word) for word in (*sys.argv[1:3], *("100", "1")[len(sys.argv) - 1 :]))
    made, refused, worst = count(wanted, seed)
    print(f"{made} combinations ({refused} refused): largest error {worst:.2e}; {time.process_time() - began:.0f} s")
