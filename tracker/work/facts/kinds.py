"""Every kind of fact. Lengths are whole numbers of 1/320 mm. Fields are only ever added, always with a default."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Literal

from msgspec import Struct

from tracker.work.operations import WaitKind

EntryId = tuple[str, int]
"""The tablet's name, and its count."""
Sizes = tuple[tuple[str, str], ...]
"""What a piece is made to, as (what, value): `("length", "600 mm")`. See `tracker.work.revision`."""
Dimension = Literal["length", "width", "thickness"]


class Plain(Struct, frozen=True, omit_defaults=True, forbid_unknown_fields=True):
    """Written to the log as plain data. A field with its default is left out; an unknown field makes the whole fact
    `Unknown`."""


class Opened(Plain, frozen=True):
    """A run was opened on this tablet."""

    kind: ClassVar = "opened"
    run: str
    build: str
    file: str
    revision: str = ""
    digest: str = ""
    """A digest of all sizes of the build; a different one means that the file was revised."""
    parts: tuple[tuple[str, Sizes], ...] = ()
    """Every part's sizes, if they have changed since the opening before."""


class Wait(Plain, frozen=True):
    """A clock that was started: its length, and the boot clock at the start, which sleep and a changed wall clock don't
    affect.

    `at_least` waits (clamped, cured, dry) block until they are over; the others (open time) warn when they are.
    """

    kind: WaitKind
    seconds: int
    boot_id: str
    boot: float
    machine: int = 0
    """For a cure: the seconds after which it may be handled and machined, but not loaded. 0: not before the end."""
    limit: int = 0
    """For a recoat: the seconds after which the next coat needs sanding first. 0: it never does."""
    source: str = ""
    """The source of `seconds` in words: `typical for PVA, interior (white); go by the label`."""
    celsius: float | None = None
    humidity: float | None = None
    """The shop's air at the start, in °C and per cent; None: nobody had entered it."""

    @property
    def at_least(self) -> bool:
        return self.kind != "open"


class Done(Plain, frozen=True):
    """A step was done to an item. `anyway` is the reason given for going ahead despite a blocker."""

    kind: ClassVar = "done"
    run: str
    item: str
    step: str
    anyway: str = ""
    against: str = ""
    """The blocker that was overridden."""
    wait: Wait | None = None
    answers: tuple[EntryId, ...] = ()
    """The facts whose ended clocks this step answers; they are undone together with the step."""
    board: str = ""
    """The board that a blank was cut from, by its key (`rack/F2`, `cedar/1`)."""
    at: int = 0
    """Where on that board the blank begins, from end A."""
    to: Sizes = ()
    """What the piece was made to by this step."""
    early: int = 0
    """The seconds that a required clock still had left: clamps taken off early."""
    late: int = 0
    """The seconds by which the open time was exceeded."""
    unchecked: tuple[str, ...] = ()
    """The lines of the glue-up checklist that nobody had checked."""
    batch: int = 0
    """How many pieces one hold ticked; their facts follow one another in the log. 0: this piece alone."""
    batch_at: int = 0
    """The index of this fact among them."""


class Undone(Plain, frozen=True):
    """An earlier fact was a mistake and is undone."""

    kind: ClassVar = "undone"
    tablet: str
    count: int


class Answered(Plain, frozen=True):
    """Somebody answered the clock that the named fact started."""

    kind: ClassVar = "answered"
    tablet: str
    count: int


class Labelled(Plain, frozen=True):
    """A sheet of labels was made: `items` are the keys of the pieces, assemblies and boards on it."""

    kind: ClassVar = "labelled"
    run: str
    items: tuple[str, ...]


class Measured(Plain, frozen=True):
    """A piece was measured: the planned and the actual size."""

    kind: ClassVar = "measured"
    run: str
    item: str
    what: Dimension
    planned: int
    actual: int


class Spoiled(Plain, frozen=True):
    """This making of the item is scrapped; its replacement gets the same place, key and code."""

    kind: ClassVar = "spoiled"
    run: str
    item: str
    why: str = ""
    inside: str = ""
    """The key of the assembly that it was spoiled together with."""


class SetAside(Plain, frozen=True):
    """The item was set aside for now."""

    kind: ClassVar = "set aside"
    run: str
    item: str
    why: str = ""


class Resumed(Plain, frozen=True):
    """Work on an item that was set aside was resumed."""

    kind: ClassVar = "taken up"
    run: str
    item: str


class Swapped(Plain, frozen=True):
    """Two pieces of one part and hand change places: each goes where the other would have gone."""

    kind: ClassVar = "swapped"
    run: str
    item: str
    twin: str


class Noted(Plain, frozen=True):
    """A note on an item."""

    kind: ClassVar = "noted"
    run: str
    item: str
    text: str


