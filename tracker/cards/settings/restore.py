"""The backups of the record, and what restoring one would mean."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from msgspec import Struct

from tracker.words import say, say_many
from tracker.words.dates import day_and_month, weekday

WHY = {
    "day": say("daily"),
    "finished": say("when a build was finished"),
    "restored": say("after one was put back"),
    "asked": say("asked for"),
    "import": say("before another tablet's record was taken in"),
    "guard": say("when the record's file was gone"),
    "replaced": say("before another was put back"),
}


class BackupRow(Struct, frozen=True):
    """One backup: when it was made, and its contents compared with the present record."""

    key: str
    title: str
    said: str
    possible: bool


def restore_card(backups: Iterable[tuple[str, datetime, str, int | None]], facts: int) -> tuple[BackupRow, ...]:
    """The rows of all backups: (key, local time it was made, why, facts in it), compared with a record of `facts`
    facts."""
    return tuple(
        BackupRow(
            key, f"{weekday(made)} {day_and_month(made)} {made:%Y, %H:%M}", _said(why, held, facts), held is not None
        )
        for key, made, why, held in backups
    )


def _said(why: str, held: int | None, facts: int) -> str:
    made = WHY.get(why, why)
    if held is None:
        return say("{made}: it can't be read", made=made)
    holds = say_many("{made}: {count} entry", "{made}: {count} entries", held, made=made)
    if held == facts:
        return say("{holds}, as many as now", holds=holds)
    return (
        say("{holds}, {facts} fewer than now", holds=holds, facts=abs(facts - held))
        if held < facts
        else say("{holds}, {facts} more than now", holds=holds, facts=abs(facts - held))
    )
