"""What two tablets did apart, each in a sentence that says what to do."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.words import say
from tracker.work import facts
from tracker.work.conflicts import Conflict
from tracker.work.facts import Entry
from tracker.work.operations import step_named
from tracker.work.run import Run
from tracker.work.sync_status import SyncStatus


def conflict_words(found: Sequence[Conflict], run: Run, status: SyncStatus, own: str) -> tuple[str, ...]:
    """A sentence for each conflict; `own` is the name under which this tablet writes."""
    return tuple(dict.fromkeys(_words(each, run, status, own) for each in found))


def _words(each: Conflict, run: Run, status: SyncStatus, own: str) -> str:
    first, second = (status.name_of(entry.tablet, own) for entry in (each.first, each.second))
    name = _name(run, each.item)
    match each.kind:
        case "twice":
            return say(
                (
                    "{name} was marked as {past} on {first} and on {second} while they were apart. It counts once: "
                    "look whether it was really done twice."
                ),
                name=name,
                past=_past(each.second),
                first=first,
                second=second,
            )
        case "spoiled":
            return say(
                (
                    "{name} was scrapped on {first} while {second} marked it as {past}. That was the scrapped one: the "
                    "new one starts from the beginning."
                ),
                name=name,
                first=first,
                second=second,
                past=_past(each.second),
            )
        case "taken back":
            return say(
                (
                    "{name}: {past} was undone while {second} marked it as {later}. Look at it, and mark or undo "
                    "what isn't so."
                ),
                name=name,
                past=_past(each.first),
                second=second,
                later=_past(each.second),
            )
        case "two glue-ups":
            return say(
                (
                    "{name} was scanned into {into} on {first} and into {other} on {second}. Look which one has it "
                    "before the glue sets, and scan the right piece into the other."
                ),
                name=name,
                into=_into(run, each.first),
                first=first,
                other=_into(run, each.second),
                second=second,
            )
        case "swapped":
            return say(
                (
                    "{name} changed places on {first} while {second} glued {into}. Look which piece is in it, and swap "
                    "the two on the screen if they don't agree."
                ),
                name=name,
                first=first,
                second=second,
                into=_into(run, each.second),
            )
    return say(
        (
            "The boards of {build} were planned on {first} and on {second} while they were apart; the plan of "
            "{second} is followed. Look at Boards before the next cut, and plan again if a board was cut by the "
            "other."
        ),
        build=run.build.name,
        first=first,
        second=second,
    )


def _name(run: Run, key: str) -> str:
    return run.items[key].short if key in run.items else key.replace(":", " ")


def _past(entry: Entry) -> str:
    return step_named(entry.fact.step).past if isinstance(entry.fact, facts.Done) else "done"


def _into(run: Run, entry: Entry) -> str:
    return _name(run, getattr(entry.fact, "item", ""))
