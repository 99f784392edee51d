"""A half-lap in words: where its trench lies, how wide and deep it is, and which way its shoulders run."""

from __future__ import annotations

from tracker.design.model import Build
from tracker.measure import read_angle, read_length
from tracker.plan.laps import LapShape


def lap_words(build: Build, lap: LapShape) -> str:
    """`Half-lap for Rail, top face: 4″ from end A along the near edge, 2″ wide, 3⁄8″ deep, square across`."""
    place, along, depth = (
        read_length(each, build.shop.mark).text for each in (lap.from_end, lap.along, lap.depth)
    )  # fmt: skip
    other = "far" if lap.edge == "near" else "near"
    run = f"shoulders {read_angle(lap.miter)}° from square, away from end {lap.end} toward the {other} edge"
    return (
        f"Half-lap for {build.part(lap.crosses).name}, {lap.face} face: {place} from end {lap.end} along the "
        f"{lap.edge} edge, {along} wide, {depth} deep, {run if lap.miter else 'square across'}"
    )
