"""Weak places of an outline: narrow necks, judged by their grain, and short grain."""

from __future__ import annotations

from tracker.plan.outline.curve import flat
from tracker.plan.outline.necks import Neck, necks
from tracker.plan.outline.outlined import Outlined
from tracker.plan.outline.short_grain import ShortGrain, short_grain

NARROW = 10.0
"""Millimetres: a neck weaker than a strip of this width is reported. Common practice, no source."""
_CHORD = 0.05
_PARALLEL = 1.0
"""Degrees within which the grain of a panel's boards counts as one direction."""


def necks_of(each: Outlined) -> tuple[Neck, ...]:
    """Every narrow place, narrowest first, in the outline's own coordinates."""
    return necks(each.outer, each.cutouts, each.grain_at)


def is_weak(neck: Neck) -> bool:
    """Whether a neck is reported: it is as strong as a strip under 10 mm, or under a third of its own width."""
    return neck.as_strong_as < max(NARROW, neck.width / 3)


def short_grain_of(each: Outlined) -> tuple[ShortGrain, ...]:
    """Fingers and bands of short grain; not computed where the grain of the boards runs in several directions."""
    grain = each.panel.boards[0].grain
    if any(abs((board.grain - grain + 90.0) % 180.0 - 90.0) > _PARALLEL for board in each.panel.boards):
        return ()
    return short_grain([flat(loop, _CHORD) for loop in each.loops], grain)
