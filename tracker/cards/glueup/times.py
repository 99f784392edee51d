"""The times of an assembly's glue and finish, each with its source, for a person to overrule by the label."""

from __future__ import annotations

from msgspec import Struct

from tracker.floor.floor import Floor
from tracker.measure import Span
from tracker.words import english, say
from tracker.work.clocks.waits import Origin
from tracker.work.decide.intents import Overrule
from tracker.work.facts import EntryId
from tracker.work.operations import Step, WaitKind
from tracker.work.run import Item

WORDS: dict[WaitKind, str] = {
    "open": say("Open time"),
    "clamp": say("Clamps on"),
    "cure": say("Cure"),
    "recoat": say("Recoat after"),
    "dry": say("Finish cures"),
}
GLUE: tuple[WaitKind, ...] = ("open", "clamp", "cure")
FINISH: tuple[WaitKind, ...] = ("recoat", "dry")
_ORIGINS: dict[Origin, str] = {"label": say("label"), "build file": say("build file"), "default": say("default")}
BY_THE_LABEL = english("on the bottle")
"""The recorded reason for overruling a time."""


class TimeView(Struct, frozen=True, kw_only=True):
    """One wait of an assembly, and the source of its length."""

    kind: WaitKind
    word: str
    span: Span
    bound: str
    """`at least` or `at most`."""
    source: str
    """`by the label`, `from the build file`, or which default; with the effect of cold and damp."""
    short: str
    """The source in one word: `label`, `build file`, `default`."""
    more: str
    """When a cure may be machined, or when a coat needs sanding first; or empty."""
    overruled: EntryId | None
    """The fact by which a person overruled it, for undo."""

    @property
    def text(self) -> str:
        """`Open time 5 min`."""
        return f"{self.word} {self.span.text}"


def times(floor: Floor, item: Item, kinds: tuple[WaitKind, ...] = (*GLUE, *FINISH)) -> tuple[TimeView, ...]:
    """The waits of an assembly, of the requested kinds, in the order of the work."""
    views = (time_view(floor, item, kind) for kind in kinds)
    return tuple(view for view in views if view is not None)


def time_on_tile(views: tuple[TimeView, ...], step: Step) -> TimeView | None:
    """Of these waits the one that a tile of the card shows: that which the step starts, or the first."""
    return next((view for view in views if view.kind == step.starts), views[0] if views else None)


def time_view(floor: Floor, item: Item, kind: WaitKind) -> TimeView | None:
    """One wait; None when the assembly has no such wait."""
    wait = floor.state.wait_of(floor.run, item, kind)
    if wait is None:
        return None
    kept = floor.state.overruled(floor.run, item).get(kind)
    machine = (
        say("Machine it after {machine}, load it after {span}.", machine=wait.machine.text, span=wait.span.text)
        if wait.machine
        else ""
    )
    limit = say("After {limit} only with sanding first.", limit=wait.limit.text) if wait.limit else ""
    return TimeView(
        kind=kind,
        word=WORDS[kind],
        span=wait.span,
        bound=say("at most") if kind == "open" else say("at least"),
        source=wait.words,
        short=_ORIGINS[wait.origin],
        more=machine or limit,
        overruled=kept.id if kept else None,
    )


def overrule(run: str, key: str, kind: WaitKind, span: Span) -> Overrule:
    """A time from the label, as an intent."""
    return Overrule(key, kind, span.seconds, BY_THE_LABEL, run=run)
