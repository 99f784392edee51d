"""The build: what a build file says, with every name, size and formula resolved. Frozen, exact, pure.

How a piece lies (the frame that all of this speaks in): face up, its length from left to right. End A is the left end,
end B the right. The near edge is the one toward the person, the far edge the other; the top face is up.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Literal, Protocol, TypeVar

from msgspec import Struct, field

from tracker.design.feature import Feature
from tracker.design.in_use import Air, Fastened, Load
from tracker.design.lines import Lines
from tracker.design.outline import Outline
from tracker.design.own_step import OwnStep
from tracker.design.place import Place
from tracker.measure import Angle, Length, Mark, Span, Units

EdgeName = Literal["near", "far"]
FaceName = Literal["top", "bottom"]
EndName = Literal["A", "B"]
Hand = Literal["left", "right"]
Measured = Literal["long", "short", "middle", "overall"]
TaperedEdges = Literal["near", "far", "both"]
HoleKind = Literal["pocket", "through", "blind", "screw", "dowel", "bolt"]
HoleFace = Literal["top", "bottom", "near", "far", "end"]
"""Where a hole goes in: a face, an edge, or the end itself."""
Grain = Literal["along", "across"]
Fastening = Literal["glue", "screws", "glue and screws", "dry"]
LEAST_OFFCUT = Length(Fraction(300))
WANDER = Length(Fraction(2))
"""What a saw strays from a line that is cut later, where the shop says nothing; common practice, no source."""


class EndCut(Struct, frozen=True, kw_only=True):
    """The cut at one end: `miter` from square seen from above, `bevel` from upright, both 0 for a square cut.

    `long` is the edge, `long_face` the face, at which the piece is the longer one at this end.
    """

    miter: Angle = 0.0
    bevel: Angle = 0.0
    long: EdgeName = "far"
    long_face: FaceName = "top"

    @property
    def square(self) -> bool:
        return self.miter == 0 and self.bevel == 0


class EndCuts(Struct, frozen=True, kw_only=True):
    """Both ends, written out in the build file. Of a part in mirror pairs: the left-hand piece's."""

    a: EndCut = EndCut()
    b: EndCut = EndCut()


class RingJoint(Struct, frozen=True, kw_only=True):
    """`sides` pieces standing in a ring, each leaning outward by `lean` from upright.

    `butted`: each end meets its neighbour's face, or runs past flush with it, instead of meeting it in a mitre.
    """

    sides: int
    lean: Angle = 0.0
    butted: bool = False


class CornerJoint(Struct, frozen=True, kw_only=True):
    """Pieces meeting at corners whose inside angle, seen from above, is `angle`; lean and `butted` as in a ring."""

    angle: Angle
    lean: Angle = 0.0
    butted: bool = False


class SplayedLegJoint(Struct, frozen=True, kw_only=True):
    """A leg of square section leaning `front` in the front view and `side` in the side view; `height` floor to seat."""

    height: Length
    front: Angle
    side: Angle


Ends = EndCuts | RingJoint | CornerJoint | SplayedLegJoint
"""What sets the two ends of a piece. `plan.joints` turns a joint into end cuts."""


class Taper(Struct, frozen=True, kw_only=True):
    """The width shrinks toward `end`, from where the taper begins to what is left there.

    Two measures set it: `start` (from the other end) or `length` (of the tapered part, along the piece), `leave` (the
    width left at `end`), and `angle` (of one tapered edge). `plan.geometry` finds the others.
    """

    edges: TaperedEdges
    end: EndName
    start: Length | None = None
    length: Length | None = None
    leave: Length | None = None
    angle: Angle | None = None
    line: int = 0


class Hole(Struct, frozen=True, kw_only=True):
    """One line of holes at an end. `from_edge` are distances from the near edge (of a left-hand piece); in an edge they
    are distances from the bottom face.

    `from_end` is measured along the piece from `end`; None for a pocket hole, whose place follows from the thickness,
    and for a hole in the end itself, which is `from_face` above the bottom face.
    `plug`: it gets a plug when its piece, or what that goes into, is plugged; `plug_diameter` is the plug's, or of a
    bolt's counterbore, `recess` how deep that is. `fastener` is the length of the screw or bolt under its head, or of
    the dowel; None: by the thickness. `places`: how many, where the program finds `from_edge`. `temporary`: the screw
    only holds while the glue dries. `bore` and `shoulder` are a pocket's step drill and how far its seat is from the
    end.
    """

    kind: HoleKind
    end: EndName
    from_edge: tuple[Length, ...]
    face: HoleFace
    from_end: Length | None = None
    diameter: Length | None = None
    depth: Length | None = None
    plug: bool = True
    fastener: Length | None = None
    recess: Length | None = None
    plug_diameter: Length | None = None
    from_face: Length | None = None
    bore: Length | None = None
    shoulder: Length | None = None
    gauge: int | None = None
    places: int = 0
    temporary: bool = False
    line: int = 0

    @property
    def fastens(self) -> bool:
        """Whether a screw, a dowel or a bolt goes into it, and on into another piece."""
        return self.kind not in ("through", "blind")

    @property
    def driven(self) -> bool:
        """Whether the file says which screw or bolt is driven into it, not only that there is a pocket for one."""
        if self.kind == "pocket":
            return self.fastener is not None or self.gauge is not None or bool(self.places) or self.temporary
        return self.kind in ("screw", "bolt")


