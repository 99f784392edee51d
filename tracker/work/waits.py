"""How long a wait is, and where that comes from: the label on the bottle, the build file, or a default of its class."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tracker.measure import Span
from tracker.work.facts import Air, Overruled
from tracker.work.run import Item, Run
from tracker.work.steps import WaitKind

Origin = Literal["label", "build file", "default"]


@dataclass(frozen=True, slots=True)
class WaitOf:
    """A wait: its length, its origin, the row of the table that a default is from, and words for people."""

    span: Span
    origin: Origin
    row: str = ""
    words: str = ""
    machine: Span | None = None
    """Of a cure: after which it may be handled and machined, but not loaded."""
    limit: Span | None = None
    """Of a recoat: after which the next coat needs sanding first."""


def wait_of(run: Run, item: Item, kind: WaitKind, label: Overruled | None, air: Air | None) -> WaitOf | None:
    """How long a wait of an assembly is; None when it has no such wait."""
    if label is not None:
        return WaitOf(Span(label.seconds), "label", words=f"label: {label.why}" if label.why else "by the label")
    span = item.waits.get(kind)
    if span is None:
        return None
    return WaitOf(span, "build file", words="from the build file")
