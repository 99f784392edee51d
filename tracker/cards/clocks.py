"""The running clocks: on the strip, on their own screen and on the glue-up."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.cards.floor import Floor
from tracker.cards.marks import Tone
from tracker.measure.span import Span, countdown
from tracker.work.clocks import passed
from tracker.work.decide import Answer
from tracker.work.state import RunningWait, running_waits
from tracker.work.steps import WaitKind

_WORDS: dict[WaitKind, str] = {
    "open": "open time",
    "clamp": "in clamps",
    "cure": "glue curing",
    "recoat": "coat drying",
    "dry": "finish curing",
}
_OVER: dict[WaitKind, str] = {
    "open": "Open time is over: clamps on at once, or scrape off and spread anew",
    "clamp": "The clamps may come off",
    "cure": "The glue is cured",
    "recoat": "The next coat may go on",
    "dry": "The finish is cured",
}
LABEL_GOVERNS = "The label on the bottle governs."


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockView:
    """One clock as it stands now. `share` is how much of the wait is left, 1 to 0."""

    key: str
    """The item whose clock it is."""
    title: str
    word: str
    text: str
    share: float
    tone: Tone
    over: bool
    said: str
    """What it says when it is over, or how long the whole wait is."""
    doubt: str
    answer: Answer | None
    """The tap that answers it, once it is over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClocksCard:
    """Every running clock of the run, the most urgent first."""

    clocks: tuple[ClockView, ...]
    empty: str = "No clock is running. A glue-up or a coat of finish starts one."


def clock_view(floor: Floor, running: RunningWait) -> ClockView:
    """One running wait at this moment."""
    gone = passed(running, floor.now)
    left = running.wait.seconds - gone.seconds
    over = left <= 0
    kind = running.wait.kind
    tone: Tone = ("caution" if kind == "open" else "done") if over else "waiting"
    return ClockView(
        key=running.item.key,
        title=running.item.short,
        word=_WORDS[kind],
        text=countdown(left),
        share=max(0.0, min(1.0, left / running.wait.seconds)) if running.wait.seconds else 0.0,
        tone=tone,
        over=over,
        said=_OVER[kind] if over else f"{_WORDS[kind]}, {Span(running.wait.seconds).text} in all",
        doubt=gone.doubt,
        answer=Answer(running.entry.id) if over else None,
    )


def clocks_card(floor: Floor) -> ClocksCard:
    """All clocks: those that are over first, then by what is left."""
    views = [(running, clock_view(floor, running)) for running in running_waits(floor.run, floor.state)]
    views.sort(key=lambda pair: pair[0].wait.seconds - passed(pair[0], floor.now).seconds)
    return ClocksCard(clocks=tuple(view for _, view in views))
