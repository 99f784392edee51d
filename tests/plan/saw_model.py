"""A mitre saw and a board in linear algebra: the piece that the printed settings leave, without the program's geometry.

The saw's frame: X right along the fence, Y away from the person into the fence, Z up. The blade starts as the plane X =
0; it is tilted about Y and the table is swung about Z. The board's frame is the build file's: x along the length, y
from near to far, z from bottom to top.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Printed(Protocol):
    """The settings that a card prints for one cut, and nothing else."""

    @property
    def miter_deg(self) -> float: ...
    @property
    def bevel_deg(self) -> float: ...
    @property
    def swing(self) -> str: ...
    @property
    def tilt(self) -> str: ...
    @property
    def up(self) -> str: ...
    @property
    def fence(self) -> str: ...
    @property
    def piece(self) -> str: ...


CORNERS = [(y, z) for y in (0, 1) for z in (0, 1)]
DIRECTIONS: dict[str, Array] = {
    "top face": np.array([0.0, 0.0, 1.0]),
    "bottom face": np.array([0.0, 0.0, -1.0]),
    "far edge": np.array([0.0, 1.0, 0.0]),
    "near edge": np.array([0.0, -1.0, 0.0]),
    "end B": np.array([1.0, 0.0, 0.0]),
    "end A": np.array([-1.0, 0.0, 0.0]),
}
KEPT = {
    "left of the blade": np.array([-1.0, 0.0, 0.0]),
    "right of the blade": np.array([1.0, 0.0, 0.0]),
    "toward you": np.array([0.0, -1.0, 0.0]),
}


def about(axis: int, degrees: float) -> Array:
    """Rotation matrix about X (0), Y (1) or Z (2), counter-clockwise as seen from the axis's tip."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    i, j = [(1, 2), (2, 0), (0, 1)][axis]
    matrix = np.eye(3)
    matrix[i, i], matrix[j, j], matrix[i, j], matrix[j, i] = c, c, -s, s
    return matrix


def blade(miter: float, bevel: float, swing: str, tilt: str) -> Array:
    """The blade's normal. Tilted left, its top leans to -X; swung left, the handle (at -Y) goes to -X."""
    tilted = about(1, -bevel if tilt == "left" else bevel) @ np.array([1.0, 0.0, 0.0])
    swung: Array = about(2, -miter if swing == "left" else miter) @ tilted
    return swung


def lay(up: str, fence: str) -> Array:
    """Rotation from the board's frame to the saw's when `up` faces up and `fence` lies against the fence."""
    z_axis, y_axis = DIRECTIONS[up], DIRECTIONS[fence]
    matrix = np.array([np.cross(y_axis, z_axis), y_axis, z_axis])
    assert np.linalg.det(matrix) > 0.999, "a board can be turned, never mirrored"
    return matrix


def cut_plane(setting: Printed) -> Array:
    """The unit normal of the cut in the board's frame, pointing away from the piece that is kept."""
    normal = blade(setting.miter_deg, setting.bevel_deg, setting.swing, setting.tilt)
    if normal @ KEPT[setting.piece] > 0:
        normal = -normal
    in_board: Array = lay(setting.up, setting.fence).T @ normal
    return in_board


def piece(a: Printed, b: Printed, overall: float, width: float, thickness: float) -> dict[str, Array]:
    """The board cut at both ends: four corners (4 x 3, in the order of CORNERS) for each end; tip to tip `overall`."""
    ends = {}
    for name, setting in (("A", a), ("B", b)):
        normal = cut_plane(setting)
        assert (normal[0] > 0) == (name == "B"), "the end that is cut is the end that was meant"
        lines = np.array([(0.0, y * width, z * thickness) for y, z in CORNERS])
        along = -(lines @ normal) / normal[0]
        along += -along.min() if name == "A" else overall - along.max()
        ends[name] = np.column_stack([along, lines[:, 1], lines[:, 2]])
    return ends


def every_lay(normal: Array) -> Iterator[tuple[float, float, str]]:
    """Mitre, bevel and tilt that a cut with this outward normal needs, for every way to lay the board on the table."""
    names = list(DIRECTIONS)
    for up, fence in product(names, names):
        if abs(DIRECTIONS[up] @ DIRECTIONS[fence]) > 0.5 or up.startswith("end"):
            continue
        x, y, z = lay(up, fence) @ normal
        outward = DIRECTIONS["end B"] * np.sign(normal[0])
        if (lay(up, fence) @ outward)[1] < -0.5:  # the other end against the fence: the blade doesn't reach this one
            continue
        lean = "" if abs(z) < 1e-12 else "left" if z * x > 0 else "right"
        yield np.degrees(np.arctan2(abs(y), abs(x))), np.degrees(np.arcsin(min(1.0, abs(z)))), lean


