"""An independent check of the solid that features leave of a piece, with another library (manifold3d).

It knows the rows of the build file and the meaning of their words, and nothing of the program: it makes a mesh of every
cut and subtracts it.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, radians, sin, sqrt, tan
from typing import Any

import manifold3d as m3
import numpy as np

ROUND = 1024
"""Corners of the judge's circles. `cylinder` keeps the area: with corners on the circle they would leave 6e-6 of it,
and three wide bores in a short piece came to 1.25e-6 of that piece."""
PAD = 60.0
Row = dict[str, Any]


class Board:
    """A piece as the check knows it: L × W × T with square ends, or with a mitre at end B, long at the far edge."""

    def __init__(self, long: float, wide: float, thick: float, miter: float, rows: list[Row]) -> None:
        tenons = {row["on"]: row["length"] for row in rows if row["kind"] == "tenon"}
        self.long = long + sum(tenons.values())
        self.wide, self.thick, self.miter, self.rows = wide, thick, miter, rows
        self.shoulder = long

    def end_b(self, y: float) -> float:
        """The x of end B; the length is that of the longest edge, the far one."""
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
        """The beginning of a feature along u or v."""
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

    # Each kind, in the directions of its side: u, v and inward

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
        pin = cylinder(deep + PAD, radius).translate((0, 0, -PAD))
        first, last = (pin.translate((at, v + radius, 0)) for at in (u + radius, u + row["length"] - radius))
        between = brick(u + radius, v, -PAD, u + row["length"] - radius, v + row["width"], deep)
        yield self.put(row["on"], first + between + last)

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
        if axis == 1 and last == "B":  # measured along the edge itself
            run = self.end_b({"near": 0.0, "far": self.wide}.get(row["on"], 0.0 if edge == "near" else self.wide))
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
        pin = cylinder(long, diameter / 2).translate((0, 0, -PAD))
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
            pin = cylinder(2 * run, wide).translate((0, 0, -run)).rotate((90, 0, 0))
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


def cylinder(long: float, radius: float) -> m3.Manifold:
    """Upright from zero, its many corners a little outside the circle: its area is the circle's."""
    corner = radius * sqrt(2 * pi / ROUND / sin(2 * pi / ROUND))
    return m3.Manifold.cylinder(long, corner, corner, ROUND)


def brick(x0: float, y0: float, z0: float, x1: float, y1: float, z1: float) -> m3.Manifold:
    return m3.Manifold.cube((x1 - x0, y1 - y0, z1 - z0)).translate((x0, y0, z0))
