"""The list of builds that this tablet knows."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.builds.revision import revision_words
from tracker.cards.marks import Tone
from tracker.design.model import Build
from tracker.design.problems import Problem
from tracker.words import say, say_many
from tracker.work.revision import is_revised
from tracker.work.run import Run
from tracker.work.state.state import State


class BuildRow(Struct, frozen=True, kw_only=True):
    """One build file. `problems` keep it from being opened; their words are ready to show."""

    path: str
    title: str
    said: str
    tone: Tone | Literal[""]
    """No tone: it isn't begun, and waits for nothing."""
    problems: tuple[str, ...]
    revised: bool = False
    """Whether its file has changed since the version in use."""


def build_row(
    path: str, file: str, build: Build | None, problems: Iterable[Problem], run: Run | None, state: State
) -> BuildRow:
    """The row of one build file, with the run that it defines; neither build nor run where it has problems."""
    problems = tuple(problem for problem in problems if problem.kind == "problem")
    wrong = tuple(problem.at(file) for problem in problems)
    if build is None or run is None:
        count = say_many("{count} problem", "{count} problems", len(wrong))
        first = say(", the first in {problem}", problem=said_first(problems)) if wrong else ""
        return BuildRow(path=path, title=file, said=f"{count}{first}", tone="caution", problems=wrong)
    if run.name in state.runs and state.runs[run.name].whole.opened:
        done, steps = progress(run, state)
        revised = revision_words(run, state)
        said = ", ".join(
            word
            for word in (
                say_many("{done} of {count} step done", "{done} of {count} steps done", steps, done=done),
                revised,
            )
            if word
        )
        return BuildRow(
            path=path,
            title=build.name,
            said=said,
            tone="caution" if revised else "done" if done == steps else "ready",
            problems=(),
            revised=is_revised(run, state),
        )
    pieces = sum(part.quantity for part in build.parts)
    said = say_many("{count} piece, not begun", "{count} pieces, not begun", pieces)
    return BuildRow(path=path, title=build.name, said=said, tone="", problems=())


def unread_row(path: str, file: str) -> BuildRow:
    """The row of a file that is still being read."""
    return BuildRow(path=path, title=file, said=say("being read"), tone="waiting", problems=())


def lost_row(key: str, name: str, was_at: str, clock: bool) -> BuildRow:
    """The row of a build in use whose file is gone. `was_at` is where the file was, if known."""
    said = say("its file isn't at {was_at} any more", was_at=was_at) if was_at else say("its file isn't on this tablet")
    return BuildRow(
        path=key,
        title=name,
        said=say("{said}; one of its timers is running", said=said) if clock else said,
        tone="caution",
        problems=(said,),
    )


def lost_words(name: str, was_at: str, folder: str) -> str:
    """What to do about a build whose file is gone; `folder` is where build files belong."""
    said = say("isn't at {was_at} any more", was_at=was_at) if was_at else say("isn't on this tablet")
    back = say("Put it back there, or into") if was_at else say("Put it into")
    return say(
        "{name} can't be opened: its file {where}. {back} {folder}.", name=name, where=said, back=back, folder=folder
    )


def told_apart(rows: Sequence[BuildRow], current: str = "") -> tuple[BuildRow, ...]:
    """Rows with the same title show their file first, and its folder where the file names are equal too: they are in
    two places, and only one of them is in use. `current` is the path of that one."""
    titles = Counter(row.title for row in rows)
    files = Counter((row.title, _ends(row)[-1]) for row in rows)
    result = []
    for row in rows:
        if titles[row.title] > 1:
            *folder, name = _ends(row)
            place = name if files[row.title, name] == 1 else "/".join((*folder, name))
            said = say("open now, {row}", row=row.said) if row.path == current else row.said
            row = replace(row, said=f"{place}: {said}")
        result.append(row)
    return tuple(result)


def _ends(row: BuildRow) -> list[str]:
    """The last two names of its path."""
    return re.split(r"[/\\]", row.path)[-2:]


def said_first(problems: Sequence[Problem]) -> str:
    """`line 12: what (hint)`, from the first problem that has a line. A missing table has none, and is often missing
    only because of that line."""
    first = next((problem for problem in problems if problem.line), problems[0])
    where = say("line {line}", line=first.line) if first.line else say("the file")
    return f"{where}: {first.what}{f' ({first.hint})' if first.hint else ''}"


def progress(run: Run, state: State) -> tuple[int, int]:
    """The number of steps done, and of all steps, of a run."""
    done = sum(len(state.steps(run, item) & {step.id for step in item.route}) for item in run.items.values())
    return done, sum(len(item.route) for item in run.items.values())
