"""Where a cut's drawing is on the screen: plain geometry, no Kivy.

One scale in both directions, so that the blade's swing is true. A long piece is broken between its cut and its stop; a
piece that points at the person is broken toward the person.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.cards.piece.drawing import Point
from tracker.cards.piece.interrupted_view import clip
from tracker.plan.piece_on_saw import OnSaw
from tracker.screens.drawing.piece_layout import Layout, Section

AT_CUT, AT_STOP = 1.15, 0.75
"""How much of a broken piece stays beside the cut and at its other end, in widths of the piece."""
SHORT = 0.4
"""A piece that leaves this fraction of its room free is short."""
TOWARD = 1.5
"""How much stays of a piece that points at the person, in widths of the piece."""


class Room(Struct, frozen=True):
    """A box on the screen for the stock, in points: the fence is along its top."""

    left: float
    low: float
    width: float
    height: float


def spans_of(laid: OnSaw) -> tuple[float, float, float, float]:
    """Along the fence: the start of the stock, the start and the end of the cut's slope, the end of the stock."""
    xs = [x for block in (laid.kept, laid.waste) for side in (block.upper, block.lower) for x, _ in side]
    slope = [x for line in (laid.line, laid.under) for x, _ in line]
    return min(xs), min(slope), max(slope), max(xs)


def lay_out_saw(laid: OnSaw, room: Room, gap: float, beside: float = 0.0) -> Layout:
    """The stock in its room. `gap` is the width of a break in points, `beside` what is kept free at the waste's side of
    a short piece, for the arrows of its measure."""
    start, slope_start, slope_end, end = spans_of(laid)
    across = min(laid.breadth, TOWARD * (end - start)) if turned(laid) else laid.breadth
    scale, spans = room.height / across, [(start, end)]
    if (end - start) * scale > room.width and not turned(laid):
        kept_left = laid.kept_left
        cut = (slope_start - AT_CUT * across, end) if kept_left else (start, slope_end + AT_CUT * across)
        other = (start, start + AT_STOP * across) if kept_left else (end - AT_STOP * across, end)
        pair = [other, cut] if kept_left else [cut, other]
        broken = (room.width - gap) / sum(last - first for first, last in pair)
        whole = room.width / (end - start)
        if pair[0][1] + gap / scale < pair[1][0] and broken > 1.2 * whole:
            scale, spans = min(scale, broken), pair
            spans = _filled(spans, (room.width - gap) / scale)
        else:
            scale = whole
    elif (end - start) * scale > room.width:
        scale = room.width / (end - start)
    drawn = sum(last - first for first, last in spans) * scale + gap * (len(spans) - 1)
    spare = room.width - drawn
    # A short piece lies at the waste side of its room, so that there is room for words at its other side.
    share = 0.5 if spare < SHORT * room.width else 1.0 if laid.kept_left else 0.0
    beside = min(beside, spare / 2) * (1 - 2 * share)
    x, sections = room.left + spare * share + beside, []
    for first, last in spans:
        sections.append(Section(first, last, x))
        x += (last - first) * scale + gap
    return Layout(tuple(sections), scale, room.low + room.height - across * scale, -across)


def turned(laid: OnSaw) -> bool:
    """Whether the piece points at the person."""
    (one, _), (two, _) = laid.ends
    return abs(one - two) < abs(laid.ends[0][1] - laid.ends[1][1])


def _filled(spans: Sequence[tuple[float, float]], width: float) -> list[tuple[float, float]]:
    """The spare width goes equally to both sides of the break, as long as something is left out."""
    (start, one), (two, end) = spans
    spare = min(width - (one - start) - (end - two), (two - one) * 0.9)
    return [(start, one + spare / 2), (two - spare / 2, end)] if spare > 0 else list(spans)


def part_of(polygon: Sequence[Point], section: Section, bottom: float) -> list[Point]:
    """The part of a polygon in a section, and not below the bottom of the drawing."""
    shown = clip(polygon, section.start, section.end)
    turned_over = clip([(y, x) for x, y in shown], bottom, 1.0) if shown else []
    return [(x, y) for y, x in turned_over]
