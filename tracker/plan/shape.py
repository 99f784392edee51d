"""A piece as a solid: what a saw leaves of a board after two compound cuts, tapers and holes.

Millimetres in the frame of `design.model`: x to the right along the length, 0 at the leftmost point of the piece; y
from the near edge (0) to the far edge; z from the bottom face (0) to the top face. Each end is a plane: at end B x
grows with y when the far edge is the longer one there, by width · tan m over the width, and with z when the top face
is, by thickness · tan b / cos m through the thickness; end A is the mirror image.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.design.model import EdgeName, EndCut, EndName, FaceName, Hand, HoleFace, HoleKind, Measured
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan import convex
from tracker.plan.convex import Point
from tracker.plan.slants import across, through
from tracker.plan.tapers import taper_angle

Corner = tuple[float, float, float]
Plane = tuple[float, float, float]
"""The plane of an end: its x at y = z = 0, and how x grows with y and with z."""
ENDS: tuple[EndName, EndName] = ("A", "B")
CORNERS: tuple[tuple[EdgeName, FaceName], ...] = (
    ("near", "bottom"),
    ("far", "bottom"),
    ("near", "top"),
    ("far", "top"),
)


class Edges(Struct, frozen=True, kw_only=True):
    """Lengths along the piece, before any taper: its four long edges, its centre line, and tip to tip."""

    near_top: Length
    far_top: Length
    near_bottom: Length
    far_bottom: Length
    middle: Length
    overall: Length


class TaperShape(Struct, frozen=True, kw_only=True):
    """A taper on one edge: from (`start_x`, on that edge) in by `depth` at `end_x`, the tip of that edge."""

    edge: EdgeName
    end: EndName
    start_x: Length
    end_x: Length
    depth: Length
    leave: Length
    row: int
    """Its index in the part's tapers."""
    start: Length
    """Measured from the other end, along the edge; negative when it is longer than the edge."""

    @property
    def length(self) -> Length:
        """The length of the tapered part, along the piece; not positive when the taper starts past its end."""
        return self.end_x - self.start_x if self.end == "B" else self.start_x - self.end_x

    @property
    def takes_wood(self) -> bool:
        """Whether it starts before its end: no plane is sawn otherwise."""
        return self.length > ZERO

    @property
    def angle(self) -> float:
        """The angle in degrees between the tapered and the straight edge."""
        return taper_angle(self.depth, self.length)


class HoleShape(Struct, frozen=True, kw_only=True):
    """One hole: where its axis enters the face, and where it ends or leaves the wood."""

    kind: HoleKind
    end: EndName
    face: HoleFace
    enters: Corner
    leaves: Corner
    diameter: Length | None
    row: int
    """Its index in the part's holes."""
    which: int
    """Its index in that row's `from_edge`."""


