"""The joinery of a piece in a few words, for its label: what to cut into it, and where."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.cards.piece.features import SIDE_WORDS, features_on
from tracker.cards.words import capital
from tracker.design.feature import Feature
from tracker.design.model import Hand, Part
from tracker.words import say, say_many


def joinery_words(part: Part, hand: Hand | None) -> tuple[str, ...]:
    """Lines to choose from, the longest first: `2 tenons end A, end B · groove near edge`, then `2 tenons · groove`.

    The kinds are in the order of the file, half-laps last; no line for a piece without joinery.
    """
    counts: dict[str, int] = {}
    sides: dict[str, dict[str, None]] = {}
    for shape in features_on(part, hand):
        kind = _kind(shape.feature)
        counts[kind] = counts.get(kind, 0) + 1
        sides.setdefault(kind, {}).update(dict.fromkeys(_sides(shape.feature)))
    if part.laps:
        counts["half-lap"] = len(part.laps)
        sides["half-lap"] = dict.fromkeys(SIDE_WORDS[lap.face] for lap in part.laps)
    if not counts:
        return ()
    with_sides = (f"{_counted(kind, count)} {', '.join(sides[kind])}" for kind, count in counts.items())
    return tuple(capital(" · ".join(line)) for line in (with_sides, [_counted(*each) for each in counts.items()]))


def _kind(feature: Feature) -> str:
    return feature.shape if feature.kind == "profile" else feature.kind


def _sides(feature: Feature) -> Iterator[str]:
    """The sides that the feature is on; for a profile, its edges."""
    if feature.kind != "profile":
        yield SIDE_WORDS[feature.on]
        return
    for edge, face in feature.edges:
        yield say("{edge} {face}", edge=SIDE_WORDS[edge] if edge in ("A", "B") else edge, face=face)


def _counted(kind: str, count: int) -> str:
    if count == 1 or kind in _PROFILES:
        return _ONE[kind]
    many = {
        "notch": say_many("{count} notch", "{count} notches", count),
        "mortise": say_many("{count} mortise", "{count} mortises", count),
        "tenon": say_many("{count} tenon", "{count} tenons", count),
        "groove": say_many("{count} groove", "{count} grooves", count),
        "dado": say_many("{count} dado", "{count} dadoes", count),
        "rabbet": say_many("{count} rabbet", "{count} rabbets", count),
        "bore": say_many("{count} bore", "{count} bores", count),
        "dowel": say_many("{count} dowel hole", "{count} dowel holes", count),
        "bolt": say_many("{count} bolt hole", "{count} bolt holes", count),
        "counterbore": say_many("{count} counterbore", "{count} counterbores", count),
        "slot": say_many("{count} slot", "{count} slots", count),
        "bevel": say_many("{count} bevel", "{count} bevels", count),
        "half-lap": say_many("{count} half-lap", "{count} half-laps", count),
    }[kind]
    return many.replace(" ", NO_BREAK, 1)


NO_BREAK = "\u00a0"
"""A no-break space after the number keeps it on the line of what it counts."""
_PROFILES = frozenset({"chamfer", "round over", "cove"})
"""Profiles are cut along edges, and one row may name several: the edges tell how many there are."""
_ONE = {
    "notch": say("notch"), "mortise": say("mortise"), "tenon": say("tenon"), "groove": say("groove"),
    "dado": say("dado"), "rabbet": say("rabbet"), "bore": say("bore"), "dowel": say("dowel hole"),
    "bolt": say("bolt hole"), "counterbore": say("counterbore"), "slot": say("slot"), "bevel": say("bevel"),
    "chamfer": say("chamfer"), "round over": say("round over"), "cove": say("cove"), "half-lap": say("half-lap"),
}  # fmt: skip
