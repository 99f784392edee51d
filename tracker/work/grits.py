"""Sanding sequences: each grit removes the scratches of the one before, so at most one grit is skipped.

The ladder and the rule are common practice, no source.
"""

from __future__ import annotations

from tracker.design.model import Build, Part
from tracker.design.problems import Problem
from tracker.design.route_words import SURFACES
from tracker.words import say

LADDER = (40, 60, 80, 100, 120, 150, 180, 220, 320, 400, 600)
"""The usual grits; 240 may replace 220."""
MOST_SKIPPED = 1
_STARTS_AGAIN = frozenset({"glue", "drive screws", "take screws out", "plug", "attach"})
"""After these the surface is sanded again, starting from as coarse a grit as it needs."""


def skipped(before: int, after: int) -> tuple[int, ...]:
    """The grits of the ladder between two."""
    low, high = (220 if grit == 240 else grit for grit in (before, after))
    return tuple(grit for grit in LADDER if low < grit < high)


def grit_notes(name: str, route: tuple[str, ...], line: int, came: int = 0) -> list[Problem]:
    """What is unusual about the sanding of a route. `came`: the grit it had been sanded to before (0: unknown)."""
    last = dict.fromkeys(SURFACES, came)
    found = []
    for operation in route:
        word, *rest = operation.split()
        if word in _STARTS_AGAIN:
            last = dict.fromkeys(SURFACES, 0)
        if word != "sand":
            continue
        grit, surfaces = int(rest[0]), (rest[1:] or SURFACES)
        before = {last[surface] for surface in surfaces if last[surface]}
        if any(grit < each for each in before):
            found.append(
                _note(
                    line,
                    say(
                        "{name}: '{operation}' comes after {before}", name=name, operation=operation, before=max(before)
                    ),
                    say("from coarse to fine"),
                )
            )
        elif before and len(left_out := skipped(min(before), grit)) > MOST_SKIPPED:
            what = say(
                "{name}: '{operation}' after {before} skips {listed}",
                name=name,
                operation=operation,
                before=min(before),
                listed=_listed(left_out),
            )
            found.append(_note(line, what, _hint(left_out)))
        last.update(dict.fromkeys(surfaces, grit))
    return found


def sanded_to(route: tuple[str, ...]) -> int:
    """The finest grit of a route; 0 when it has no sanding."""
    return max((int(word.split()[1]) for word in route if word.startswith("sand ")), default=0)


def came_sanded_to(build: Build, joins: tuple[tuple[str, int], ...]) -> int:
    """The coarsest grit to which the joined parts were sanded; 0 when that isn't known for all of them."""
    parts = {part.id: part for part in build.parts}
    grits = [sanded_to(_operations(parts[id_])) for id_, _ in joins if id_ in parts]
    return min(grits) if len(grits) == len(joins) and grits else 0


def _operations(part: Part) -> tuple[str, ...]:
    own = {step.do for step in part.steps}
    return tuple(word for word in part.route or () if word not in own)


def _note(line: int, what: str, hint: str) -> Problem:
    return Problem(line, what, hint, "note")


def _hint(left_out: tuple[int, ...]) -> str:
    return say("sand {left_out} between: no more than one grit is skipped", left_out=left_out[len(left_out) // 2])


def _listed(grits: tuple[int, ...]) -> str:
    *most, last = map(str, grits)
    return say("{most} and {last}", most=", ".join(most), last=last) if most else last
