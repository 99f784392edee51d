"""Pieces that no longer fit a revised build file: made to a size that it no longer asks for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from tracker.measure import Length, Mark, read_length
from tracker.words import english, say
from tracker.work.recorded_sizes import LENGTHS, height_alone, words
from tracker.work.run import Item, Run
from tracker.work.state.state import State, Tick

Verdict = Literal["too small", "differs"]
_WHAT = {
    "new": say("new"),
    "gone": say("gone"),
    "name": say("name"),
    "quantity": say("quantity"),
    "hands": say("hands"),
    "wood": say("wood"),
    "length": say("length"),
    "height": say("height"),
    "blank": say("blank"),
    "measured": say("measured"),
    "allowance": say("allowance"),
    "width": say("width"),
    "thickness": say("thickness"),
    "grain": say("grain"),
    "ends": say("ends"),
    "tapers": say("tapers"),
    "holes": say("holes"),
    "laps": say("laps"),
    "drill features": say("drill features"),
    "bevel features": say("bevel features"),
    "tenon features": say("tenon features"),
    "notch features": say("notch features"),
    "groove features": say("groove features"),
    "dado features": say("dado features"),
    "rabbet features": say("rabbet features"),
    "mortise features": say("mortise features"),
    "slot features": say("slot features"),
    "profile features": say("profile features"),
}


_VERDICTS = {"too small": say("too small"), "differs": say("differs")}
_OFF = {
    "length": (english("{by} too short"), english("{by} too long")),
    "blank": (english("{by} too short"), english("{by} too long")),
    "height": (english("{by} too short"), english("{by} too tall")),
    "width": (english("{by} too narrow"), english("{by} too wide")),
    "thickness": (english("{by} too thin"), english("{by} too thick")),
}
"""By how much a size is below or above what the build asks for."""


def what_words(what: str) -> str:
    """What changed, which the record has by its id: `length`, `mortise features`."""
    return _WHAT.get(what, what)


LONGEST = 66
"""More letters of sizes that differ wouldn't fit into a row."""


class Misfit(Struct, frozen=True, kw_only=True):
    """A piece that was made to a size that the build no longer asks for.

    `verdict`: a piece that is `too small` can only be made again; one that `differs` may still be worked to the new
    size.
    """

    key: str
    title: str
    step: str
    what: str
    was: str
    now: str
    verdict: Verdict
    off: str = ""
    """By how much: `20 mm too short`; empty where that is no length."""

    @property
    def words(self) -> str:
        """`Leg 2 of 4: length 600 mm, now 620 mm: 20 mm too short`."""
        return say(
            "{title}: {what} {was}, now {now}: {verdict}",
            title=self.title,
            what=what_words(self.what),
            was=self.was,
            now=self.now,
            verdict=self.off or _VERDICTS[self.verdict],
        )

    @property
    def small_words(self) -> str:
        """For the piece itself: `made to the old version: 20 mm too short (600 mm, now 620 mm)`; where that is long,
        `made to the old version: different ends`."""
        what = what_words(self.what)
        if self.off:
            return say("made to the old version: {off} ({was}, now {now})", off=self.off, was=self.was, now=self.now)
        words = say("made to the old version: {what} {was}, now {now}", what=what, was=self.was, now=self.now)
        return words if len(words) <= LONGEST else say("made to the old version: different {what}", what=what)


def misfits(run: Run, state: State, item: Item) -> tuple[Misfit, ...]:
    """The sizes in which a piece, as far as it is made, differs from what the build asks for now."""
    found: dict[tuple[str, str], Misfit] = {}
    mark = run.build.shop.mark
    for tick, what, was, verdict in _differing(run, state, item):
        size, before, asked = simplest(what, was, _asked(what, run.sizes[item.id]))
        if (what, was) not in found:
            found[what, was] = Misfit(
                key=item.key,
                title=item.title,
                step=tick.step,
                what=size,
                was=words(size, before, mark),
                now=words(size, asked, mark),
                verdict=verdict,
                off=_off(size, before, asked, mark, verdict),
            )
    return tuple(found.values())


def steps_that_differ(run: Run, state: State, item: Item) -> frozenset[str]:
    """Every step that was done to a size of the old version: both ends, where both were cut to it."""
    return frozenset(tick.step for tick, *_ in _differing(run, state, item))


def _differing(run: Run, state: State, item: Item) -> Iterator[tuple[Tick, str, str, Verdict]]:
    """Each recorded size that the build no longer asks for: its tick, which size, its value, the verdict."""
    if item.kind != "piece":
        return
    trimmed = state.is_done(run, item, "trim")
    for tick in state.of(run, item):
        step = item.step(tick.step)
        half = step is not None and step.operation == "trim" and not trimmed
        for what, was in tick.done.to:
            if (what == "blank" and trimmed) or (half and what in LENGTHS):
                continue
            verdict = _verdict(*simplest(what, was, _asked(what, run.sizes[item.id])), half=half)
            if verdict is not None:
                yield tick, what, was, verdict


def _asked(what: str, now: Mapping[str, str]) -> str:
    """What the build asks for: a blank is long enough while the piece can be cut from it."""
    return now.get("length" if what == "blank" else what, "")


def simplest(what: str, was: str, now: str) -> tuple[str, str, str]:
    """A size and its two values: the height alone of a splayed leg whose ends differ in nothing else."""
    heights = height_alone(was, now) if what == "ends" else None
    return ("height", *heights) if heights else (what, was, now)


def _verdict(what: str, was: str, asked: str, *, half: bool) -> Verdict | None:
    """`half`: one end is still to be cut, so that no height is fixed."""
    if was == asked:
        return None
    if what not in LENGTHS or not asked:
        return "differs"
    if Fraction(asked) > Fraction(was):
        return "differs" if what == "height" and half else "too small"
    return None if what == "blank" or half else "differs"


def _off(what: str, was: str, asked: str, mark: Mark, verdict: Verdict) -> str:
    """By how much a length is off; empty for other sizes, where the tape shows no difference, and where an end is still
    to be cut."""
    if what not in _OFF or not was or not asked:
        return ""
    by = Fraction(was) - Fraction(asked)
    if by < 0 and verdict == "differs":
        return ""
    reading = read_length(Length(abs(by)), mark)
    return say(_OFF[what][by > 0], by=reading.text) if words(what, was, mark) != words(what, asked, mark) else ""
