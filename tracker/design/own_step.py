"""A maker's own step: any words, at a station, at its place in the route."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from tracker.measure import Angle, Length, Span

StationName = Literal["saw", "drill", "bench", "sanding", "finishing"]
STATION_NAMES: tuple[StationName, ...] = ("saw", "drill", "bench", "sanding", "finishing")


class Count(Struct, frozen=True):
    """A number without a unit, and what is counted: 12 `holes`. `of` is empty where the file doesn't say."""

    number: Fraction | float
    of: str = ""

    @property
    def text(self) -> str:
        """`12 holes`, `2.5 turns`."""
        figures = f"{float(self.number):.3f}".rstrip("0").rstrip(".")
        return f"{figures} {self.of}" if self.of else figures


StepNumber = Length | Angle | Span | Count


class OwnStep(Struct, frozen=True, kw_only=True):
    """`do` is the words of the step and its name in a route. It comes right `after` or `before` an operation or another
    own step. With neither, it comes after everything that shapes a piece, and before the finish of an assembly.

    `numbers` are set or marked; the first one is large on the card. `picture` is a file beside the build file. `jig` is
    the id of the part or assembly that is made first.
    """

    do: str
    station: StationName = "bench"
    after: str = ""
    before: str = ""
    numbers: tuple[tuple[str, StepNumber], ...] = ()
    notes: str = ""
    picture: str = ""
    tool: str = ""
    jig: str = ""
    line: int


LATE = frozenset({"sand", "finish", "prove"})
"""A step without a place of its own comes before these."""


def with_own_steps(route: tuple[str, ...], steps: tuple[OwnStep, ...]) -> tuple[str, ...]:
    """Insert the own steps that a route doesn't name at their places. Steps with the same place keep their order.

    A step whose neighbour isn't in the route comes last; `unplaced` lists these.
    """
    found = list(route)
    waiting = [step for step in steps if step.do not in found]
    own = {step.do: step for step in steps}
    while waiting:
        placed = [step for step in waiting if _put(found, step, own)]
        waiting = [step for step in waiting if step not in placed]
        if not placed:
            return (*found, *(step.do for step in waiting))
    return tuple(found)


def unplaced(route: tuple[str, ...], steps: tuple[OwnStep, ...]) -> tuple[OwnStep, ...]:
    """The own steps whose neighbour isn't in the route, even with all own steps in it, or that follow one another in a
    circle. `route` excludes the steps that it doesn't name itself."""
    reached = {*route, *(step.do for step in steps if not (step.after or step.before))}
    waiting = [step for step in steps if step.do not in reached]
    while found := [step for step in waiting if (step.after or step.before) in reached]:
        reached |= {step.do for step in found}
        waiting = [step for step in waiting if step not in found]
    return tuple(waiting)


def _put(route: list[str], step: OwnStep, own: Mapping[str, OwnStep]) -> bool:
    """Insert a step into the route if its neighbour is there."""
    near = step.after or step.before
    if near and near not in route:
        return False
    if step.after:
        at = route.index(near) + 1
        while at < len(route) and route[at] in own and own[route[at]].after == near:
            at += 1
    elif step.before:
        at = route.index(near)
    else:
        late = (at for at, word in enumerate(route) if word not in own and word.split()[0] in LATE)
        at = next(late, len(route))
    route.insert(at, step.do)
    return True
