"""The report of a recovery: a few sentences on the screen that name the pieces to look at, and a file that names every
lost count."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from tracker.store.recovery.rejoin import TabletRejoined
from tracker.store.rows import Row

MOST_NAMED = 6
"""The most items named on the screen; the file names them all."""


def spoken_report(why: str, aside: str, report: str, tablets: Sequence[TabletRejoined]) -> str:
    """The sentences for the screen. `aside` and `report` are names in the folder of the record."""
    kept = sum(each.kept for each in tablets)
    lost = sum(each.lost_count for each in tablets)
    missing = f" and {lost} lost" if lost else ""
    said = [
        f"The record was damaged ({why}); it was set aside in {aside}.",
        f"{_facts(kept)} {_were(kept)} recovered{missing}: {report} says which.",
    ]
    if items := _items(row for each in tablets for row in each.unproven):
        named = ", ".join(items[:MOST_NAMED]) + (" and others" if len(items) > MOST_NAMED else "")
        said.append(
            f"Something said of {named} could be read but not proven: look whether it is true before you go on."
        )
    if forks := [fork for each in tablets for fork in each.forks]:
        count = sum(fork.count for fork in forks)
        are = "is not taken in; it is" if count == 1 else "are not taken in; they are"
        said.append(f"{_facts(count)} of another history of this record {are} kept in {aside}.")
    return " ".join(said)


def _items(rows: Iterable[Row]) -> list[str]:
    """What rows are about, each once: items, or the run for a fact about all of it."""
    found: dict[str, None] = {}
    for row in rows:
        try:
            data = json.loads(row.data)
        except ValueError:
            continue
        items = [data.get("item"), data.get("piece"), data.get("twin"), *(data.get("items") or ())]
        run = str(data.get("run", "")).partition("#")[0]
        named = [str(item).replace(":", " ") for item in items if item]
        for name in named or ([run] if run else [row.kind]):
            found[f"{name} of {run}" if named and run else name] = None
    return list(found)


def written_report(
    why: str, now: datetime, aside: str, found: Mapping[str, str], tablets: Sequence[TabletRejoined]
) -> str:
    """The report. `found` is the number of rows in each place."""
    lines = [
        f"Kerfcard's record was damaged: {why}.",
        f"Found on {now.isoformat(timespec='seconds')}. The damaged files are kept as they were in {aside}.",
        "",
        "Where rows were found (damaged ones and copies among them):",
        *(f"  {where}: {rows}" for where, rows in found.items()),
        "",
        "What was recovered, by tablet and by the count of its facts:",
    ]
    for each in tablets:
        lines += _lines(each)
    if not tablets:
        lines.append("  nothing")
    lines += ["", "This tablet writes under a new name from here on, so that no count is ever written twice.", ""]
    return "\n".join(lines)


def _lines(each: TabletRejoined) -> list[str]:
    lines = [f"  tablet {each.tablet}: {_facts(each.kept)} recovered, {each.lost_count} lost"]
    lines += [f"    lost: {_range(first, last)}" for first, last in each.lost if first <= last]
    lines += [
        f"    {row.count} could be read, but not proven ({', '.join(_items([row]))}): look whether it is true"
        for row in each.unproven
    ]
    lines += [
        f"    another history of this tablet goes from {fork.first} to {fork.rows[-1].count}; it is kept as a file of "
        "its own beside the damaged ones"
        for fork in each.forks
    ]
    last = each.kept + each.lost_count
    return [*lines, f"    the last that was found is {last}; the files can't tell whether there were later ones"]


def _range(first: int, last: int) -> str:
    return str(first) if first == last else f"{first} to {last}"


def _facts(count: int) -> str:
    return f"{count} fact{'' if count == 1 else 's'}"


def _were(count: int) -> str:
    return "was" if count == 1 else "were"
