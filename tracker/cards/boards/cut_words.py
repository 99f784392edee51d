"""The next cut of a board in words: what is done before it, the lane after it, and which side of the blade to hold."""

from __future__ import annotations

from tracker.cards.words import capital
from tracker.floor.cut_progress import AtTheSaw
from tracker.floor.floor import Floor
from tracker.measure import Length, inches
from tracker.measure.tape_reading import read_angle
from tracker.plan.boards.crosscuts import Crosscut, edge_off, ripped_to
from tracker.plan.boards.offcuts import NamedOffcut
from tracker.words import say
from tracker.words.sides import side

NARROW = inches(6)
"""A strip narrower than this is pushed past the blade with a stick, not by hand (common practice, no source)."""


def cut_words(floor: Floor, saw: AtTheSaw, cut: Crosscut | None, offcuts: tuple[NamedOffcut, ...]) -> str:
    """How the piece is cut out, and which side to hold; once all is cut, what is worth keeping."""
    if saw.finished:
        kept = "; ".join(say("{length} is worth keeping", length=floor.read(each.length).text) for each in offcuts)
        racked = say(
            "On the rack: {racked}. Print the label, stick it on.",
            racked=", ".join(offcut.name for offcut in saw.racked),
        )
        return " ".join(
            words
            for words in (say("All cut."), f"{capital(kept)}." if kept else "", racked if saw.racked else "")
            if words
        )
    hold = _hold(floor, cut) if cut is not None else ""
    return " ".join(words for words in (hold, _lane(floor, saw)) if words)


def first_words(floor: Floor, saw: AtTheSaw) -> str:
    """What is done before the piece can be measured, in this order."""
    if saw.finished:
        return ""
    return " ".join(words for words in (*(_first(floor, each) for each in saw.first), _edge(floor, saw)) if words)


def _edge(floor: Floor, saw: AtTheSaw) -> str:
    """A defect at the near edge is ripped off before its section is."""
    off = edge_off(saw.board, saw.coming, saw.kerf) if saw.coming and not saw.section_is_off else None
    return say("Rip {off} off its near edge (defect).", off=floor.read(off).text) if off else ""


def _lane(floor: Floor, saw: AtTheSaw) -> str:
    """How the next piece is cut out of its section."""
    lane, mark = saw.lane, saw.lane_mark
    if lane is None or mark is None:
        width = ripped_to(saw.board, saw.next) if saw.next else None
        return _pushed(say("Then rip it to {width}.", width=floor.read(width).text), width) if width else ""
    fields = {"number": lane.number, "wide": floor.read(lane.width).text, "mark": floor.read(mark).text}
    piece = saw.coming
    if piece is not None and piece.width is not None and piece.width < lane.width:
        fields["width"] = floor.read(piece.width).text
        words = (
            say("Lane {number}: rip to {wide}, then to {width}.", **fields)
            if saw.section_is_off
            else say("Then rip lane {number} to {wide}, cut it at {mark}, and rip it to {width}.", **fields)
        )
    elif saw.section_is_off:
        words = say("Lane {number}: rip to {wide}.", **fields)
    else:
        words = say("Then rip lane {number} to {wide} and cut it at {mark}.", **fields)
    return _pushed(words, lane.width)


def _pushed(words: str, width: Length) -> str:
    """With a push stick where the strip is narrow."""
    return say("{words} Use a push stick.", words=words) if width < NARROW else words


def _first(floor: Floor, cut: Crosscut) -> str:
    """What is cut off before the piece can be measured."""
    at = floor.read(cut.at).text
    if cut.miter:
        return say(
            "First cut end A at {miter}°, long at the {edge} edge.", miter=read_angle(cut.miter), edge=side(cut.edge)
        )
    if cut.off == "end":
        return say("First square end A (takes {at}).", at=at)
    return say("First cut off the defect ({at}).", at=at)


def _hold(floor: Floor, cut: Crosscut) -> str:
    """Which side of the blade to hold, and whether it is long enough to hold."""
    stays = floor.read(cut.stays).text
    if cut.clamp:
        return say("Both lengths are short ({stays} is left): clamp the board.", stays=stays)
    if cut.hold == "piece":
        return say("Hold the piece: only {stays} is left.", stays=stays)
    return say("Hold the long side ({stays}).", stays=stays)
