"""Intents: what a tap asks for. `tracker.work.decide` answers each with facts or with a refusal.

Lengths are whole numbers of 1/320 mm, as in facts.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.work.facts import Dimension, EntryId, PlannedBoard
from tracker.work.steps import WaitKind


@dataclass(frozen=True, slots=True)
class OpenBuild:
    """Work on this run from now on."""

    file: str


@dataclass(frozen=True, slots=True)
class Do:
    """Tick a step. `anyway` gives the reason for going ahead against a blocker.

    `board` and `at` say which board a blank is cut from and where on it, from end A.
    """

    item: str
    step: str
    anyway: str = ""
    board: str = ""
    at: int = 0


@dataclass(frozen=True, slots=True)
class TakeBack:
    """The last thing done to this item was a mistake."""

    item: str


@dataclass(frozen=True, slots=True)
class TakeBackFact:
    """This entry of the log was a mistake."""

    entry: EntryId


@dataclass(frozen=True, slots=True)
class Answer:
    """Somebody has seen that this clock is over. `entry` is the fact that started it."""

    entry: EntryId


@dataclass(frozen=True, slots=True)
class Label:
    """A sheet with the labels of these items and boards was made."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakeBackLabels:
    """The last sheet of labels was a mistake, or spoilt in the printer."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A piece was measured: what it should be and what it is."""

    item: str
    what: Dimension
    planned: int
    actual: int


@dataclass(frozen=True, slots=True)
class Spoil:
    """This piece is waste and is made again. Of an assembly: with all that is in it."""

    item: str
    why: str


@dataclass(frozen=True, slots=True)
class PutAside:
    """Leave this item alone for now."""

    item: str
    why: str


@dataclass(frozen=True, slots=True)
class TakeUp:
    """Go on with an item that was set aside."""

    item: str


@dataclass(frozen=True, slots=True)
class Swap:
    """Let two pieces of one part and hand change places."""

    item: str
    twin: str


@dataclass(frozen=True, slots=True)
class Note:
    """Remember this about an item."""

    item: str
    text: str


@dataclass(frozen=True, slots=True)
class Check:
    """A line of the glue-up's checklist is seen to, by its id."""

    item: str
    check: str


@dataclass(frozen=True, slots=True)
class CheckIn:
    """A member of the assembly `item` is here for its glue-up."""

    item: str
    piece: str


@dataclass(frozen=True, slots=True)
class SetAir:
    """The shop is this warm (°C) and this humid (per cent)."""

    celsius: float
    humidity: float


@dataclass(frozen=True, slots=True)
class Overrule:
    """The label on the bottle says another time for this wait of an assembly."""

    item: str
    wait: WaitKind
    seconds: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class Prove:
    """Answer a check of an assembly: passed or not, what was found, and who measured."""

    item: str
    check: str
    passed: bool
    result: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class BelieveClock:
    """The tablet's wall clock is right now, and was when the clocks that run were started."""


@dataclass(frozen=True, slots=True)
class KeepBoards:
    """Follow this board plan from now on."""

    boards: tuple[PlannedBoard, ...]


@dataclass(frozen=True, slots=True)
class Rack:
    """Put an offcut of `board` on the rack under a name."""

    name: str
    wood: str
    length: int
    board: str = ""


Intent = (
    OpenBuild
    | Do
    | TakeBack
    | TakeBackFact
    | Answer
    | Label
    | TakeBackLabels
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
    | BelieveClock
    | KeepBoards
    | Rack
)


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why not. `overridable`: it can be done anyway, with a reason that is recorded."""

    reason: str
    overridable: bool = False
