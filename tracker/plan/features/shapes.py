"""Each feature of one piece in space, in the frame of `plan.shape` (mm): the wood it removes.

Flat-walled features are convex regions bounded by planes, round ones are cylinders. For a right-hand piece near and far
have already been swapped.
"""

from __future__ import annotations

from collections.abc import Callable
from math import radians, tan

from msgspec.structs import replace

from tracker.design.feature import Feature, FeatureSide
from tracker.design.model import Hand, Part
from tracker.plan.features.edges import bevel, notch, profile
from tracker.plan.features.feature_shape import FeatureShape
from tracker.plan.features.grooves import dado, groove, rabbet
from tracker.plan.features.mortise_and_tenon import mortise, tenon
from tracker.plan.features.placing import length_of
from tracker.plan.features.round_holes import bore
from tracker.plan.shape import Solid

_MAKE: dict[str, Callable[[Feature, int, Solid], FeatureShape]] = {
    "notch": notch, "mortise": mortise, "tenon": tenon, "groove": groove, "dado": dado, "rabbet": rabbet,
    "bore": bore, "dowel": bore, "bolt": bore, "counterbore": bore, "slot": mortise, "profile": profile,
    "bevel": bevel,
}  # fmt: skip


def features_of(part: Part, solid: Solid) -> tuple[FeatureShape, ...]:
    """Every feature of the piece with this solid, in the order of the file."""
    counts: dict[str, int] = {}
    bevelled = {"top": 0.0, "bottom": 0.0}
    found = []
    for row, feature in enumerate(part.features):
        own = _of_hand(feature, solid.hand)
        for which in range(own.count):
            number = counts[own.kind] = counts.get(own.kind, 0) + 1
            shape = _MAKE[own.kind](own, which, solid)
            if own.kind == "bevel" and not solid.tapers:  # both edges of a stave: the second one has less wood
                bevelled[own.long_face] += tan(radians(own.angle)) * float(solid.thickness)
                left = ("narrow face", length_of(float(solid.width) - bevelled[own.long_face]))
                shape = replace(shape, numbers=(*shape.numbers, left))
            found.append(replace(shape, row=row, which=which, name=f"{own.kind} {number}"))
    return tuple(found)


def _of_hand(feature: Feature, hand: Hand | None) -> Feature:
    """The feature as it is on the piece of this hand."""
    if hand != "right":
        return feature
    over: dict[FeatureSide, FeatureSide] = {"near": "far", "far": "near"}

    def side(name: FeatureSide) -> FeatureSide:
        return over.get(name, name)

    haunch = feature.haunch
    return replace(
        feature, on=side(feature.on), edge=side(feature.edge) if feature.edge else None,
        at=tuple((side(name), value) for name, value in feature.at),
        toward=tuple((side(name), value) for name, value in feature.toward),
        stop=tuple((side(name), value) for name, value in feature.stop),
        lean=tuple((side(name), value) for name, value in feature.lean),
        edges=tuple((side(edge), face) for edge, face in feature.edges),
        haunch=replace(haunch, edge=side(haunch.edge)) if haunch else None,
        angle=-feature.angle if feature.kind == "dado" else feature.angle,
    )  # fmt: skip
