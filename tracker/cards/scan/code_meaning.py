"""What a scanned code means: one pure function from the code, the shop floor and the current glue-up to an answer,
which the screens carry out."""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

from msgspec import Struct

from tracker.cards.labels.labels_of_run import board_words
from tracker.floor.floor import Floor
from tracker.words import say
from tracker.work.codes import Code, grouped, parse_code
from tracker.work.decide.decide import next_step
from tracker.work.decide.intents import CheckIn
from tracker.work.run import board_key

JOINING = ("dry fit", "spread", "clamp", "attach", "drive screws")
"""The steps before which pieces are still brought to an assembly."""


class ShowItem(Struct, frozen=True):
    """Show the card of an item of the current build."""

    key: str


class CheckedIn(Struct, frozen=True):
    """The item is a part of the current glue-up: `intent` records that, unless it was done before."""

    key: str
    message: str
    intent: CheckIn | None


class NotCheckedIn(Struct, frozen=True):
    """The item can't be taken into the current glue-up; the message says why."""

    message: str


class TakeBoard(Struct, frozen=True):
    """A rack board from which something is to be cut: its place in the board plan."""

    key: str


class AboutBoard(Struct, frozen=True):
    """A rack board from which nothing is planned: what it is."""

    message: str


class AskLibrary(Struct, frozen=True):
    """The code isn't in the current build: look up its owner, and then ask again."""

    code: Code


class OfAnotherBuild(Struct, frozen=True):
    """The label of another build that this tablet knows. Offer to open it if its file is available."""

    code: Code
    build: str
    run: str
    has_file: bool
    message: str = say("That label is from another build.")


class NotKnown(Struct, frozen=True):
    """An unknown code: not one of our labels, or that of a build this tablet doesn't know, or of a piece that no longer
    exists."""

    message: str


ScanAnswer = (
    ShowItem | CheckedIn | NotCheckedIn | TakeBoard | AboutBoard | AskLibrary | OfAnotherBuild | NotKnown
)  # fmt: skip


class Owner(Struct, frozen=True):
    """The owner of a code, as looked up: the run, the build's name, and whether its file can be opened."""

    run: str
    build: str
    has_file: bool


NOT_OURS = say("Not a Kerfcard label. Scan it again, or type the code.")
NO_LONGER = say("That label is from a piece that this build no longer has.")


def scan_answer(
    text: str, floor: Floor | None, assembly: str = "", owner: Owner | Literal["not looked up"] | None = "not looked up"
) -> ScanAnswer:
    """What the scan of `text` means. `floor` is None while no build is open; `assembly` is the key of the assembly
    whose glue-up is open, otherwise empty.

    `owner` is the result of looking through every known build, for a code that the current build doesn't have.
    """
    code = parse_code(text)
    if code is None:
        return NotKnown(NOT_OURS)
    if floor is not None:
        if key := floor.run.by_code.get(code):
            return _at_the_glueup(floor, assembly, key) if assembly in floor.run.items else ShowItem(key)
        if board := floor.run.board_of(code):
            key = board_key(board.name)
            if any(planned.key == key for planned in floor.state.boards(floor.run)):
                return TakeBoard(key)
            return AboutBoard(
                say(
                    "Board {board} on the rack: {about}.",
                    board=board.name,
                    about=", ".join(board_words(floor.run, board)),
                )
            )
    if owner == "not looked up":
        return AskLibrary(code)
    if owner is None:
        return NotKnown(say("{code} is a Kerfcard label, but of no build on this tablet.", code=grouped(code)))
    if floor is not None and owner.run == floor.run.name:
        return NotKnown(NO_LONGER)
    return OfAnotherBuild(code, owner.build, owner.run, owner.has_file)


def _at_the_glueup(floor: Floor, assembly: str, key: str) -> ShowItem | CheckedIn | NotCheckedIn:
    """What the scan of the item `key` means at the glue-up of `assembly`.

    Everything without a part in this glue-up shows its card: the assembly's own label, any label once the clamps are
    on, another assembly, or a member that isn't made yet.
    """
    joined, item = floor.item(assembly), floor.item(key)
    step = next_step(floor.run, floor.state, joined)
    if key == assembly or step is None or step.id not in JOINING:
        return ShowItem(key)
    if floor.state.is_done(floor.run, joined, "clamp"):
        return ShowItem(key)
    missing, members = next_step(floor.run, floor.state, item), floor.state.members(floor.run, joined)
    if item.kind == "assembly" and (missing is not None or key not in members):
        return ShowItem(key)
    if key not in members:
        into = floor.state.into(floor.run, item)
        home = say("It goes into {name}.", name=floor.item(into).short) if into else say("It isn't part of a glue-up.")
        return NotCheckedIn(
            say("{name} isn't part of {joined}. {home}", name=item.short, joined=joined.short, home=home)
        )
    if missing is not None:
        return NotCheckedIn(
            say("{name} isn't ready: not {past} yet. It was not counted.", name=item.short, past=missing.past)
        )
    seen, intent = floor.state.checked_in(floor.run, joined), CheckIn(assembly, key, run=floor.run.name)
    refusal = floor.refusal(intent)
    if refusal is not None and step.id != "clamp" and key not in seen:
        return NotCheckedIn(refusal.reason)
    again = say("was already in") if key in seen else say("is in")
    message = f"{item.short} {again}: {_count(floor, members, {*seen, key})}"
    return CheckedIn(key, message, None if refusal else intent)


def _count(floor: Floor, members: Collection[str], seen: Collection[str]) -> str:
    """`3 of 6 scanned`, and near the end what is still missing."""
    left = [floor.item(member).short for member in members if member not in seen]
    count = len(members)
    if not left:
        return say("all {count} scanned.", count=count)
    to_come = say(". Still to come: {left}.", left=say(" and ").join(left)) if len(left) <= 2 else ""
    return say("{done} of {count} scanned{to_come}", done=count - len(left), count=count, to_come=to_come)
