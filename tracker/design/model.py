"""The build: what a build file says, with every name, size and formula resolved. Frozen and exact.

All fields use one frame: the piece lies face up, its length from left to right. End A is the left end, end B the right
one. The near edge is the one toward the person, the far edge the other one.
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
"""How far a saw strays from a line that is cut later, where the shop doesn't say; common practice, no source."""


class EndCut(Struct, frozen=True, kw_only=True):
    """The cut at one end. `miter` is measured from square, seen from above, and `bevel` from upright; both are 0 for a
    square cut.

    `long` and `long_face` are the edge and the face on which the piece is longer at this end.
    """

    miter: Angle = 0.0
    bevel: Angle = 0.0
    long: EdgeName = "far"
    long_face: FaceName = "top"

    @property
    def square(self) -> bool:
        return self.miter == 0 and self.bevel == 0


class EndCuts(Struct, frozen=True, kw_only=True):
    """Both ends, written out in the build file. For a part in mirror pairs they are the left-hand piece's."""

    a: EndCut = EndCut()
    b: EndCut = EndCut()


class RingJoint(Struct, frozen=True, kw_only=True):
    """`sides` pieces in a ring, each leaning outward by `lean` from upright.

    `butted`: each end meets its neighbour's face, or runs past flush with it, instead of meeting it in a mitre.
    """

    sides: int
    lean: Angle = 0.0
    butted: bool = False


class CornerJoint(Struct, frozen=True, kw_only=True):
    """Pieces that meet at corners whose inside angle, seen from above, is `angle`. `lean` and `butted` are as in a
    ring."""

    angle: Angle
    lean: Angle = 0.0
    butted: bool = False


class SplayedLegJoint(Struct, frozen=True, kw_only=True):
    """A square leg that leans `front` in the front view and `side` in the side view. `height` is from the floor to the
    seat."""

    height: Length
    front: Angle
    side: Angle


Ends = EndCuts | RingJoint | CornerJoint | SplayedLegJoint
"""What determines the two ends of a piece. `plan.compound_mitre` turns a joint into end cuts."""


class Taper(Struct, frozen=True, kw_only=True):
    """The width shrinks toward `end`, from the point where the taper begins down to the width left at the end.

    Two of three measures define it: where it begins, as `start` (from the other end) or `length` (of the tapered part,
    along the piece); `leave` (the width left at `end`); and `angle` (of one tapered edge). `plan.tapers` computes the
    others.
    """

    edges: TaperedEdges
    end: EndName
    start: Length | None = None
    length: Length | None = None
    leave: Length | None = None
    angle: Angle | None = None
    line: int = 0


class Hole(Struct, frozen=True, kw_only=True):
    """One line of holes at an end. `from_edge` holds distances from the near edge (of a left-hand piece), or from the
    bottom face for holes in an edge.

    `from_end` is measured along the piece from `end`. It is None for a pocket hole, whose place follows from the
    thickness, and for a hole in the end itself, which is `from_face` above the bottom face.
    `plug`: the hole gets a plug when its piece, or the assembly it goes into, is plugged. `plug_diameter` is the
    diameter of the plug or of a bolt's counterbore, and `recess` its depth. `fastener` is the length of the screw or
    bolt under its head, or of the dowel; None: it follows from the thickness. `places` is the number of holes where the
    program finds `from_edge`. `temporary`: the screw only holds while the glue dries. `bore` is the step drill of a
    pocket, and `shoulder` the distance of its seat from the end.
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
        """Whether a screw, a dowel or a bolt goes through it into another piece."""
        return self.kind not in ("through", "blind")

    @property
    def driven(self) -> bool:
        """Whether the file says which screw or bolt is driven into it, not only that it is a pocket for one."""
        if self.kind == "pocket":
            return self.fastener is not None or self.gauge is not None or bool(self.places) or self.temporary
        return self.kind in ("screw", "bolt")


class Lap(Struct, frozen=True, kw_only=True):
    """A half-lap: a trench half the thickness deep, for a piece of part `crosses` that crosses at `angle`.

    `from_end` is measured along the near edge (of a left-hand piece) from `end` to the trench's nearer shoulder. Unless
    the trench is square across, it runs away from `end` toward the far edge.
    """

    end: EndName
    from_end: Length
    crosses: str
    angle: Angle = 90.0
    face: FaceName = "top"
    line: int = 0


class Resaw(Struct, frozen=True, kw_only=True):
    """One board resawn through its thickness into `leaves`, pieces that follow each other in the file: a book match.

    `kerf` is what the bandsaw takes between two leaves, `plane` what is planed off each leaf afterwards.
    """

    leaves: int
    kerf: Length
    plane: Length

    def whole(self, leaf: Length) -> Length:
        """The thickness of board that the leaves need when each is `leaf` thick after planing."""
        return (leaf + self.plane + self.kerf) * self.leaves - self.kerf

    def leaf(self, whole: Length) -> Length:
        """The thickness of each leaf after planing; negative where the board is too thin."""
        return (whole + self.kerf) / self.leaves - self.kerf - self.plane


class Part(Struct, frozen=True, kw_only=True):
    """A line of the cut list. Pieces are numbered from 1; left-hand pieces come first.

    If the part is made in mirror pairs, `quantity == left + right`; otherwise `left` and `right` are 0. `length` is
    None for a splayed leg, whose joint sets it. Always ask `plan.geometry` for the lengths and angles of a piece.
    """

    id: str
    name: str
    quantity: int
    left: int
    right: int
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
    """How many times the file's quantity is made: the copies of the build times those of the assemblies that the part
    goes into."""
    grain: Grain = "along"
    resaw: Resaw | None = None
    rings: Angle
    """Degrees between the growth rings and the face: 0 is flat-sawn, 90 quarter-sawn."""
    labels: bool
    """Whether its pieces get labels."""
    route: tuple[str, ...] | None = None
    steps: tuple[OwnStep, ...] = ()
    notes: str = ""
    step_notes: tuple[tuple[str, str], ...] = ()
    """Notes about single steps: the step's word in the route, and the note."""
    line: int
    lines: Lines = field(default_factory=Lines)

    def hand(self, piece: int) -> Hand | None:
        """Which hand of a mirror pair piece number `piece` is; None for other pieces."""
        if not (self.left or self.right):
            return None
        return "left" if piece <= self.left else "right"

    @property
    def first_hand(self) -> Hand | None:
        """The hand of its first piece: all have the same measures."""
        return self.hand(1)


