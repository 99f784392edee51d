"""Intents: what a tap asks for. `tracker.work.decide.decide` answers each with facts or with a refusal.

Lengths are whole numbers of 1/320 mm, as in facts.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.work.facts import Defect, Dimension, EntryId, PlannedBoard
from tracker.work.operations import WaitKind


class OfRun(Struct, frozen=True, kw_only=True):
    """`run` is the name of the run that the intent was made for. `decide` refuses it for any other; empty means the one
    that is asked about."""

    run: str = ""


class OpenBuild(OfRun, frozen=True):
    """Work on this run from now on."""

    file: str


class Do(OfRun, frozen=True):
    """Tick a step. `anyway` gives the reason for going ahead against a blocker.

    `board` and `at` say which board a blank is cut from and where on it, from end A.
    """

    item: str
    step: str
    anyway: str = ""
    board: str = ""
    at: int = 0


class DoTogether(OfRun, frozen=True):
    """Tick the same step of several pieces: all 6 are cut. One undo takes all of it back."""

    items: tuple[str, ...]
    step: str


class UndoLast(OfRun, frozen=True):
    """The last thing done to this item was a mistake."""

    item: str


class UndoEntry(OfRun, frozen=True):
    """This entry of the log was a mistake."""

    entry: EntryId


class Answer(OfRun, frozen=True):
    """Somebody has seen that this clock is over. `entry` is the fact that started it."""

    entry: EntryId


class Label(OfRun, frozen=True):
    """A sheet with the labels of these items and boards was made."""

    items: tuple[str, ...]


class UndoLabels(OfRun, frozen=True):
    """The last sheet of labels was a mistake, or spoilt in the printer."""


class Measure(OfRun, frozen=True):
    """A piece was measured: what it should be and what it is."""

    item: str
    what: Dimension
    planned: int
    actual: int


class Spoil(OfRun, frozen=True):
    """This piece is waste and is made again. Of an assembly: with all that is in it."""

    item: str
    why: str


class PutAside(OfRun, frozen=True):
    """Leave this item alone for now."""

    item: str
    why: str


class TakeUp(OfRun, frozen=True):
    """Go on with an item that was set aside."""

    item: str


class Swap(OfRun, frozen=True):
    """Let two pieces of one part and hand change places."""

    item: str
    twin: str


class Note(OfRun, frozen=True):
    """Remember this about an item."""

    item: str
    text: str


class Check(OfRun, frozen=True):
    """A line of the glue-up's checklist is seen to, by its id."""

    item: str
    check: str


class CheckIn(OfRun, frozen=True):
    """A member of the assembly `item` is here for its glue-up."""

    item: str
    piece: str


class SetAir(OfRun, frozen=True):
    """The shop is this warm (°C) and this humid (per cent)."""

    celsius: float
    humidity: float


class Overrule(OfRun, frozen=True):
    """The label on the bottle says another time for this wait of an assembly."""

    item: str
    wait: WaitKind
    seconds: int
    why: str = ""


class Prove(OfRun, frozen=True):
    """Answer a check of an assembly: passed or not, what was found, and who measured."""

    item: str
    check: str
    passed: bool
    result: str = ""
    by: str = ""


class ConfirmClock(OfRun, frozen=True):
    """The tablet's wall clock is right now, and it was right when these entries, which started clocks, were written."""

    starts: tuple[EntryId, ...] = ()


class KeepBoards(OfRun, frozen=True):
    """Follow this board plan from now on."""

    boards: tuple[PlannedBoard, ...]


class Rack(OfRun, frozen=True):
    """Put an offcut of `board`, or a board that was there before, on the rack under a name.

    `again`: the board of that name is known, and this is what it is found to be now. For the rest see `facts.Racked`.
    """

    name: str
    wood: str
    length: int
    board: str = ""
    width: int = 0
    thickness: int = 0
    defects: tuple[Defect, ...] = ()
    price: str = ""
    rough_ends: bool = False
    again: bool = False
    picture: str = ""


class GiveBack(OfRun, frozen=True):
    """This board of the rack is there no more."""

    name: str


class ReadMoisture(OfRun, frozen=True):
    """A moisture meter says so much of a piece or a board, in percent."""

    of: str
    percent: float


Intent = (
    OpenBuild
    | Do
    | DoTogether
    | UndoLast
    | UndoEntry
    | Answer
    | Label
    | UndoLabels
    | Measure
    | Spoil
    | PutAside
    | TakeUp
    | Swap
    | Note
    | Check
    | CheckIn
    | SetAir
    | Overrule
    | Prove
    | ConfirmClock
    | KeepBoards
    | Rack
    | GiveBack
    | ReadMoisture
)


class Refusal(Struct, frozen=True):
    """Why not. `overridable`: it can be done anyway, with a reason that is recorded."""

    reason: str
    overridable: bool = False