class Lap(Struct, frozen=True, kw_only=True):
    """A half-lap: a trench half the thickness deep, for a piece of part `crosses` that crosses at `angle`.

    `from_end` is measured along the near edge (of a left-hand piece) from `end` to the trench's nearer shoulder; toward
    the far edge the trench runs away from `end`, unless it is square across.
    """

    end: EndName
    from_end: Length
    crosses: str
    angle: Angle = 90.0
    face: FaceName = "top"
    line: int = 0


class Resaw(Struct, frozen=True, kw_only=True):
    """One board sawn through its thickness into `leaves`, pieces that follow each other in the file: a book match.

    `kerf` is what the band saw takes between two of them, `plane` what is planed off each leaf afterwards.
    """

    leaves: int
    kerf: Length
    plane: Length

    def whole(self, leaf: Length) -> Length:
        """What the leaves take of the board's thickness, each `leaf` thick once it is planed."""
        return (leaf + self.plane + self.kerf) * self.leaves - self.kerf

    def leaf(self, whole: Length) -> Length:
        """How thick the leaves of a board are once planed; less than zero where it is too thin."""
        return (whole + self.kerf) / self.leaves - self.kerf - self.plane


class Part(Struct, frozen=True, kw_only=True):
    """A line of the cut list. Pieces are numbered from 1; left-hand pieces come first.

    `left` and `right` are 0 and `quantity` counts the pieces, unless the part is made in mirror pairs, when
    `quantity == left + right`. `length` is None for a splayed leg, whose joint sets it: ask `plan.geometry` for every
    length and angle of a piece, never this record alone.
    """

    id: str
    name: str
    quantity: int
    left: int = 0
    right: int = 0
    wood: str
    length: Length | None
    measured: Measured = "long"
    width: Length
    thickness: Length
    allowance: Length
    ends: Ends
    tapers: tuple[Taper, ...] = ()
    holes: tuple[Hole, ...] = ()
    laps: tuple[Lap, ...] = ()
    features: tuple[Feature, ...] = ()
    sequence: str = ""
    copies: int = 1
    """How many times what the file says was taken: the copies of the build, and of the assemblies that it goes into."""
    grain: Grain = "along"
    resaw: Resaw | None = None
    rings: Angle = 0.0
    """Degrees between the growth rings and the face: 0 is flat-sawn, 90 quarter-sawn."""
    labels: bool = True
    """Whether its pieces get labels of their own."""
    route: tuple[str, ...] | None = None
    steps: tuple[OwnStep, ...] = ()
    notes: str = ""
    step_notes: tuple[tuple[str, str], ...] = ()
    """Notes that speak of one step: its word in the route, and what is said."""
    line: int = 0
    lines: Lines = field(default_factory=Lines)

    def hand(self, piece: int) -> Hand | None:
        """Which of a mirror pair piece number `piece` is."""
        if not (self.left or self.right):
            return None
        return "left" if piece <= self.left else "right"


class Mill(Struct, frozen=True, kw_only=True):
    """What milling takes off a rough board: off its thickness, off each piece's width, and at each end of the board.

    What is shorter than `shortest` isn't jointed or planed by itself.
    """

    face: Length
    edge: Length
    ends: Length
    shortest: Length


class ByVolume(Struct, frozen=True, kw_only=True):
    """How wood of random widths is bought: from `narrowest` to `widest`, so many percent over the net wood.

    `grade` is its id in the table of grades, empty where none is said; `rate` is the price of one `unit`; `over` is
    None where the usual share is taken.
    """

    narrowest: Length
    widest: Length
    grade: str = ""
    over: int | None = None
    rate: Decimal | None = None
    unit: Literal["board foot", "m³"] = "board foot"


class Wood(Struct, frozen=True, kw_only=True):
    """A kind of stock that is bought. `prices` has one price for each of `lengths`, or is empty when none is known.

    `ripped`: narrower parts are cut side by side from one length of it. A `sheet` is ripped too, and trimmed on all
    four sides; `grainless` parts of it may lie across.
    """

    id: str
    species: str
    section: str
    width: Length
    thickness: Length
    lengths: tuple[Length, ...]
    prices: tuple[Decimal, ...]
    ripped: bool = False
    sheet: bool = False
    grainless: bool = False
    rough: Length | None = None
    """What it is thick as it is bought, before it is planed to `thickness`; None for what comes surfaced."""
    mill: Mill | None = None
    by_volume: ByVolume | None = None
    """Of random widths, each board another; `width` is the widest then."""
    line: int = 0
    lines: Lines = field(default_factory=Lines)


