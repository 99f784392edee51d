"""What a piece is made to, as plain values: stored with each step in the log, so that differences from a revised build
show.

A size is (what, value). Lengths are exact, as a fraction of a millimetre in digits (`600`, `1143/2`); others are words.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from fractions import Fraction

from tracker.design.feature import Feature, Haunch
from tracker.design.model import (
    Build,
    CornerJoint,
    EndCut,
    EndCuts,
    Hole,
    Lap,
    Part,
    RingJoint,
    SplayedLegJoint,
    Taper,
)
from tracker.design.one_blank import APART
from tracker.measure import Length, Mark, read_length
from tracker.words.spelling import spelled
from tracker.work.facts import Sizes
from tracker.work.operations import JOINERY, Step

LENGTHS = frozenset({"length", "width", "thickness", "blank", "height"})
_FIXED_BY: dict[str, tuple[str, ...]] = {
    "cut": ("wood", "thickness", "grain"),
    "rip": ("width",),
    "trim": ("length", "measured", "ends"),  # each end says so; it applies once all ends are trimmed
    "taper": ("tapers",),
    "shape": ("laps",),
    "drill": ("holes", "drill features"),
    **{operation: (f"{operation} features",) for operation in (*JOINERY, "profile")},
}
"""The sizes that each operation fixes."""


def sizes_of(build: Build, part: Part) -> dict[str, str]:
    """Every size of a part, by name."""
    sizes = {
        "name": part.name,
        "quantity": str(part.quantity),
        "hands": f"{part.left} left, {part.right} right" if part.left or part.right else "",
        "wood": build.wood(part.wood).species,
        "length": _sawn_length(part),
        "measured": part.measured,
        "allowance": _mm(part.allowance),
        "width": _mm(part.width),
        "thickness": _mm(part.thickness),
        "grain": part.grain,
        "ends": _ends(part),
        "tapers": "; ".join(map(_taper, part.tapers)),
        "holes": "; ".join(map(_hole, part.holes)),
        "laps": "; ".join(map(_lap, part.laps)),
    }
    for feature in part.features:
        what = f"{feature.operation} features"
        sizes[what] = "; ".join(each for each in (sizes.get(what, ""), _feature(feature)) if each)
    return {what: value for what, value in sizes.items() if value}


def all_sizes(build: Build) -> dict[str, dict[str, str]]:
    """The sizes of every part, by its id."""
    return {part.id: sizes_of(build, part) for part in build.parts}


def digest(sizes: Mapping[str, Mapping[str, str]], joins: object = ()) -> str:
    """Sixteen characters that change when any size or any joint list changes."""
    words = json.dumps([{part: sorted(each.items()) for part, each in sizes.items()}, joins], ensure_ascii=False)
    return hashlib.sha256(words.encode("utf-8", "surrogatepass")).hexdigest()[:16]


def fixed_sizes(sizes: Mapping[str, str], step: Step, route: tuple[Step, ...]) -> Sizes:
    """What a step makes a piece to: for a blank that is trimmed later, its length."""
    operations = {each.operation for each in route}
    fixed = list(_FIXED_BY.get(step.operation, ()))
    found = {}
    if step.id == (APART if any(each.id == APART for each in route) else "cut"):
        fixed += [what for later in ("rip", "trim") if later not in operations for what in _FIXED_BY[later]]
        if "trim" in operations and "length" in sizes:
            found["blank"] = str(Fraction(sizes["length"]) + Fraction(sizes.get("allowance", "0")))
    found |= {what: sizes[what] for what in fixed if what in sizes}
    return tuple(sorted(found.items()))


def words(what: str, value: str, mark: Mark) -> str:
    """A size in words, on this shop's tape."""
    if what in LENGTHS or what == "allowance":
        return read_length(Length(Fraction(value)), mark).text if value else "none"
    return spelled(value, mark.units) or "none"


_SPLAYED = re.compile(r"splayed leg (?P<height>[0-9.e+]+) mm high, (?P<angles>.*)")
"""The ends of a splayed leg, as `_ends` says them."""