class Solid(Struct, frozen=True, kw_only=True):
    """One piece in space. For a mirror pair `hand` has already been applied: near and far are this piece's."""

    a: EndCut
    b: EndCut
    length: Length
    """The length as `measured`; for a splayed leg, along its edges."""
    measured: Measured
    width: Length
    thickness: Length
    edges: Edges
    plane_a: Plane
    plane_b: Plane
    allowance: Length
    blank_length: Length
    tapers: tuple[TaperShape, ...]
    holes: tuple[HoleShape, ...]
    grain: Literal["along", "across"]
    hand: Hand | None
    tenon_a: Length = ZERO
    tenon_b: Length = ZERO
    """How much the tenons add to the length between the shoulders, which the file gives; the piece is sawn with
    them."""

    def end(self, which: EndName) -> EndCut:
        return self.a if which == "A" else self.b

    def reach(self, which: EndName, y: float, z: float) -> float:
        """The x of the plane of an end at (y, z), in mm."""
        at, along_y, along_z = self.plane_a if which == "A" else self.plane_b
        return at + along_y * y + along_z * z

    def corner(self, end: EndName, edge: EdgeName, face: FaceName) -> Corner:
        """One of the eight corners, before any taper."""
        y = float(self.width) if edge == "far" else 0.0
        z = float(self.thickness) if face == "top" else 0.0
        return (self.reach(end, y, z), y, z)

    @property
    def corners(self) -> tuple[Corner, ...]:
        """The eight corners before any taper: end A's near bottom, far bottom, near top, far top, then end B's."""
        return tuple(self.corner(end, edge, face) for end in ENDS for edge, face in CORNERS)

    def section(self, z: float) -> tuple[Point, ...]:
        """The outline at height z, without the tapers: a convex polygon, counter-clockwise; empty if nothing is
        left."""
        width = float(self.width)
        corners = (
            (self.reach("A", 0, z), 0.0),
            (self.reach("B", 0, z), 0.0),
            (self.reach("B", width, z), width),
            (self.reach("A", width, z), width),
        )
        return self._tapered(corners)

    def inset(self, point: Corner) -> float:
        """How far a point is inside the outline at its height, in mm; negative outside."""
        return convex.inset(self.section(point[2]), point[:2])

    def silhouette(self) -> tuple[Point, ...]:
        """The outline seen from above, both faces together, counter-clockwise."""
        thickness = float(self.thickness)
        corners = []
        for end, y in ((ENDS[0], 0.0), (ENDS[1], 0.0), (ENDS[1], float(self.width)), (ENDS[0], float(self.width))):
            reach = (self.reach(end, y, 0.0), self.reach(end, y, thickness))
            corners.append((min(reach) if end == "A" else max(reach), y))
        return self._tapered(tuple(corners))

    def _tapered(self, corners: tuple[Point, ...]) -> tuple[Point, ...]:
        width = float(self.width)
        for taper in self.tapers:
            if not taper.takes_wood:
                continue
            far = taper.edge == "far"
            start = (float(taper.start_x), width if far else 0.0)
            tip = (float(taper.end_x), width - float(taper.depth) if far else float(taper.depth))
            # The part to the left of the line is kept; walk the line accordingly.
            forward = (taper.end == "B") != far
            corners = convex.left_of(corners, start, tip) if forward else convex.left_of(corners, tip, start)
        return corners

    @property
    def volume(self) -> float:
        """The volume in cubic millimetres, less tapers but not holes; Simpson's rule over the thickness."""
        thickness = float(self.thickness)
        bottom, middle, top = (convex.area(self.section(thickness * part)) for part in (0.0, 0.5, 1.0))
        return thickness * (bottom + 4 * middle + top) / 6

    def weight(self, density: float | None) -> float | None:
        """The weight in kilograms for a density in kg/m³; None when the density isn't known."""
        return None if density is None else self.volume * 1e-9 * density

    @property
    def along_board(self) -> Length:
        """The length of board that the blank takes, at which it is cut off: its length, or its width where the grain
        runs across the piece. The allowance is on the length, whichever way that lies."""
        return self.width if self.grain == "across" else self.blank_length

    @property
    def across_board(self) -> Length:
        """The width of board that the blank takes, to which it is ripped: its width, or its length across the grain."""
        return self.blank_length if self.grain == "across" else self.width

    @property
    def square(self) -> bool:
        """Whether both ends are square, so that the blank cut may be the last cut."""
        return self.a.square and self.b.square

    def needs_trim(self) -> bool:
        """Whether any end is cut again after the blank."""
        return bool(self.allowance) or not self.square


def spread(cut: EndCut, width: Length, thickness: Length) -> tuple[Length, Length]:
    """How much longer the piece gets at an end, from near to far and from bottom to top."""
    wide = across(width, cut.miter)
    deep = through(thickness, cut)
    return (wide if cut.long == "far" else -wide, deep if cut.long_face == "top" else -deep)


def tip(cut: EndCut, width: Length, thickness: Length) -> Length:
    """How far the tip of an end extends past its near bottom corner."""
    wide, deep = spread(cut, width, thickness)
    return max(wide, ZERO) + max(deep, ZERO)
