"""What the labels screen says."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.work.run import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelsCard:
    """The labels of a run."""

    said: str
    one: str
    """Title of the item in hand, whose label alone can be printed again."""


def labels_card(run: Run, hand: str) -> LabelsCard:
    """Labels for all, or for the item in hand."""
    pieces, joined = sum(1 for _ in run.pieces), sum(1 for _ in run.assemblies)
    item = run.items.get(hand)
    return LabelsCard(
        said=f"{pieces} pieces and {joined} {'assembly' if joined == 1 else 'assemblies'}: {pieces + joined} labels",
        one=item.title if item else "",
    )
