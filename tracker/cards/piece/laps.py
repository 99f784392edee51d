"""A half-lap in words: where its trench is, how wide and deep it is, and which way its shoulders run."""

from __future__ import annotations

from tracker.design.model import Build
from tracker.measure import read_angle, read_length
from tracker.plan.laps import LapShape
from tracker.words import say
from tracker.words.sides import side


def lap_words(build: Build, lap: LapShape) -> str:
    """`Half-lap for Rail, top face: 4″ from end A along the near edge, 2″ wide, 3⁄8″ deep, square across`."""
    place, along, depth = (
        read_length(each, build.shop.mark).text for each in (lap.from_end, lap.along, lap.depth)
    )  # fmt: skip
    other = "far" if lap.edge == "near" else "near"
    run = say(
        "shoulders {miter}° from square, away from end {end} toward the {other} edge",
        miter=read_angle(lap.miter),
        end=lap.end,
        other=side(other),
    )
    return (
        say(
            (
                "Half-lap for {part}, {face} face: {place} from end {end} along the {edge} edge, {along} wide, "
                "{depth} deep, {run}"
            ),
            part=build.part(lap.crosses).name,
            face=side(lap.face),
            place=place,
            end=lap.end,
            edge=side(lap.edge),
            along=along,
            depth=depth,
            run=run,
        )
        if lap.miter
        else say(
            (
                "Half-lap for {part}, {face} face: {place} from end {end} along the {edge} edge, {along} wide, "
                "{depth} deep, square across"
            ),
            part=build.part(lap.crosses).name,
            face=side(lap.face),
            place=place,
            end=lap.end,
            edge=side(lap.edge),
            along=along,
            depth=depth,
        )
    )
