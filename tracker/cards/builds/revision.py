"""What a revised build file means for the work: what changed, what no longer fits, what has lost its place."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.marks import Sign
from tracker.words import say, say_many
from tracker.work.misfits import Misfit, misfits, what_words
from tracker.work.revision import Revision, is_revised, revision
from tracker.work.run import Item, Run
from tracker.work.state.state import State


class RevisionRow(Struct, frozen=True, kw_only=True):
    """One line; a `heading` has no tone. `key` is the piece that it is about, or empty."""

    title: str
    said: str = ""
    tone: Sign = ""
    key: str = ""
    heading: bool = False


class RevisionCard(Struct, frozen=True, kw_only=True):
    """The whole sheet; what no longer fits comes first."""

    title: str
    rows: tuple[RevisionRow, ...]
    open_now: bool
    """Whether the build file differs from the version in use, so that the new version can be used."""
    empty: str = say("The revision changes no finished work.")


def revision_card(run: Run, state: State) -> RevisionCard:
    """What the present build changes."""
    found = revision(run, state)
    rows: list[RevisionRow] = []
    if found.misfits:
        rows.append(RevisionRow(title=_no_longer_fit(found), heading=True))
        rows += [
            RevisionRow(
                title=each.title,
                said=f"{what_words(each.what)}: {was_now(each.was, each.now)} ({_what_to_do(each)})",
                tone="caution",
                key=each.key,
            )
            for each in found.misfits
        ]
    if found.orphans:
        rows.append(RevisionRow(title=say("Done, but no longer in the build"), heading=True))
        rows += [RevisionRow(title=each.title, said=", ".join(each.steps), tone="caution") for each in found.orphans]
    if found.changes:
        rows.append(RevisionRow(title=say("What changed"), heading=True))
        rows += [RevisionRow(title=name, said="\n".join(said)) for name, said in _by_part(found).items()]
    name = say(", revision {revision}", revision=found.revision) if found.revision else ""
    return RevisionCard(title=f"{run.build.name}{name}", rows=tuple(rows), open_now=is_revised(run, state))


def revision_words(run: Run, state: State) -> str:
    """`revised: 3 changes, 1 piece made to the old version`; empty where the file is the version in use."""
    found = revision(run, state)
    fits = _no_longer_fit(found) if found.misfits else ""
    if not is_revised(run, state):
        return fits
    count = len(found.changes)
    return ", ".join(
        word for word in (say_many("revised: {count} change", "revised: {count} changes", count), fits) if word
    )


def misfit_words(run: Run, state: State, item: Item) -> str:
    """For a piece that no longer fits: `made to the old version: length 600 mm, now 620 mm`."""
    found = misfits(run, state, item)
    return found[0].small_words if found else ""


def _no_longer_fit(found: Revision) -> str:
    count = len({each.key for each in found.misfits})
    return (
        say("1 piece made to the old version")
        if count == 1
        else say("{count} pieces made to the old version", count=count)
    )


def _by_part(found: Revision) -> dict[str, list[str]]:
    """The changes of each part, by its name."""
    said: dict[str, list[str]] = {}
    for change in found.changes:
        words = what_words(change.what)
        if change.what not in ("new", "gone"):
            words = f"{words}: {was_now(change.before, change.after)}"
        said.setdefault(change.name, []).append(words)
    return said


def _what_to_do(misfit: Misfit) -> str:
    """By how much a piece is off, and what may be done about that."""
    if misfit.verdict == "too small":
        return say("{off}: make another", off=misfit.off or say("too small"))
    if misfit.what == "height" and not misfit.off:
        return say("measure it before you cut the other end")
    if misfit.off:
        return say("{off}: it may still be worked to the new size", off=misfit.off)
    return say("measure it: it may still be worked to the new size")


def was_now(was: str, now: str) -> str:
    """`was 425 mm high, now 460 mm high`: only the sizes that differ."""
    before, after = was.split(", "), now.split(", ")
    if len(before) == len(after) > 1:
        differing = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
        was, now = (", ".join(each[side] for each in differing) for side in (0, 1))
    return (
        say("was {was}, now {now}", was=was, now=now)
        if was and now
        else say("was {was}", was=was)
        if was
        else say("now {now}", now=now)
    )
