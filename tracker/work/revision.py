"""Revising a build file during the work: what changed, which pieces no longer fit, what has lost its place.

Nothing that was done is forgotten: what was done to a piece that the build no longer has stays in the state and is
listed. All of this is read from the log and the present build; the old file isn't needed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from tracker.measure import Mark
from tracker.words import say
from tracker.work.operations import PASSES
from tracker.work.recorded_sizes import LENGTHS, digest, words
from tracker.work.run import Item, Run
from tracker.work.state.state import State, Tick

Sized = Mapping[str, Mapping[str, str]]
_WHAT = {
    "new": say("new"),
    "gone": say("gone"),
    "name": say("name"),
    "quantity": say("quantity"),
    "hands": say("hands"),
    "wood": say("wood"),
    "length": say("length"),
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


def what_words(what: str) -> str:
    """What changed, which the record has by its id: `length`, `mortise features`."""
    return _WHAT.get(what, what)


class Change(Struct, frozen=True, kw_only=True):
    """One difference between two revisions. `what` is `new`, `gone`, or the size that changed; both sides in words."""

    part: str
    name: str
    what: str
    before: str = ""
    after: str = ""

    @property
    def words(self) -> str:
        """`Leg: length 600 mm, now 580 mm`, `Shelf: new`."""
        if self.what in ("new", "gone"):
            return f"{self.name}: {what_words(self.what)}"
        return say(
            "{name}: {what} {before}, now {after}",
            name=self.name,
            what=what_words(self.what),
            before=self.before,
            after=self.after,
        )


LONGEST = 56
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
    verdict: Literal["too small", "differs"]

    @property
    def words(self) -> str:
        """`Leg 2 of 4: length 600 mm, now 620 mm: too small`."""
        return say(
            "{title}: {what} {was}, now {now}: {verdict}",
            title=self.title,
            what=what_words(self.what),
            was=self.was,
            now=self.now,
            verdict=_VERDICTS[self.verdict],
        )

    @property
    def small_words(self) -> str:
        """For the piece itself: `made to the old version: length 600 mm, now 620 mm`; where that is long, `made to the
        old version: different ends`."""
        what = what_words(self.what)
        words = say("made to the old version: {what} {was}, now {now}", what=what, was=self.was, now=self.now)
        return words if len(words) <= LONGEST else say("made to the old version: different {what}", what=what)


class Orphan(Struct, frozen=True, kw_only=True):
    """Something that was done to an item or a step that the build no longer has."""

    key: str
    title: str
    steps: tuple[str, ...]

    @property
    def words(self) -> str:
        """`Shelf 3: cut, trim: no longer in the build`."""
        return say("{title}: {steps}: no longer in the build", title=self.title, steps=", ".join(self.steps))


class Revision(Struct, frozen=True, kw_only=True):
    """What a revised build means for the work; everything is empty when nothing changed."""

    revision: str
    changes: tuple[Change, ...]
    misfits: tuple[Misfit, ...]
    orphans: tuple[Orphan, ...]


def revision(run: Run, state: State) -> Revision:
    """The effect of the present build on what was done so far, as rows for a screen."""
    return Revision(
        revision=run.build.revision,
        changes=changes(run, state),
        misfits=tuple(misfit for item in run.pieces for misfit in misfits(run, state, item)),
        orphans=orphans(run, state),
    )


def is_revised(run: Run, state: State) -> bool:
    """Whether the present build differs from the one opened last; False if none was opened."""
    opened = state.whole(run).opened
    return opened is not None and bool(opened.digest) and opened.digest != run.digest


def changes(run: Run, state: State) -> tuple[Change, ...]:
    """What the present build changed, part by part: compared with the build opened last, or else with the revision
    before."""
    whole = state.whole(run)
    before = whole.sizes if digest(whole.sizes) != digest(run.sizes) else whole.sizes_before
    return compare(before, run.sizes, run.build.shop.mark) if before else ()


def compare(before: Sized, after: Sized, mark: Mark) -> tuple[Change, ...]:
    """The differences between the sizes of two builds, in the order of the new one, then what is gone."""
    found = []
    for part, new in after.items():
        old = before.get(part)
        name = new.get("name", part)
        if old is None:
            found.append(Change(part=part, name=name, what="new"))
            continue
        for what in (*new, *(what for what in old if what not in new)):
            if old.get(what) != new.get(what):
                sides = (words(what, side.get(what, ""), mark) for side in (old, new))
                found.append(Change(part=part, name=name, what=what, before=next(sides), after=next(sides)))
    gone = [part for part in before if part not in after]
    return (*found, *(Change(part=part, name=before[part].get("name", part), what="gone") for part in gone))


def misfits(run: Run, state: State, item: Item) -> tuple[Misfit, ...]:
    """The sizes in which a piece, as far as it is made, differs from what the build asks for now."""
    found: dict[tuple[str, str], Misfit] = {}
    mark = run.build.shop.mark
    for tick, what, was, verdict in _differing(run, state, item):
        asked = run.sizes[item.id].get("length" if what == "blank" else what, "")
        if (what, was) not in found:
            found[what, was] = Misfit(
                key=item.key,
                title=item.title,
                step=tick.step,
                what=what,
                was=words(what, was, mark),
                now=words(what, asked, mark),
                verdict=verdict,
            )
    return tuple(found.values())


def steps_that_differ(run: Run, state: State, item: Item) -> frozenset[str]:
    """Every step that was done to a size of the old version: both ends, where both were cut to it."""
    return frozenset(tick.step for tick, *_ in _differing(run, state, item))


def _differing(run: Run, state: State, item: Item) -> Iterator[tuple[Tick, str, str, Literal["too small", "differs"]]]:
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
            verdict = _verdict(what, was, run.sizes[item.id])
            if verdict is not None:
                yield tick, what, was, verdict


def _verdict(what: str, was: str, now: Mapping[str, str]) -> Literal["too small", "differs"] | None:
    asked = now.get("length" if what == "blank" else what, "")
    if was == asked:
        return None
    if what not in LENGTHS or not asked:
        return "differs"
    if Fraction(asked) > Fraction(was):
        return "too small"
    return None if what == "blank" else "differs"


def _known(item: Item, tick: Tick) -> bool:
    """Whether the item's route has a step or, for a step that meant both ends, either end."""
    return any(item.step(step) for step in (tick.step, *PASSES.get(tick.done.step, ())))


def orphans(run: Run, state: State) -> tuple[Orphan, ...]:
    """What was done to items and steps that the present build doesn't have."""
    found = []
    names = {**state.whole(run).sizes_before, **state.whole(run).sizes}
    for key, ticks in state.ticks_of(run).items():
        item = run.items.get(key)
        steps = tuple(dict.fromkeys(tick.done.step for tick in ticks if item is None or not _known(item, tick)))
        if steps:
            part, _, number = key.rpartition(":")
            title = item.title if item else f"{names.get(part, {}).get('name', part)} {number}"
            found.append(Orphan(key=key, title=title, steps=steps))
    return tuple(found)
