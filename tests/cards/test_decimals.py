"""The numbers of the commands' JSON have the decimals that their reports promise: no more, and not fewer.

A millimetre has six in lists of parts, four where it is the result of a search in space or of a model; a percentage
and a weight three, an area two.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

from tracker.cards.reports.picture import picture_report
from tracker.cards.reports.pieces import cards_report
from tracker.cards.reports.screws import screws_report
from tracker.cards.reports.setups import setups_report
from tracker.cards.reports.template import template_report
from tracker.cards.reports.wood import wood_report
from tracker.cards.template.outline_card import found, template_choices
from tracker.design.model import Build
from tracker.plan.place import Placer
from tracker.plan.setups import piece_by_piece_resets, plan_setups
from tracker.shop import read_build
from tracker.work.run import start_run

TESTS = Path(__file__).parents[1]
SIX = ("from_end_mm", "axis", "corners_mm", "bodies_mm", "size_mm", "enters_mm", "leaves_mm", "length_mm",
       "left_over_mm", "miter_deg", "bevel_deg", "set_mm", "check_mm", "stop_mm", "angle_deg", "swing_deg", "tilt_deg",
       "overall", "middle")  # fmt: skip
FOUR = ("clearance_mm", "moves_mm", "dry_mm", "damp_mm", "perimeter_mm", "widest_mm", "at_mm", "inside_radius_mm",
        "gap_mm", "centre_mm", "edges_mm", "seams_mm", "now_mm", "years_mm")  # fmt: skip
THREE = ("weight_kg", "net_volume_mm3", "shop", "dry", "damp")
TWO = ("area_mm2", "waste_mm2", "off_grain_deg")


def built(path: str) -> Build:
    loaded = read_build(TESTS / path)
    assert loaded.build is not None, loaded.problems
    return loaded.build


def numbers(value: object, key: str = "") -> Iterator[tuple[str, float]]:
    if isinstance(value, float):
        yield key, value
    elif isinstance(value, dict):
        for name, each in value.items():
            yield from numbers(each, name)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from numbers(each, key)


def decimals(*reports: object) -> dict[str, int]:
    """The most decimals of the numbers under each key."""
    most: dict[str, int] = defaultdict(int)
    for key, value in (pair for report in reports for pair in numbers(report)):
        most[key] = max(most[key], len(f"{value:.9f}".rstrip("0").partition(".")[2]))
    return most


def reports(build: Build) -> Iterator[tuple[str, object]]:
    placer = Placer(build)
    yield "cards", cards_report(start_run(build))
    yield "setups", setups_report(build, plan_setups(build), piece_by_piece_resets(build))
    yield "screws", screws_report(build)
    yield "wood", wood_report(build, placer)
    yield "picture", picture_report(build, placer)
    for choice in template_choices(build)[:3]:
        yield "template", template_report(build, found(build, choice.id))


@pytest.fixture(scope="module")
def most() -> dict[str, dict[str, int]]:
    by: dict[str, list[object]] = defaultdict(list)
    for path in (
        "samples/kept/hall_bench.toml",
        "said/builds/rough_mm.toml",
        "said/builds/outlines.toml",
        "said/builds/joints.toml",
    ):
        for name, report in reports(built(path)):
            by[name].append(report)
    return {name: decimals(*all_) for name, all_ in by.items()}


@pytest.mark.parametrize(("keys", "count"), [(SIX, 6), (FOUR, 4), (THREE, 3), (TWO, 2)])
def test_every_number_has_its_decimals(most: dict[str, dict[str, int]], keys: tuple[str, ...], count: int) -> None:
    other = {"template": {"size_mm": 4, "at_mm": 4}, "wood": {"length_mm": 4}}
    for report, found_ in most.items():
        for key in keys:
            if key in found_:
                wanted = other.get(report, {}).get(key, count)
                assert found_[key] <= wanted, (report, key)
    reached = {key for key in keys if max(found_.get(key, 0) for found_ in most.values()) == count}
    assert reached == set(keys), set(keys) - reached
