"""What a recovery says: one sentence on the screen, and a report that names every count that was lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from tracker.store.recovery.rejoin import TabletRejoined


def spoken_report(why: str, aside: str, report: str, tablets: Sequence[TabletRejoined]) -> str:
    """The sentence for the screen. `aside` and `report` are names in the folder of the record."""
    kept = sum(each.kept for each in tablets)
    lost = sum(each.lost_count for each in tablets)
    missing = f" and {lost} lost" if lost else ""
    return (
        f"The record was damaged ({why}); it was set aside in {aside}. "
        f"{_facts(kept)} were recovered{missing}: {report} says which."
    )


def written_report(
    why: str, now: datetime, aside: str, found: Mapping[str, int], tablets: Sequence[TabletRejoined]
) -> str:
    """The report. `found` says how many rows stood where."""
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
        lines += [f"  tablet {each.tablet}: {_facts(each.kept)} recovered, {each.lost_count} lost"]
        lines += [f"    lost: {_range(first, last)}" for first, last in each.lost if first <= last]
        lines += [f"    {count} could be read, but not proven: look whether it is true" for count in each.unproven]
        last = each.kept + each.lost_count
        lines += [f"    the last that was found is {last}; the files can't tell whether there were later ones"]
    if not tablets:
        lines.append("  nothing")
    lines += ["", "This tablet writes under a new name from here on, so that no count is ever written twice.", ""]
    return "\n".join(lines)


def _range(first: int, last: int) -> str:
    return str(first) if first == last else f"{first} to {last}"


def _facts(count: int) -> str:
    return f"{count} fact{'' if count == 1 else 's'}"
