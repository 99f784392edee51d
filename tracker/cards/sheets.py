"""What the labels screen says."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.cards.floor import Floor
from tracker.cards.label_of import label_keys


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelsCard:
    """The labels of a run. `every`, `new` and `hand` are the keys of what is to be printed."""

    said: str
    new_said: str
    """How many have no label yet."""
    every: tuple[str, ...]
    new: tuple[str, ...]
    hand: tuple[str, ...]
    one: str
    """Title of the item in hand, whose label alone can be printed again."""
    can_undo: bool


def labels_card(floor: Floor, hand: str) -> LabelsCard:
    """Labels for all, for what has none yet, or for the item in hand."""
    run = floor.run
    labelled = floor.state.labelled(run)
    every = label_keys(run)
    new = tuple(key for key in every if key not in labelled)
    item = run.items.get(hand)
    return LabelsCard(
        said=_counted(sum(1 for _ in run.pieces), sum(1 for _ in run.assemblies), len(run.boards)),
        new_said=f"{len(new)} not labelled yet" if new else "all have a label",
        every=every,
        new=new,
        hand=(hand,) if item else (),
        one=item.title if item else "",
        can_undo=run.name in floor.state.sheets,
    )


def _counted(pieces: int, assemblies: int, boards: int) -> str:
    """`18 pieces, 1 assembly, 2 rack boards`."""
    counts = (
        (pieces, "piece", "pieces"),
        (assemblies, "assembly", "assemblies"),
        (boards, "rack board", "rack boards"),
    )
    return ", ".join(f"{count} {one if count == 1 else many}" for count, one, many in counts if count)
