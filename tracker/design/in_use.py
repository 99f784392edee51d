"""Wood in use, as the build file describes it: the air it lives in, how wide pieces are held, and what they carry."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.measure import Length

FastenedBy = Literal["slots", "figure eights", "buttons", "groove", "inset", "screws", "glue"]


class Air(Struct, frozen=True, kw_only=True):
    """Relative humidity, in percent: in the workshop, and the driest and dampest air the wood will live in.

    `defaulted` names the values that the build file doesn't give.
    """

    shop: float = 50.0
    driest: float = 35.0
    dampest: float = 65.0
    celsius: float = 20.0
    defaulted: frozenset[str] = frozenset({"shop", "home", "temperature"})


class Fastened(Struct, frozen=True, kw_only=True):
    """How an assembly holds a wide piece that it joins, such as a top.

    `at` holds the fasteners' distances, across the grain, from the line where the piece is held. `shank` is the
    diameter of their screws; `arm` is the distance between the two screws of a figure-eight fastener. `depth` is the
    depth of the groove in which a panel floats. `inset` means a door or a drawer in its opening. `through` is the part
    whose pieces the screws go through, where places don't say so.
    """

    id: str
    by: FastenedBy
    at: tuple[Length, ...] = ()
    shank: Length | None = None
    arm: Length | None = None
    depth: Length | None = None
    through: str = ""
    line: int = 0


class Load(Struct, frozen=True, kw_only=True):
    """A load on a part between its supports: kilograms, spread evenly or in the middle, over `span`."""

    on: str
    kilograms: float
    spread: Literal["even", "middle"] = "even"
    span: Length | None = None
    on_edge: bool
    """The part is on edge, like a rail: its width is the depth that resists the load."""
    years: bool
    line: int