class Checked(Plain, frozen=True):
    """A line of the glue-up checklist, given by its id, was checked."""

    kind: ClassVar = "checked"
    run: str
    item: str
    check: str


class CheckedIn(Plain, frozen=True):
    """A member was scanned in at the glue-up of `item`."""

    kind: ClassVar = "checked in"
    run: str
    item: str
    piece: str


class Air(Plain, frozen=True):
    """The shop's temperature in °C and relative humidity in per cent, entered by a person."""

    kind: ClassVar = "air"
    celsius: float
    humidity: float


class Overruled(Plain, frozen=True):
    """The label on the bottle gives another time than the default or the build file."""

    kind: ClassVar = "overruled"
    run: str
    item: str
    wait: WaitKind
    seconds: int
    why: str = ""


class Proven(Plain, frozen=True):
    """A check of an assembly was made: passed or not, what was found, and who measured."""

    kind: ClassVar = "proven"
    run: str
    item: str
    check: str
    passed: bool
    result: str = ""
    by: str = ""


class Moment(Plain, frozen=True):
    """A moment in a boot and the wall clock then: seconds of the boot clock, and of UTC since 1970."""

    boot_id: str
    boot: float
    at: float


class ClockConfirmed(Plain, frozen=True):
    """A person says that the wall clock is right: the entry's `at` was true when the boot clock read `boot`."""

    kind: ClassVar = "clock believed"
    boot_id: str
    boot: float = 0.0
    starts: tuple[Moment, ...] = ()
    """Other starts of clocks whose times were shown to the person and confirmed."""


class PlannedCut(Plain, frozen=True):
    """A blank on a board: it begins at `at` from end A and is `length` long.

    On a board that is ripped it lies `across` from the near edge and is `width` wide; 0: it has the whole width. Nested
    along mitres it may lie `turned` (end B to the left) or `over` (bottom face up).
    """

    item: str
    at: int
    length: int
    across: int = 0
    width: int = 0
    turned: bool = False
    over: bool = False


class PlannedBoard(Plain, frozen=True):
    """A board of the plan. `key` is `rack/NAME`, or `cedar/1` for the first board bought of the wood `cedar`."""

    key: str
    wood: str
    source: Literal["dealer", "rack"]
    length: int
    pieces: tuple[PlannedCut, ...]


class BoardsPlanned(Plain, frozen=True):
    """The board plan that is followed from now on."""

    kind: ClassVar = "boards planned"
    run: str
    boards: tuple[PlannedBoard, ...]


class Defect(Plain, frozen=True):
    """Wood of a board that can't be used: from `start` to `end` along it, from its end A.

    `deep` is how far it reaches in from `edge`; 0: across the whole width.
    """

    start: int
    end: int
    edge: Literal["near", "far"] = "near"
    deep: int = 0


class Racked(Plain, frozen=True):
    """An offcut of `board` went to the rack under a name, or a board was entered there; its key is `rack/NAME`.

    A second fact with the same name gives the board's present state.
    """

    kind: ClassVar = "racked"
    run: str
    name: str
    wood: str
    length: int
    board: str = ""
    width: int = 0
    """0: the width of its wood."""
    thickness: int = 0
    """0: the thickness of its wood."""
    defects: tuple[Defect, ...] = ()
    price: str = ""
    """The price paid for it, in the build's currency."""
    rough_ends: bool = False
    """Both of its ends still need the shop's end trim, because it isn't an offcut fresh from the saw."""
    picture: str = ""
    """The name of its photo in the tablet's folder of pictures."""


class GivenBack(Plain, frozen=True):
    """A board is no longer on the rack: given back, given away or burnt."""

    kind: ClassVar = "given back"
    run: str
    name: str


class MoistureRead(Plain, frozen=True):
    """A moisture meter's reading of the piece or board whose key is `of`: percent of the wood's dry weight."""

    kind: ClassVar = "moisture read"
    run: str
    of: str
    percent: float


class Unknown(Struct, frozen=True):
    """A fact of a kind that a later version wrote: kept and passed on, but not acted upon."""

    kind: str
    data: Mapping[str, Any]


ItemFact = (
    Done | Measured | Spoiled | SetAside | Resumed | Noted | Checked | CheckedIn | Overruled | Proven
)  # fmt: skip
"""Facts about one item of a run."""
RunFact = Opened | Labelled | Swapped | BoardsPlanned | Racked | GivenBack | MoistureRead
"""Facts about a run as a whole."""
ShopFact = Air | ClockConfirmed
"""Facts about the shop, independent of any build."""
EntryFact = Undone | Answered
"""Facts about another entry."""
Fact = ItemFact | RunFact | ShopFact | EntryFact | Unknown
