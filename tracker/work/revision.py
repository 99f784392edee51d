"""Revising a build file during the work: what changed, which pieces no longer fit, what has lost its place.

Nothing that was done is forgotten: what was done to a piece that the build no longer has stays in the state and is
listed. All of this is read from the log and the present build; the old file isn't needed.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from tracker.measure import Mark
from tracker.words import say
from tracker.work.misfits import Misfit, misfits, simplest, what_words
from tracker.work.operations import PASSES
from tracker.work.recorded_sizes import digest, words
from tracker.work.run import Item, Run
from tracker.work.state.state import State, Tick

Sized = Mapping[str, Mapping[str, str]]


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
                size, *values = simplest(what, old.get(what, ""), new.get(what, ""))
                sides = (words(size, value, mark) for value in values)
                found.append(Change(part=part, name=name, what=size, before=next(sides), after=next(sides)))
    gone = [part for part in before if part not in after]
    return (*found, *(Change(part=part, name=before[part].get("name", part), what="gone") for part in gone))


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
