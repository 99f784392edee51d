"""Wood in use: the air it lives in, how wide pieces are held, and what they carry, as the build file says it."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.measure import Length

FastenedBy = Literal["slots", "figure eights", "buttons", "groove", "inset", "screws", "glue"]


class Air(Struct, frozen=True, kw_only=True):
    """The air that the wood is worked in, and the driest and dampest it will live in: relative humidity in percent.

    `defaulted` names what the build file doesn't say.
    """

    shop: float = 50.0
    driest: float = 35.0
    dampest: float = 65.0
    celsius: float = 20.0
    defaulted: frozenset[str] = frozenset({"shop", "home", "temperature"})


class Fastened(Struct, frozen=True, kw_only=True):
    """How an assembly holds something wide that it joins, such as a top.

    `at` are the fasteners' distances from where it is held, across its grain; `shank` is the diameter of their screws,
    `arm` what a figure-eight fastener measures between its two screws. `depth` is that of the groove in which a panel
    floats; what is `inset` is a door or a drawer in its opening. `through` is the part whose pieces the screws go
    through, where places don't say it.
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
    """What lies on a part between its supports: kilograms, spread evenly or in the middle, over `span`."""

    on: str
    kilograms: float
    spread: Literal["even", "middle"] = "even"
    span: Length | None = None
    on_edge: bool = False
    """The part is on its edge, as a rail is: its width is what it is thick against the load."""
    years: bool = False
    line: int = 0
