"""The operations of the trade as a table: where each is done, what it is called, which clock it starts or waits for.

A route in a build file names operations ("cut", "glue", "sand 120", "finish"); a route that is worked through has
steps: gluing is three of them (spread, clamp, unclamp), finishing one for each coat.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from msgspec import Struct

Station = Literal["saw", "drill", "bench", "sanding", "finishing"]
STATIONS: tuple[Station, ...] = ("saw", "drill", "bench", "sanding", "finishing")
WaitKind = Literal["open", "clamp", "cure", "recoat", "dry"]


class Step(Struct, frozen=True, kw_only=True):
    """One thing to tick. `id` is unique in its route; `operation` is the word of the build file that it came from."""

    id: str
    operation: str
    station: Station
    verb: str
    """What the button says."""
    past: str
    """What it has been, once done: `drilled`; `not drilled` is what a waiting assembly says of a piece."""
    mark: str
    """The word under its mark on the card."""
    starts: WaitKind | None = None
    closes: WaitKind | None = None
    """The running wait that this step brings to an end."""
    loads: bool = False
    """It loads the joints: only after the full cure, where machining may begin sooner."""
    grit: int = 0
    surface: str = ""
    """What of the piece is sanded: `faces`, `edges`, `ends`; empty for all of it."""
    coat: int = 0


class _Plain(Struct, frozen=True):
    station: Station
    verb: str
    past: str


_PLAIN: dict[str, _Plain] = {
    "cut": _Plain("saw", "Cut", "cut"),
    "rip": _Plain("saw", "Rip", "ripped"),
    "trim": _Plain("saw", "Trim ends", "trimmed"),
    "taper": _Plain("saw", "Taper", "tapered"),
    "shape": _Plain("bench", "Shape", "shaped"),
    "drill": _Plain("drill", "Drill", "drilled"),
    "dry fit": _Plain("bench", "Dry fit", "dry fitted"),
    "plug": _Plain("bench", "Plug holes", "plugged"),
    "attach": _Plain("bench", "Attach", "attached"),
    "prove": _Plain("bench", "Prove", "proven"),
}
_GLUE = (
    Step(
        id="spread",
        operation="glue",
        station="bench",
        verb="Glue spread",
        past="glue spread",
        mark="spread",
        starts="open",
    ),
    Step(
        id="clamp",
        operation="glue",
        station="bench",
        verb="Clamps on",
        past="clamped",
        mark="clamped",
        starts="clamp",
        closes="open",
    ),
    Step(
        id="unclamp",
        operation="glue",
        station="bench",
        verb="Clamps off",
        past="glued",
        mark="glued",
        starts="cure",
        closes="clamp",
    ),
)


def steps_for(operation: str, coats: int = 0, sand_between: int = 0) -> tuple[Step, ...]:
    """The steps of one operation of a route; KeyError for an unknown operation.

    `coats` is how many the finish asks for, `sand_between` the grit with which it asks to sand between them (0: none).
    """
    if operation == "glue":
        return _GLUE
    if operation == "finish":
        steps: list[Step] = []
        for number in range(1, max(1, coats) + 1):
            if number > 1 and sand_between:
                steps.append(between(number - 1, sand_between))
            steps.append(_coat(number, coats))
        return tuple(steps)
    if operation.startswith("finish "):
        return (_coat(int(operation.split()[1]), coats),)
    if operation.startswith("sand "):
        return (_sand(operation),)
    plain = _PLAIN[operation]
    return (
        Step(
            id=operation,
            operation=operation,
            station=plain.station,
            verb=plain.verb,
            past=plain.past,
            mark=plain.past,
            loads=operation in ("attach", "prove"),
        ),
    )


def between(coat: int, grit: int = 0) -> Step:
    """Sanding between a coat and the next one. A finish asks for it, or a coat that stood past its recoat window."""
    with_grit = f" {grit}" if grit else ""
    return Step(
        id=f"between {coat}",
        operation="finish",
        station="sanding",
        verb=f"Sand{with_grit} over coat {coat}",
        past=f"sanded over coat {coat}",
        mark=f"sanded {coat}",
        grit=grit,
    )


def _sand(operation: str) -> Step:
    """`sand 120`, or `sand 180 edges`."""
    _, grit, *rest = operation.split()
    surface = rest[0] if rest else ""
    what = f" {surface}" if surface else ""
    return Step(
        id=operation,
        operation=operation,
        station="sanding",
        verb=f"Sand{what} {grit}",
        past=f"{f'{surface} ' if surface else ''}sanded {grit}",
        mark=f"{surface} {grit}" if surface else f"{grit} grit",
        grit=int(grit),
        surface=surface,
    )


def _coat(number: int, coats: int) -> Step:
    last = number >= coats
    return Step(
        id=f"finish {number}",
        operation="finish",
        station="finishing",
        verb=f"Coat {number} on",
        past=f"coat {number} on",
        mark=f"coat {number}",
        starts="dry" if last else "recoat",
        closes="recoat" if number > 1 else None,
        coat=number,
    )


@lru_cache(maxsize=256)  # every look at a clock of an item asks for the steps after it
def step_named(step_id: str) -> Step:
    """The step of an id, for a route that doesn't hold it any more; a step of its own where the id says nothing."""
    glue = next((step for step in _GLUE if step.id == step_id), None)
    if glue is not None:
        return glue
    word, *rest = step_id.split()
    if word in ("between", "finish") and rest and rest[0].isdecimal():
        return between(int(rest[0])) if word == "between" else _coat(int(rest[0]), int(rest[0]))
    if (word == "sand" and rest and rest[0].isdecimal()) or step_id in _PLAIN:
        return steps_for(step_id)[0]
    return Step(id=step_id, operation=step_id, station="bench", verb=step_id, past=step_id, mark=step_id)


EARLIER: dict[str, frozenset[str]] = {
    "cut": frozenset(),
    "rip": frozenset({"cut"}),
    "trim": frozenset({"cut"}),
    "taper": frozenset({"cut"}),
    "shape": frozenset({"cut"}),
    "drill": frozenset({"cut"}),
    "dry fit": frozenset({"cut"}),
    "glue": frozenset({"cut", "dry fit"}),
    "plug": frozenset({"drill"}),
    "sand": frozenset({"cut"}),
    "attach": frozenset({"dry fit"}),
    "finish": frozenset({"cut", "rip", "trim", "taper", "shape", "drill", "glue", "plug", "sand"}),
    "prove": frozenset({"glue", "attach"}),
}
"""What may follow what: the operations that, where a route holds them, must stand before this one."""


def kind_of(operation: str) -> str:
    """`sand 120` is a `sand`, `finish 2` a `finish`."""
    word = operation.split()[0]
    return word if word in ("sand", "finish") else operation
