"""Sides, hands, ways and angles in words: files, plans and records have ids for them, which are never translated."""

from __future__ import annotations

from tracker.words import say, say_as

_SIDES = {
    "near": say_as("which side", "near"),
    "far": say_as("which side", "far"),
    "top": say_as("which side", "top"),
    "bottom": say_as("which side", "bottom"),
    "left": say_as("which side", "left"),
    "right": say_as("which side", "right"),
    "front": say_as("which side", "front"),
    "back": say_as("which side", "back"),
    "faces": say_as("which side", "faces"),
    "edges": say_as("which side", "edges"),
    "ends": say_as("which side", "ends"),
    "near edge": say("near edge"),
    "far edge": say("far edge"),
    "top face": say("top face"),
    "bottom face": say("bottom face"),
    "end A": say("end A"),
    "end B": say("end B"),
    "left of the blade": say("left of the blade"),
    "right of the blade": say("right of the blade"),
    "toward you": say("toward you"),
}


def side(word: str | None) -> str:
    """The word for a side: of a piece (`near`, `top face`), of a blade (`left`), of a panel (`back`); none for None."""
    return _SIDES.get(word, word) if word else ""


def turned(motion: str, way: str) -> str:
    """How a saw is turned: `swing left`, `tilt right`; `swing` where it is only said how far."""
    if way in ("left", "right"):
        if motion == "swing":
            return say("swing left") if way == "left" else say("swing right")
        return say("tilt left") if way == "left" else say("tilt right")
    return say_as("of a saw", "swing") if motion == "swing" else say_as("of a saw", "tilt")


def turned_by(motion: str, angle: str, way: str) -> str:
    """The same with the angle, `5.7`: `swing 5.7° left`."""
    if way in ("left", "right"):
        if motion == "swing":
            return (
                say("swing {angle}° left", angle=angle) if way == "left" else say("swing {angle}° right", angle=angle)
            )
        return say("tilt {angle}° left", angle=angle) if way == "left" else say("tilt {angle}° right", angle=angle)
    return say("swing {angle}°", angle=angle) if motion == "swing" else say("tilt {angle}°", angle=angle)