def height_alone(was: str, now: str) -> tuple[str, str] | None:
    """The two heights of a splayed leg whose ends differ in nothing else, as fractions of a millimetre in digits; None
    for other ends."""
    before, after = _SPLAYED.fullmatch(was), _SPLAYED.fullmatch(now)
    if before is None or after is None or before["angles"] != after["angles"]:
        return None
    return before["height"], after["height"]


def _mm(length: Length | None) -> str:
    return "" if length is None else str(length.mm)


def _sawn_length(part: Part) -> str:
    """The length to which the piece is sawn, including its tenons."""
    if part.length is None:
        return ""
    tenons = {feature.on: feature.length for feature in part.features if feature.kind == "tenon" and feature.length}
    return str(part.length.mm + sum(length.mm for length in tenons.values()))


def _feature(feature: Feature) -> str:
    """Everything that the file says about a feature, except its line: `mortise on near, from A 20 mm, length 40 mm`."""
    said = [f"{feature.kind} on {feature.on}"]
    for key in feature.__struct_fields__:
        value = getattr(feature, key)
        if key in ("kind", "on", "line", "tool", "fits", "play") or not value or value == 1:
            continue
        if isinstance(value, Length):
            said.append(f"{key} {float(value):.5g} mm")
        elif isinstance(value, tuple):
            said += [f"{key} {_pair(each)}" for each in value]
        elif isinstance(value, Haunch):
            said.append(f"haunch {value.edge} {float(value.length):.5g} mm")
        elif key not in ("row", "long_face") or value not in ("along", "top"):
            said.append(f"{key} {value:.4g}" if isinstance(value, float) else f"{key} {value}")
    return ", ".join(said)


def _pair(each: tuple[str, Length | float | str]) -> str:
    name, value = each
    if isinstance(value, Length):
        return f"{name} {float(value):.5g} mm"
    return f"{name} {value}" if isinstance(value, str) else f"{name} {value:.4g}°"


def _ends(part: Part) -> str:
    match part.ends:
        case EndCuts(a=a, b=b):
            return f"A {_end(a)}, B {_end(b)}"
        case RingJoint(sides=sides, lean=lean, butted=butted):
            return f"ring of {sides} leaning {lean:.4g}°{', butted' if butted else ''}"
        case CornerJoint(angle=angle, lean=lean, butted=butted):
            return f"corner of {angle:.4g}° leaning {lean:.4g}°{', butted' if butted else ''}"
        case SplayedLegJoint(height=height, front=front, side=side):
            return f"splayed leg {float(height):.5g} mm high, {front:.4g}° in front, {side:.4g}° at the side"


def _end(cut: EndCut) -> str:
    if cut.square:
        return "square"
    miter = f"{cut.miter:.4g}° mitre, long at the {cut.long} edge" if cut.miter else ""
    bevel = f"{cut.bevel:.4g}° bevel, long on the {cut.long_face} face" if cut.bevel else ""
    return " and ".join(each for each in (miter, bevel) if each)


def _taper(taper: Taper) -> str:
    given = (("from", taper.start), ("over", taper.length), ("to", taper.leave))
    lengths = [f"{word} {float(length):.5g} mm" for word, length in given if length is not None]
    angle = [f"at {taper.angle:.4g}°"] if taper.angle is not None else []
    return " ".join([f"{taper.edges} edge tapered toward end {taper.end}", *lengths, *angle])


def _hole(hole: Hole) -> str:
    places = ", ".join(f"{float(place):.5g}" for place in hole.from_edge)
    rest = (
        ("from end", hole.from_end), ("diameter", hole.diameter), ("depth", hole.depth), ("length", hole.fastener),
        ("recess", hole.recess), ("plug", hole.plug_diameter), ("from face", hole.from_face), ("bore", hole.bore),
        ("shoulder", hole.shoulder),
    )  # fmt: skip
    more = "".join(f", {word} {float(length):.5g} mm" for word, length in rest if length is not None)
    gauge = f", No. {hole.gauge}" if hole.gauge is not None else ""
    return f"{hole.kind} at end {hole.end}, {places} mm from the edge, {hole.face} face{more}{gauge}"


def _lap(lap: Lap) -> str:
    return f"lap for {lap.crosses} {float(lap.from_end):.5g} mm from end {lap.end}, {lap.angle:.4g}°, {lap.face} face"
