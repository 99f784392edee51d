"""The contents of the labels screen."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.labels.labels_of_run import board_words, label_keys
from tracker.floor.floor import Floor
from tracker.words import say, say_many
from tracker.work.run import Run


class BoardLabel(Struct, frozen=True, kw_only=True):
    """A board on the rack, to choose from."""

    key: str
    title: str
    said: str
    """Its wood and length, and whether it has a label."""


class LabelsCard(Struct, frozen=True, kw_only=True):
    """The labels of a run. `every`, `new` and `hand` are the keys to print."""

    said: str
    new_said: str
    """How many items have no label yet."""
    every: tuple[str, ...]
    new: tuple[str, ...]
    hand: tuple[str, ...]
    one: str
    """The title of the current item, whose label can be printed again by itself."""
    boards: tuple[BoardLabel, ...]
    """The boards on the rack, whose labels can be printed one by one: those without a label first."""
    can_undo: bool


def labels_card(floor: Floor, hand: str) -> LabelsCard:
    """Labels for everything, for what has none yet, or for the current item."""
    run = floor.run
    labelled = floor.state.labelled(run)
    every = label_keys(run)
    chosen = frozenset(every)
    new = tuple(key for key in every if key not in labelled)
    item = run.items.get(hand)
    return LabelsCard(
        said=_counted(
            sum(1 for item in run.pieces if item.key in chosen), sum(1 for _ in run.assemblies), len(run.boards)
        ),
        new_said=say("{count} without a label", count=len(new)) if new else say("all have a label"),
        every=every,
        new=new,
        hand=(hand,) if item else (),
        one=item.title if item else "",
        boards=tuple(_board(run, key, key in labelled) for key in sorted(run.boards, key=lambda key: key in labelled)),
        can_undo=run.name in floor.state.sheets,
    )


def _board(run: Run, key: str, labelled: bool) -> BoardLabel:
    board = run.boards[key]
    species, size, _ = board_words(run, board)
    length = size.partition(" ×")[0]
    return BoardLabel(
        key=key,
        title=say("Board {board}", board=board.name),
        said=(
            say("{species}, {length}, has a label", species=species, length=length)
            if labelled
            else say("{species}, {length}, no label yet", species=species, length=length)
        ),
    )


def _counted(pieces: int, assemblies: int, boards: int) -> str:
    """`18 pieces, 1 assembly, 2 rack boards`."""
    counts = (
        say_many("{count} piece", "{count} pieces", pieces) if pieces else "",
        say_many("{count} assembly", "{count} assemblies", assemblies) if assemblies else "",
        say_many("{count} rack board", "{count} rack boards", boards) if boards else "",
    )
    return ", ".join(filter(None, counts))
