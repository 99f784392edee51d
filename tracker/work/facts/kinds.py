"""Every kind of fact. Lengths are whole numbers of 1/320 mm; a field is only ever added, with a default."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Literal

from msgspec import Struct

from tracker.work.operations import WaitKind

EntryId = tuple[str, int]
"""(tablet, count)."""
Sizes = tuple[tuple[str, str], ...]
"""What a piece is made to, as (what, value): `("length", "600 mm")`. See `tracker.work.revision`."""
Dimension = Literal["length", "width", "thickness"]


class Plain(Struct, frozen=True, omit_defaults=True, forbid_unknown_fields=True):
    """What is written to the log as plain data: a field that has its default is left out, one that isn't known makes
    the whole fact `Unknown`."""


class Opened(Plain, frozen=True):
    """A run was opened on this tablet."""

    kind: ClassVar = "opened"
    run: str
    build: str
    file: str
    revision: str = ""
    digest: str = ""
    """Of all sizes of the build; another one means that the file was revised."""
    parts: tuple[tuple[str, Sizes], ...] = ()
    """Every part's sizes, when they aren't those of the opening before."""


class Wait(Plain, frozen=True):
    """A clock that was started: how long, and what the boot clock said: sleep and a changed wall clock don't matter.

    `at_least` waits (clamped, cured, dry) block until they are over; the others (open time) warn when they are.
    """

    kind: WaitKind
    seconds: int
    boot_id: str
    boot: float
    machine: int = 0
    """Of a cure: the seconds after which it may be handled and machined, but not loaded. 0: no sooner than the end."""
    limit: int = 0
    """Of a recoat: the seconds after which the next coat needs sanding first. 0: it never does."""
    source: str = ""
    """Where `seconds` came from, in words: `typical for PVA, interior (white); go by the label`."""
    celsius: float | None = None
    humidity: float | None = None
    """The shop's air when it was started, in °C and per cent; None: nobody had entered it."""

    @property
    def at_least(self) -> bool:
        return self.kind != "open"


class Done(Plain, frozen=True):
    """A step was done to an item. `anyway` is the reason given for going ahead against a blocker."""

    kind: ClassVar = "done"
    run: str
    item: str
    step: str
    anyway: str = ""
    against: str = ""
    """The blocker that stood in the way when it was done anyway."""
    wait: Wait | None = None
    answers: tuple[EntryId, ...] = ()
    """The facts whose clocks were over and are answered by going on; taken back together with the step."""
    board: str = ""
    """The board that a blank was cut from, by its key (`rack/F2`, `cedar/1`)."""
    at: int = 0
    """Where on that board the blank begins, from end A."""
    to: Sizes = ()
    """What the piece was made to by this step."""
    early: int = 0
    """Seconds that a clock which should have run out had still to run: clamps taken off early."""
    late: int = 0
    """Seconds after the open time had ended."""
    unchecked: tuple[str, ...] = ()
    """The lines of the glue-up's checklist that nobody had seen to."""
    batch: int = 0
    """How many pieces one hold ticked; their facts follow one another in the log. 0: this one alone."""
    batch_at: int = 0
    """The place of this fact among them, from 0."""


class Undone(Plain, frozen=True):
    """An earlier fact was a mistake and is taken back."""

    kind: ClassVar = "undone"
    tablet: str
    count: int


class Answered(Plain, frozen=True):
    """Somebody answered the clock that the named fact started."""

    kind: ClassVar = "answered"
    tablet: str
    count: int


class Labelled(Plain, frozen=True):
    """A sheet of labels was made: `items` are the keys of the pieces, assemblies and boards that have one now."""

    kind: ClassVar = "labelled"
    run: str
    items: tuple[str, ...]


class Measured(Plain, frozen=True):
    """A piece was measured: what it should be and what it is."""

    kind: ClassVar = "measured"
    run: str
    item: str
    what: Dimension
    planned: int
    actual: int


class Spoiled(Plain, frozen=True):
    """This making of the item is waste; its replacement takes its place under the same key and code."""

    kind: ClassVar = "spoiled"
    run: str
    item: str
    why: str = ""
    inside: str = ""
    """The key of the assembly that it was spoiled together with."""


class SetAside(Plain, frozen=True):
    """Nothing is done to this item for now."""

    kind: ClassVar = "set aside"
    run: str
    item: str
    why: str = ""


class TakenUp(Plain, frozen=True):
    """An item that was set aside is worked on again."""

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
    """Something to remember about an item."""

    kind: ClassVar = "noted"
    run: str
    item: str
    text: str


class Checked(Plain, frozen=True):
    """A line of the glue-up's checklist was seen to, by its id."""

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
    """The label on the bottle says another time than the default or the build file."""

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
    """A moment in a boot, and what the wall clock said then: seconds of the boot clock, and of UTC since 1970."""

    boot_id: str
    boot: float
    at: float


class ClockConfirmed(Plain, frozen=True):
    """A person says that the wall clock is right: the entry's `at` was true when the boot clock said `boot`."""

    kind: ClassVar = "clock believed"
    boot_id: str
    boot: float = 0.0
    starts: tuple[Moment, ...] = ()
    """Starts of clocks whose times the person was shown and confirmed, too."""


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
    """A board of the plan. `key` is `rack/NAME`, or `cedar/1` for the first one bought of the wood `cedar`."""

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
    """Wood of a board that can't be used: `start` to `end` along it, from its end A.

    `deep` is how far it reaches in from `edge`; 0: across the whole width.
    """

    start: int
    end: int
    edge: Literal["near", "far"] = "near"
    deep: int = 0


class Racked(Plain, frozen=True):
    """An offcut of `board` went to the rack under a name, or a board was entered there; its key is `rack/NAME`.

    Said again under the same name, it is what the board is found to be now.
    """

    kind: ClassVar = "racked"
    run: str
    name: str
    wood: str
    length: int
    board: str = ""
    width: int = 0
    """0: as wide as its wood."""
    thickness: int = 0
    """0: as thick as its wood."""
    defects: tuple[Defect, ...] = ()
    price: str = ""
    """What was paid for it, in the build's currency."""
    rough_ends: bool = False
    """The shop's end trim comes off both of its ends: it is no offcut fresh from the saw."""
    picture: str = ""
    """The name of a photo of it in the tablet's folder of pictures."""


class GivenBack(Plain, frozen=True):
    """A board of the rack is there no more: given back, given away or burnt."""

    kind: ClassVar = "given back"
    run: str
    name: str


class MoistureRead(Plain, frozen=True):
    """A moisture meter was held to a piece or a board, `of` being its key: percent of the wood's dry weight."""

    kind: ClassVar = "moisture read"
    run: str
    of: str
    percent: float


class Unknown(Struct, frozen=True):
    """A fact of a kind that a later version wrote: kept, passed on, and not acted upon."""

    kind: str
    data: Mapping[str, Any]


ItemFact = (
    Done | Measured | Spoiled | SetAside | TakenUp | Noted | Checked | CheckedIn | Overruled | Proven
)  # fmt: skip
"""Facts about one item of a run."""
RunFact = Opened | Labelled | Swapped | BoardsPlanned | Racked | GivenBack | MoistureRead
"""Facts about a run as a whole."""
ShopFact = Air | ClockConfirmed
"""Facts about the shop, whatever is made in it."""
EntryFact = Undone | Answered
"""Facts about another entry."""
Fact = ItemFact | RunFact | ShopFact | EntryFact | Unknown
