"""What two tablets did apart, each in a sentence that says what to do."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.cards.words import brief
from tracker.work import facts
from tracker.work.apart import Apart
from tracker.work.facts import Entry
from tracker.work.others import Standing
from tracker.work.run import Run
from tracker.work.steps import step_named


def apart_words(found: Sequence[Apart], run: Run, standing: Standing, own: str) -> tuple[str, ...]:
    """A sentence for each; `own` is the name under which this tablet writes."""
    return tuple(dict.fromkeys(_words(each, run, standing, own) for each in found))


def _words(each: Apart, run: Run, standing: Standing, own: str) -> str:
    first, second = (standing.name_of(entry.tablet, own) for entry in (each.first, each.second))
    name = _name(run, each.item)
    match each.kind:
        case "twice":
            return (
                f"{name} was marked as {_past(each.second)} on {first} and on {second} while they were apart. It "
                "counts once: look whether it was really done twice."
            )
        case "spoiled":
            return (
                f"{name} was scrapped on {first} while {second} marked it as {_past(each.second)}. That was the "
                "scrapped one: the new one starts from the beginning."
            )
        case "taken back":
            return (
                f"{name}: {_past(each.first)} was taken back while {second} marked it as {_past(each.second)}. Look at "
                "it, and mark or undo what isn't so."
            )
        case "two glue-ups":
            return (
                f"{name} was scanned into {_into(run, each.first)} on {first} and into {_into(run, each.second)} on "
                f"{second}. Look which one has it before the glue sets, and scan the right piece into the other."
            )
        case "swapped":
            return (
                f"{name} changed places on {first} while {second} glued {_into(run, each.second)}. Look which piece is "
                "in it, and swap the two on the screen if they don't agree."
            )
    return (
        f"The boards of {run.build.name} were planned on {first} and on {second} while they were apart; the plan of "
        f"{second} is followed. Look at Boards before the next cut, and plan again if a board was cut by the other."
    )


def _name(run: Run, key: str) -> str:
    return brief(run.items[key].short, 32) if key in run.items else key.replace(":", " ")


def _past(entry: Entry) -> str:
    return step_named(entry.fact.step).past if isinstance(entry.fact, facts.Done) else "done"


def _into(run: Run, entry: Entry) -> str:
    return _name(run, getattr(entry.fact, "item", ""))
