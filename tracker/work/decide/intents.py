"""Intents: what a tap requests. `tracker.work.decide.decide` answers each with facts or with a refusal.

Lengths are whole numbers of 1/320 mm, as in facts.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.work.facts import Defect, Dimension, EntryId, PlannedBoard
from tracker.work.operations import WaitKind


class OfRun(Struct, frozen=True, kw_only=True):
    """`run` is the name of the run that the intent was made for. `decide` refuses it for any other run; empty means the
    run that is passed in."""

    run: str = ""


class OpenBuild(OfRun, frozen=True):
    """Open this run to work on it."""

    file: str


class Do(OfRun, frozen=True):
    """Tick a step. `anyway` is the reason for going ahead despite a blocker.

    `board` and `at` say which board a blank is cut from and where on it, from end A.
    """

    item: str
    step: str
    anyway: str = ""
    board: str = ""
    at: int = 0


class DoTogether(OfRun, frozen=True):
    """Tick the same step of several pieces, for example all 6 are cut. One undo takes all of it back."""

    items: tuple[str, ...]
    step: str


class UndoLast(OfRun, frozen=True):
    """Undo the last thing done to this item."""

    item: str


class UndoEntry(OfRun, frozen=True):
    """Undo this entry of the log."""

    entry: EntryId


class Answer(OfRun, frozen=True):
    """A person has seen that this clock has ended. `entry` is the fact that started it."""

    entry: EntryId


class Label(OfRun, frozen=True):
    """A sheet with the labels of these items and boards was made."""

    items: tuple[str, ...]


class UndoLabels(OfRun, frozen=True):
    """Undo the last sheet of labels, which was a mistake or came out of the printer spoiled."""


class Measure(OfRun, frozen=True):
    """A piece was measured: the planned and the actual size."""

    item: str
    what: Dimension
    planned: int
    actual: int


class Spoil(OfRun, frozen=True):
    """This piece is scrapped and made again. For an assembly: with everything in it."""

    item: str
    why: str


class PutAside(OfRun, frozen=True):
    """Set this item aside for now."""

    item: str
    why: str


class Resume(OfRun, frozen=True):
    """Resume work on an item that was set aside."""

    item: str


class Swap(OfRun, frozen=True):
    """Let two pieces of one part and hand change places."""

    item: str
    twin: str


class Note(OfRun, frozen=True):
    """Add a note to an item."""

    item: str
    text: str


class Check(OfRun, frozen=True):
    """A line of the glue-up checklist, given by its id, was checked."""

    item: str
    check: str


class CheckIn(OfRun, frozen=True):
    """A member of the assembly `item` is present for its glue-up."""

    item: str
    piece: str


class SetAir(OfRun, frozen=True):
    """The temperature (°C) and relative humidity (per cent) of the shop."""

    celsius: float
    humidity: float


class Overrule(OfRun, frozen=True):
    """The label on the bottle gives another time for this wait of an assembly."""

    item: str
    wait: WaitKind
    seconds: int
    why: str = ""


class Prove(OfRun, frozen=True):
    """The result of a check of an assembly: passed or not, what was found, and who measured."""

    item: str
    check: str
    passed: bool
    result: str = ""
    by: str = ""


class ConfirmClock(OfRun, frozen=True):
    """The tablet's wall clock is right now, and was right when these entries, which started clocks, were written."""

    starts: tuple[EntryId, ...] = ()


class KeepBoards(OfRun, frozen=True):
    """Follow this board plan from now on."""

    boards: tuple[PlannedBoard, ...]


class Rack(OfRun, frozen=True):
    """Put an offcut of `board`, or a board that was already in the shop, on the rack under a name.

    `again`: the board of that name is known, and this is its present state. For the other fields see `facts.Racked`.
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
    """This board is no longer on the rack."""

    name: str


class ReadMoisture(OfRun, frozen=True):
    """A moisture meter's reading of a piece or a board, in percent."""

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
    | Resume
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
    """Why an intent is refused. `overridable`: it can be done anyway, with a reason that is recorded."""

    reason: str
    overridable: bool = False