def stood(ends: dict[str, Array], lean: float, turn: float) -> dict[str, Array]:
    """The piece standing on its near edge, top face outward, leaning outward, turned about the upright axis.

    Its length runs to +Y, so outward is +X: x to Y, y to Z, z to X, then the lean about Y.
    """
    stand = about(2, turn) @ about(1, lean) @ np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    return {name: points @ stand.T for name, points in ends.items()}


def gap(one: Array, other: Array) -> float:
    return float(np.linalg.norm(one - other, axis=1).max())


def ring_gap(ends: dict[str, Array], sides: int, lean: float) -> float:
    """The widest gap at any corner of any joint of the ring."""
    first = stood(ends, lean, 0.0)
    top_a, top_b = first["A"][3], first["B"][3]  # far top: the upper outer edge
    apothem = abs(top_b[1] - top_a[1]) / 2 / np.tan(np.pi / sides)
    shift = np.array([apothem - top_a[0], -(top_a[1] + top_b[1]) / 2, 0.0])
    pieces = [
        {name: (points + shift) @ about(2, 360.0 * k / sides).T for name, points in first.items()} for k in range(sides)
    ]
    return max(gap(pieces[k]["B"], pieces[(k + 1) % sides]["A"]) for k in range(sides))


# A cut as in the words and the drawing, and the piece that the build file asks for


@dataclass(frozen=True)
class Said:
    """A pass over the saw, as a card or a command describes it: angles by their motions."""

    end: str
    first: bool
    up: str
    fence: str
    piece: str
    swing: str
    swing_deg: float
    tilt: str
    tilt_deg: float
    stop_mm: float | None
    set_mm: float

    @property
    def miter_deg(self) -> float:
        return self.swing_deg if self.swing != "none" else 0.0

    @property
    def bevel_deg(self) -> float:
        return self.tilt_deg if self.tilt != "none" else 0.0


def follow(said: Sequence[Said], width: float, thickness: float) -> dict[str, Array]:
    """The piece that two passes leave when a person carries them out in their order.

    The first end has no finished end to rest on, so it has no stop; the second lies with its finished end's tip against
    the stop block, or is cut to a mark that far from that tip. Raises AssertionError if a pass can't be carried out.
    """
    one, two = said
    assert (one.first, two.first) == (True, False), "the first end comes first"
    assert one.stop_mm is None, "there is nothing to rest against the stop yet"
    assert two.stop_mm in (None, two.set_mm), "the stop is what is set"
    assert {one.end, two.end} == {"A", "B"}
    for each in said:
        assert each.tilt in ("left", "none"), "this saw's blade tilts to the left"
        assert (each.swing == "none") == (each.swing_deg == 0), "an angle has a way"
        assert (each.tilt == "none") == (each.tilt_deg == 0), "an angle has a way"
    ends = {each.end: each for each in said}
    return piece(ends["A"], ends["B"], two.set_mm, width, thickness)


def asked(
    ends: dict[str, dict[str, Any]], length: float, measured: str, width: float, thickness: float
) -> dict[str, Array]:
    """The piece as the build file defines it (its page, "How a piece lies"): no saw, no joint, only two planes.

    `miter` is the angle from square seen from above and `bevel` that from upright; at `long` and `long_face` the piece
    is the longer one.
    """
    lines = np.array([(0.0, y * width, z * thickness) for y, z in CORNERS])
    along = {}
    for name, out in (("A", -1.0), ("B", 1.0)):
        end = ends[name]
        miter, bevel = np.radians(end["miter_deg"]), np.radians(end["bevel_deg"])
        across = -1.0 if end["long"] == "far" else 1.0
        up = -1.0 if end["long_face"] == "top" else 1.0
        normal = np.array(
            [out * np.cos(bevel) * np.cos(miter), across * np.cos(bevel) * np.sin(miter), up * np.sin(bevel)]
        )
        along[name] = -(lines @ normal) / normal[0]
    edges = along["B"] - along["A"]
    middle = edges.mean()
    overall = along["B"].max() - along["A"].min()
    now = {"long": edges.max(), "short": edges.min(), "middle": middle, "overall": overall}[measured]
    along["A"] -= along["A"].min()
    along["B"] += along["A"].mean() + middle + (length - now) - along["B"].mean()
    return {name: np.column_stack([x, lines[:, 1], lines[:, 2]]) for name, x in along.items()}


def on_the_table(corners: Array, setting: Printed) -> Array:
    """The corners of the piece in the saw's frame, without a shift."""
    placed: Array = corners @ lay(setting.up, setting.fence).T
    return placed
