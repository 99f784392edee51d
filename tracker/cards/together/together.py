"""The tablets of the shop in words: the small mark on every screen, and the sheet of the other tablets."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from tracker.cards.marks import Tone
from tracker.measure.span import rough
from tracker.words import say, say_many
from tracker.work.sync_status import SyncStatus, Tablet

LATELY = 90.0
"""Seconds within which a tablet counts as connected: each reports every half minute."""
MOST_NAMED = 2
"""The most names that fit in the mark."""


class MemberRow(Struct, frozen=True, kw_only=True):
    """A tablet of the shop; `key` is its login."""

    key: str
    title: str
    said: str
    tone: Tone
    can_go: bool
    """Whether it can be removed: another tablet that is still in."""


class TogetherCard(Struct, frozen=True, kw_only=True):
    """The sheet: whether this tablet is connected, who the others are, and what may be done."""

    title: str
    said: str
    tone: Tone
    rows: tuple[MemberRow, ...]
    trouble: tuple[str, ...]
    joined: bool
    keeper: bool
    empty: str = say("No other tablet has joined yet.")


NAMES = (say("Saw"), say("Bench"), say("Finishing"), say("Desk"), say("Drill"), say("Sanding"))
"""Names of tablets to choose from: the places where they are used."""
MOST_NAMES = 6


def in_two(sentences: str) -> tuple[str, str]:
    """What has happened, and what to do about it: the first sentence, and the rest."""
    what, stop, rest = sentences.partition(". ")
    return f"{what}{stop.strip()}", rest


def free_names(status: SyncStatus) -> tuple[str, ...]:
    """Names that no tablet of the shop has; where all are taken, with a number."""
    taken = {other.word.casefold() for other in status.others if not other.out}
    found = (name if number == 1 else f"{name} {number}" for number in range(1, len(taken) + 3) for name in NAMES)
    return tuple([name for name in found if name.casefold() not in taken][:MOST_NAMES])


def mark_words(status: SyncStatus, now: datetime) -> str:
    """The mark: `together with Bench, just now`, `alone since 10:40: all is kept here`; empty without a hub."""
    match status.state:
        case "off":
            return ""
        case "together":
            return _with_whom(status, now)
        case "refused":
            return say("Not let in: see Settings, Together")
        case "waiting":
            return say("Out of date: see Settings, Together")
    since = say(" since {since:%H:%M}", since=status.since.astimezone()) if status.since else ""
    return say("Alone{since}: all is kept here", since=since)


def _with_whom(status: SyncStatus, now: datetime) -> str:
    others = [each for each in status.others if not each.mine and not each.out]
    here = [each for each in others if each.met is not None and (now - each.met).total_seconds() < LATELY]
    if here:
        return say("Together with {named}, just now", named=_named([each.word for each in here]))
    met = [each for each in others if each.met is not None]
    if not met:
        return say("Together with the hub")
    last = max(met, key=lambda each: each.met or now)
    assert last.met is not None
    return say(
        "Together; {word} last met {time} ago",
        word=last.word,
        time=rough((now - last.met).total_seconds()),
    )


def _named(words: list[str]) -> str:
    if len(words) <= MOST_NAMED:
        return say(" and ").join(words)
    return say("{words} and {count} others", words=words[0], count=len(words) - 1)


def together_card(status: SyncStatus, now: datetime) -> TogetherCard:
    """The state of this tablet, and all tablets of the shop: this one first, removed ones last."""
    rows = sorted(status.others, key=lambda each: (not each.mine, each.out, each.word))
    return TogetherCard(
        title=say("{word} of {shop}", word=status.word, shop=status.shop) if status.joined else say("On its own"),
        said=_said(status),
        tone="caution" if status.state in ("refused", "waiting") or status.trouble else "ready",
        rows=tuple(_row(each, now) for each in rows),
        trouble=status.trouble,
        joined=status.joined,
        keeper=status.keeper,
    )


def _said(status: SyncStatus) -> str:
    if not status.joined:
        return say(
            "With a hub, every tablet of the shop shows what was done on the others. Scan the code that another "
            "tablet, or the computer with the hub, shows."
        )
    words = [say("This tablet is {word} in {shop}.", word=status.word, shop=status.shop)]
    if status.state == "together":
        words.append(say("What is marked here shows on the others by itself, and theirs here."))
    else:
        words.append(status.why)
        if status.waiting:
            words.append(
                say_many("{count} fact isn’t on the hub yet.", "{count} facts aren’t on the hub yet.", status.waiting)
            )
    return " ".join(filter(None, words))


def _row(other: Tablet, now: datetime) -> MemberRow:
    ago = None if other.met is None else (now - other.met).total_seconds()
    said = _met(ago, other.mine)
    if other.out:
        said = say("taken out")
    elif other.copied:
        said = say("Two machines use its login: invite one of them again.")
    elif other.keeper:
        said += say(", may invite others")
    return MemberRow(
        key=other.login,
        title=other.word,
        said=said,
        tone="caution" if other.copied else "ready",
        can_go=not other.mine and not other.out,
    )


def _met(ago: float | None, mine: bool) -> str:
    if mine:
        return say("this tablet")
    if ago is None:
        return say("hasn't met the hub yet")
    return say("met just now") if ago < LATELY else say("last met {ago} ago", ago=rough(ago))


def member_words(word: str, ago: float | None, mine: bool, out: bool, keeper: bool) -> str:
    """A tablet on a line of a terminal."""
    said = say("taken out") if out else _met(ago, mine)
    return say("{word}: {said}, keeper", word=word, said=said) if keeper and (not out) else f"{word}: {said}"
