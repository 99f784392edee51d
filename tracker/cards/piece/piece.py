"""The card of the piece in hand: what to cut it to, how the saw is set for each end, and what has been done to it."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.builds.revision import misfit_words
from tracker.cards.marks import MarkView, Tone
from tracker.cards.piece.action import Action, Undo, marks, next_action, undo
from tracker.cards.piece.checks import piece_checks
from tracker.cards.piece.drawing import Drawing, Progress, draw
from tracker.cards.piece.marking_out import marking_out
from tracker.cards.piece.piece_options import life_words
from tracker.cards.piece.stop import stop_words
from tracker.cards.words import measured_words, section_words
from tracker.floor.board_of_piece import from_words
from tracker.floor.floor import Floor
from tracker.measure import Reading
from tracker.plan.laps import laps_of
from tracker.plan.saw import SawSetting, setting
from tracker.work.decide.decide import next_step
from tracker.work.run import Item

ROOM = 88
"""Signs that two small lines of a card hold."""
MORE = "tap the drawing for all"
CHECKS = 5
"""How many of a piece's checks its card has room for: those on the piece itself come first."""


class PieceCard(Struct, frozen=True, kw_only=True):
    """A piece, ready to be drawn."""

    key: str
    code: str
    title: str
    headline: str
    """What the number is: `Blank`, `Trim to`, `Length`."""
    measured: str
    """Where it is measured, and what the tape's mark leaves over: `longest edge, 0.3 mm under`."""
    reading: Reading
    section: str
    ends: tuple[SawSetting, SawSetting]
    """How the saw is set for end A and end B."""
    drawing: Drawing
    marks: tuple[MarkView, ...]
    action: Action
    undo: Undo | None
    into: str
    """The key of the assembly that it goes into, or empty."""
    into_words: str
    said_tone: Tone
    said: str
    """What else is to be known of it: the board to cut it from, how it was measured, that it was made again."""
    marking: str
    """All that is marked out for the next step, as running text."""
    checks: str
    """What to measure on the real thing, as running text."""
    notes: str


def piece_card(floor: Floor, key: str) -> PieceCard:
    """The card of one piece."""
    item = floor.item(key)
    solid = floor.solid(item)
    headline, measured, reading = _to_cut(floor, item)
    shop, place = floor.run.build.shop, floor.state.into(floor.run, item)
    older, step = misfit_words(floor.run, floor.state, item), next_step(floor.run, floor.state, item)
    marking = marking_out(floor, item, step)
    return PieceCard(
        key=key,
        code=floor.run.codes[key],
        title=item.title,
        headline=headline,
        reading=reading,
        measured=", ".join(word for word in (measured, reading.hair) if word),
        section=section_words(floor, item),
        ends=(setting(solid.a, "A", shop), setting(solid.b, "B", shop)),
        drawing=draw(
            solid,
            done=progress_of(floor, item),
            laps=laps_of(floor.run.build, floor.part(item), item.hand),
            stop=stop_words(floor, item, step),
        ),
        marks=marks(floor, item),
        action=next_action(floor, item),
        undo=undo(floor, item),
        into=place or "",
        into_words=f"Goes into {floor.item(place).short}" if place else "",
        said=_within(older, from_words(floor, item), _marked(marking), *life_words(floor, item)),
        marking=" · ".join(marking),
        said_tone="caution" if older else "ready",
        checks=" · ".join(check.words for check in piece_checks(floor.run.build, floor.part(item), item.hand)[:CHECKS]),
        notes=floor.part(item).notes,
    )


def progress_of(floor: Floor, item: Item) -> Progress:
    """What of the piece's shape is cut; what its route doesn't hold counts as done with its last sawing."""

    def done(step: str) -> bool:
        return floor.state.is_done(floor.run, item, step)

    cut = done("cut") or not item.step("cut")
    trimmed = done("trim") if item.step("trim") else cut
    return Progress(
        cut=cut,
        trimmed_a=trimmed,
        trimmed_b=trimmed,
        tapered=done("taper") if item.step("taper") else trimmed,
        lapped=done("shape") if item.step("shape") else trimmed,
        drilled=done("drill") if item.step("drill") else trimmed,
    )


def _marked(marking: tuple[str, ...]) -> str:
    """All of it where there is room, else the first and where the rest is."""
    said = " · ".join(marking)
    return said if len(said) <= ROOM else f"{marking[0]} · {MORE}"


def _within(*words: str) -> str:
    """As much as two lines hold, what matters most first."""
    said = ""
    for word in words:
        longer = " · ".join(part for part in (said, word) if part)
        said = longer if len(longer) <= ROOM else said
    return said


def _to_cut(floor: Floor, item: Item) -> tuple[str, str, Reading]:
    """The one number, what it is, and where it is measured: the blank while it is to be cut, then the piece."""
    solid = floor.solid(item)
    step = next_step(floor.run, floor.state, item)
    if step is not None and step.id == "cut" and item.step("trim"):
        return "Cut blank to", "square ends", floor.read(solid.blank_length)
    first = {"cut": "Cut to", "trim": "Trim to"}.get(step.id if step else "", "Length")
    return first, measured_words(floor, item), floor.read(solid.length)