class Mill(Struct, frozen=True, kw_only=True):
    """What milling takes off a rough board: off its thickness, off each piece's width, and off each end of the board.

    A piece shorter than `shortest` isn't jointed or planed by itself.
    """

    face: Length
    edge: Length
    ends: Length
    shortest: Length


class ByVolume(Struct, frozen=True, kw_only=True):
    """How wood of random widths is bought: from `narrowest` to `widest`, with a percentage added to the net wood.

    `grade` is its id in the table of grades, or empty. `rate` is the price of one `unit`. `over` is that percentage;
    None: the usual one.
    """

    narrowest: Length
    widest: Length
    grade: str = ""
    over: int | None = None
    rate: Decimal | None = None
    unit: Literal["board foot", "m³"] = "board foot"


class Wood(Struct, frozen=True, kw_only=True):
    """A kind of stock that is bought. `prices` has one price for each of `lengths`, or is empty when no price is known.

    `ripped`: narrower parts are cut side by side from one length of it. A `sheet` is ripped as well, and trimmed on all
    four sides; parts from a `grainless` sheet may lie across it.
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
    """Its thickness as bought, before it is planed to `thickness`; None for surfaced stock."""
    mill: Mill | None = None
    by_volume: ByVolume | None = None
    """Boards come in random widths; `width` is then the widest."""
    line: int = 0
    lines: Lines = field(default_factory=Lines)


class EdgeDefect(Struct, frozen=True, kw_only=True):
    """A defect that reaches `deep` into a board from one edge: wane, sapwood, a knot at the edge."""

    start: Length
    end: Length
    edge: EdgeName
    deep: Length


class RackBoard(Struct, frozen=True, kw_only=True):
    """A board or an offcut on hand. Defects are (from, to) measured from its end A; those at an edge leave the rest of
    the width clear. `width` and `thickness` are None where they are those of the wood."""

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
    """A glue and its times: from the build file, or else the defaults of its class.

    `defaulted` names the times that are defaults ("open", "clamp", "cure"), so that the screen can say so.
    """

    name: str
    open_time: Span
    clamp_time: Span
    cure_time: Span
    defaulted: frozenset[str] = frozenset()


class Finish(Struct, frozen=True, kw_only=True):
    """A finish, its coats and its waits. After `recoat_limit` the next coat needs sanding first; None: never."""

    kind: str
    coats: int
    recoat: Span
    cure: Span
    sand_between: int | None = None
    recoat_limit: Span | None = None
    limit_defaulted: bool = False
    defaulted: frozenset[str] = frozenset()


class Assembly(Struct, frozen=True, kw_only=True):
    """Pieces joined into one. `joins` says how many of each part or assembly go into *one* of this assembly.

    `quantity` is how many the build makes: as many as other assemblies join, or 1. `size` is its overall size: left to
    right, front to back, bottom to top. `trimmed`: it is sawn to that size after it is joined.
    """

    id: str
    name: str
    quantity: int
    copies: int
    """How many copies of it are made."""
    joins: tuple[tuple[str, int], ...]
    by: Fastening
    glue: Glue | None = None
    clamps: int
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
    line: int
    lines: Lines = field(default_factory=Lines)


class Hardware(Struct, frozen=True, kw_only=True):
    """Hardware bought by the piece. `price` is for one."""

    name: str
    quantity: int
    price: Decimal | None = None
    line: int


class Shop(Struct, frozen=True, kw_only=True):
    """The settings of this shop's saw and tape that the build depends on.

    `least_offcut` is the shortest offcut that goes to the rack. `nest_miters`: blanks are cut at their mitres, and two
    that face each other share a cut. `wander` is how far a saw may stray from a line that is cut freehand or later. For
    curves: the widths of the saw's `blades`, and the diameters of router `bits` and sanding `drums`.
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
    """How many copies are made; every quantity counts all of them."""
    loads: tuple[Load, ...] = ()
    outlines: tuple[Outline, ...] = ()

    def is_slotted(self, part_id: str) -> bool:
        """Whether a row of `fastens` says that the screws go through slots in this part."""
        return any(each.through == part_id for assembly in self.assemblies for each in assembly.fastens)

    def wood(self, wood_id: str) -> Wood:
        """The wood of that id. Raises KeyError when there is none."""
        return _named(self.woods, wood_id)

    def part(self, part_id: str) -> Part:
        """The part of that id. Raises KeyError when there is none."""
        return _named(self.parts, part_id)

    def assembly(self, assembly_id: str) -> Assembly:
        """The assembly of that id. Raises KeyError when there is none."""
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