class EdgeDefect(Struct, frozen=True, kw_only=True):
    """A defect that reaches `deep` into a board from one edge: wane, sapwood, a knot at the edge."""

    start: Length
    end: Length
    edge: EdgeName
    deep: Length


class RackBoard(Struct, frozen=True, kw_only=True):
    """A board or an offcut on hand. Defects are (from, to) measured from its end A; those of an edge leave the rest of
    its width clear. `width` and `thickness` are None where they are the wood's."""

    wood: str
    length: Length
    name: str
    defects: tuple[tuple[Length, Length], ...] = ()
    end_trim: Length | None = None
    width: Length | None = None
    thickness: Length | None = None
    edge_defects: tuple[EdgeDefect, ...] = ()
    line: int = 0


class Glue(Struct, frozen=True, kw_only=True):
    """A glue and its times: from the build file where it says them, else the default of its class.

    `defaulted` names the times that are defaults ("open", "clamp", "cure"), for the screen to say so.
    """

    name: str
    open_time: Span
    clamp_time: Span
    cure_time: Span
    defaulted: frozenset[str] = frozenset()


class Finish(Struct, frozen=True, kw_only=True):
    """A finish, its coats and its waits. After `recoat_limit` the next coat needs sanding first (None: never)."""

    kind: str
    coats: int
    recoat: Span
    cure: Span
    sand_between: int | None = None
    recoat_limit: Span | None = None
    limit_defaulted: bool = False
    defaulted: frozenset[str] = frozenset()


class Assembly(Struct, frozen=True, kw_only=True):
    """Pieces joined into one. `joins` says how many of each part or assembly go into *one* of it.

    `quantity` is how many of it the build makes: as many as other assemblies join, or 1. `size` is what it measures
    over all: left to right, front to back, bottom to top. `trimmed`: it is sawn to that size once it is joined.
    """

    id: str
    name: str
    quantity: int
    copies: int = 1
    """How many alike are made of what the file says once."""
    joins: tuple[tuple[str, int], ...]
    by: Fastening
    glue: Glue | None = None
    clamps: int = 0
    route: tuple[str, ...] | None = None
    finish: Finish | None = None
    prove: tuple[str, ...] = ()
    size: tuple[Length, Length, Length] | None = None
    place: tuple[Place, ...] = ()
    trimmed: bool = False
    fastens: tuple[Fastened, ...] = ()
    steps: tuple[OwnStep, ...] = ()
    notes: str = ""
    step_notes: tuple[tuple[str, str], ...] = ()
    line: int = 0
    lines: Lines = field(default_factory=Lines)


class Hardware(Struct, frozen=True, kw_only=True):
    """Bought by the piece. `price` is for one."""

    name: str
    quantity: int
    price: Decimal | None = None
    line: int = 0


class Shop(Struct, frozen=True, kw_only=True):
    """What this shop's saw and tape are, as far as the build depends on it.

    `least_offcut` is the shortest offcut that goes to the rack. `nest_miters`: blanks are cut at their mitres, and two
    that face each other share a cut. `wander` is what a saw may stray from a line that is cut freehand or later.
    For curves: the widths of the saw's `blades`, the diameters of router `bits` and sanding `drums`.
    """

    kerf: Length
    end_trim: Length
    max_miter: Angle
    max_bevel: Angle
    mark: Mark
    least_offcut: Length = LEAST_OFFCUT
    nest_miters: bool = False
    wander: Length = WANDER
    blades: tuple[Length, ...] = ()
    bits: tuple[Length, ...] = ()
    drums: tuple[Length, ...] = ()


class Build(Struct, frozen=True, kw_only=True):
    """One furniture job. Parts and assemblies share one space of ids and keep the order of the file."""

    name: str
    units: Units
    currency: str = ""
    revision: str = ""
    notes: str = ""
    shop: Shop
    woods: tuple[Wood, ...]
    rack: tuple[RackBoard, ...]
    parts: tuple[Part, ...]
    assemblies: tuple[Assembly, ...]
    hardware: tuple[Hardware, ...]
    air: Air = Air()
    copies: int = 1
    """How many alike are made: every quantity counts all of them."""
    loads: tuple[Load, ...] = ()
    outlines: tuple[Outline, ...] = ()

    def is_slotted(self, part_id: str) -> bool:
        """Whether a row of `fastens` names the part as the one that is slotted."""
        return any(each.through == part_id for assembly in self.assemblies for each in assembly.fastens)

    def wood(self, wood_id: str) -> Wood:
        """The wood of that id; KeyError when there is none."""
        return _named(self.woods, wood_id)

    def part(self, part_id: str) -> Part:
        """The part of that id; KeyError when there is none."""
        return _named(self.parts, part_id)

    def assembly(self, assembly_id: str) -> Assembly:
        """The assembly of that id; KeyError when there is none."""
        return _named(self.assemblies, assembly_id)


class _Named(Protocol):
    @property
    def id(self) -> str: ...


_T = TypeVar("_T", bound=_Named)


def _named(things: tuple[_T, ...], wanted: str) -> _T:
    for thing in things:
        if thing.id == wanted:
            return thing
    raise KeyError(wanted)
