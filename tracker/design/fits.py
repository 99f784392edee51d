"""Mating features: a tenon in its mortise, a tongue in a groove, a dowel in its hole. Their sizes must agree; a missing
one follows from the other."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import cos, radians

from msgspec.structs import replace

from tracker.design.feature import Feature
from tracker.design.model import Part
from tracker.design.name_lookup import nearest
from tracker.design.toml.table import Page
from tracker.measure import Length
from tracker.words import say

_MATE = re.compile(r"(?P<part>[A-Za-z0-9_-]{1,32})\.(?P<kind>[a-z]+) (?P<number>[1-9][0-9]{0,3})\Z")
NO_PLAY = Length(Fraction(0))
SIZES: dict[tuple[str, str], tuple[tuple[str, str], ...]] = {
    ("tenon", "mortise"): (("width", "length"), ("thickness", "width")),
    ("tenon", "groove"): (("thickness", "width"),),
    ("tenon", "dado"): (("thickness", "width"),),
    ("dowel", "dowel"): (("diameter", "diameter"),),
    ("dowel", "bore"): (("diameter", "diameter"),),
    ("bolt", "bore"): (("diameter", "diameter"),),
}
"""For each (inserted, receiving) pair of kinds: which size of the first matches which size of the second."""


def with_mates(page: Page, parts: Sequence[Part]) -> tuple[Part, ...]:
    """The parts with missing sizes filled in from the features they fit. Reports what doesn't fit, with both lines."""
    if not any(feature.fits for part in parts for feature in part.features):
        return tuple(parts)
    found = []
    for part in parts:
        features = tuple(_mated(page, part, feature, parts) for feature in part.features)
        found.append(replace(part, features=features))
    return tuple(found)


def _mated(page: Page, part: Part, feature: Feature, parts: Sequence[Part]) -> Feature:
    if not feature.fits:
        return feature
    named = f"{part.name}: {feature.kind}"
    mate = _mate(page, named, feature, parts)
    if mate is None:
        return feature
    pairs = SIZES.get((feature.kind, mate.kind))
    if pairs is None:
        page.say(feature.line, f"{named} can't fit a {mate.kind} (line {mate.line})", _what_fits(feature.kind))
        return feature
    play = feature.play or NO_PLAY
    for mine, theirs in pairs:
        room = _room(mate, theirs)
        own = getattr(feature, mine)
        if room is None:
            continue
        if own is None:
            if room <= play:
                page.say(feature.line, f"{named}: its play leaves nothing of the {mate.kind}'s {theirs}")
                continue
            feature = replace(feature, **{mine: room - play})
        elif not NO_PLAY <= room - own <= play:
            page.say(feature.line, *_off(named, mine, own, mate, theirs, room))
    return _deep_enough(page, named, feature, mate)


def _room(mate: Feature, size: str) -> Length | None:
    """A size of the receiving feature. Where that leans, it is measured square to the way in, not along its side."""
    room: Length | None = getattr(mate, size)
    along = ("A", "B") if mate.on not in ("A", "B") else ("near", "far")
    for side, angle in mate.lean:
        if room is not None and mate.kind == "mortise" and (side in along) == (size == "length"):
            room = Length(Fraction(float(room) * cos(radians(angle))).limit_denominator(10**7))
    return room


def _off(named: str, mine: str, own: Length, mate: Feature, theirs: str, room: Length) -> tuple[str, str]:
    by, way = (own - room, "more") if own > room else (room - own, "less")
    what = say(
        "{named}: its {mine} is {by:.4g} mm {way} than the {theirs} of the {kind} on line {line}",
        named=named,
        mine=mine,
        by=float(by),
        way=way,
        theirs=theirs,
        kind=mate.kind,
        line=mate.line,
    )
    return what, say("leave it out, and it follows; or say how much play there is")


def _deep_enough(page: Page, named: str, feature: Feature, mate: Feature) -> Feature:
    """A tenon may not be longer than its mortise is deep. A tenon without a length gets the depth of its mortise."""
    if feature.kind != "tenon":
        return feature
    if feature.length is None and mate.depth is not None:
        return replace(feature, length=mate.depth)
    if feature.length is None:
        page.say(feature.line, f"{named}: its length is missing", "it goes through: the length doesn't follow")
    elif mate.depth is not None and feature.length > mate.depth:
        what = say(
            "{named} is longer than the {kind} on line {line} is deep", named=named, kind=mate.kind, line=mate.line
        )
        page.say(feature.line, what, f"by {float(feature.length - mate.depth):.4g} mm")
    return feature


def _mate(page: Page, named: str, feature: Feature, parts: Sequence[Part]) -> Feature | None:
    written = _MATE.match(feature.fits)
    if written is None:
        page.say(feature.line, f"{named}: fits: '{feature.fits}' names no feature", 'such as "stile.mortise 1"')
        return None
    other = next((each for each in parts if each.id == written["part"]), None)
    if other is None:
        hint = nearest(written["part"], [each.id for each in parts])
        page.say(feature.line, f"{named}: fits: no part is called '{written['part']}'", hint)
        return None
    alike = list(_each(other, written["kind"]))
    if int(written["number"]) > len(alike):
        has = (
            say("{other} has {count} of them", other=other.name, count=len(alike))
            if alike
            else say("{other} has no {kind}", other=other.name, kind=written["kind"])
        )
        page.say(feature.line, f"{named}: fits: there is no {feature.fits}", has)
        return None
    return alike[int(written["number"]) - 1]


def _each(part: Part, kind: str) -> Iterator[Feature]:
    for feature in part.features:
        if feature.kind == kind:
            yield from [feature] * feature.count


def _what_fits(kind: str) -> str:
    into = [theirs for mine, theirs in SIZES if mine == kind]
    return say("it fits a {into}", into=", a ".join(into)) if into else say("tenons, dowels and bolts fit something")
