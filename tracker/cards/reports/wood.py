"""What the wood of a build will do, as plain data and as sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tracker.design.model import Build
from tracker.measure import Length, read_length
from tracker.measure.spelling import spelled
from tracker.plan.place import Placer
from tracker.plan.wood import Assessment, assess, slanted_fields, standing
from tracker.plan.wood.bending import LIMIT
from tracker.plan.wood.standing import GRAVITY

FREE_BOARDS = (
    "Movement is that of boards free to move, in slow changes of the air; a finish delays it, it doesn't stop it."
)
BY_ARITHMETIC = "Weight, tipping and sag are by arithmetic: try it, low and with care."
POUND = 0.45359237
"""Kilograms (international yard and pound agreement, 1959)."""


def wood_report(build: Build, placer: Placer) -> dict[str, Any]:
    """The contract of `kerfcard wood --json`: air, emc (percent), movements, slots, mitres, held, fields, sag, tips and
    notes. Lengths in mm under `_mm`, loads in N under `_n`. Raises PlaceError for a wrong place."""
    found = assess(build)
    air, seasons = build.air, found.seasons
    tips = _tips(build, placer)
    return {
        "build": build.name,
        "air": {
            "shop_percent": air.shop,
            "home_percent": [air.driest, air.dampest],
            "celsius": air.celsius,
            "defaulted": sorted(air.defaulted),
        },
        "emc": {name: round(getattr(seasons, name), 3) for name in ("shop", "dry", "damp")},
        **_moving(found),
        "fields": [
            {
                "of": each.assembly,
                "angle_deg": round(each.angle, 3),
                "along_mm": _mm(each.along),
                "across_mm": _mm(each.across),
                "held_by": each.held,
            }
            for each in slanted_fields(build, placer)
        ],
        "sag": [
            {
                "on": each.on,
                "span_mm": _mm(each.span),
                "now_mm": _mm(each.now),
                "years_mm": _mm(each.years),
                "held_now_mm": _mm(each.held_now),
            }
            for each in found.sags
        ],
        "tips": tips,
        "notes": list(_notes(found, tips)),
    }


def _moving(found: Assessment) -> dict[str, Any]:
    return {
        "movements": [
            {
                "of": each.of,
                "width_mm": _mm(each.width),
                "dry_mm": _mm(each.dry),
                "damp_mm": _mm(each.damp),
                "source": each.source,
                "certain": each.certain,
            }
            for each in found.movements
        ],
        "slots": [
            {
                "of": each.of,
                "by": each.by,
                "at_mm": _mm(each.at),
                "length_mm": _mm(each.length),
                "screw_from_inner_end_mm": _mm(each.screw_from_inner_end),
                "enough": each.enough,
            }
            for each in found.slots
        ],
        "mitres": [{"of": each.of, "gap_mm": _mm(each.gap), "where": each.where} for each in found.mitres],
        "held": [
            {"of": each.of, "moves_mm": _mm(each.moves), "verdict": each.verdict, "widest_mm": _mm(each.widest)}
            for each in found.held
        ],
    }


def _tips(build: Build, placer: Placer) -> list[dict[str, Any]]:
    return [
        {
            "assembly": each.assembly,
            "weight_kg": round(each.mass.kg, 3),
            "centre_mm": [_mm(value) for value in each.mass.centre],
            "edge": each.edge,
            "load_n": None if each.load is None else round(each.load, 2),
            "rocks": each.rocks,
        }
        for each in standing(build, placer)
    ]


def _notes(found: Assessment, tips: list[dict[str, Any]]) -> Iterator[str]:
    for name in found.unknown:
        yield f"{name} isn't in the wood table: nothing is said of it."
    if found.outside_range:
        yield "Some of this air leads outside 6 to 14 %, where the handbook's figures hold: less certain there."
    for each in tips:
        if each["rocks"]:
            yield f"{each['assembly']} rocks: fewer than three feet are level."
    yield FREE_BOARDS
    yield BY_ARITHMETIC


def wood_lines(build: Build, report: dict[str, Any]) -> Iterator[str]:
    """The same as sentences, in the build's own units."""
    emc, air = report["emc"], report["air"]
    default = " (defaults: say your own air under [air])" if len(air["defaulted"]) == 3 else ""
    yield (
        f"Made at {emc['shop']:.1f} % moisture ({air['shop_percent']:g} % air), "
        f"will live between {emc['dry']:.1f} and {emc['damp']:.1f} %{default}."
    )
    for each in report["movements"]:
        moves = _small(build, each["damp_mm"] - each["dry_mm"])
        wide = _read(build, each["width_mm"])
        yield f"{each['of']}, {wide} across the grain: moves {moves} between the seasons ({each['certain']})."
    for each in report["slots"]:
        yield f"{each['of']}, {_read(build, abs(each['at_mm']))} from where it is held: {_fastener(build, each)}."
    for each in report["held"]:
        if each["verdict"] != "fine":
            yield _held_solid(build, each)
    for each in report["mitres"]:
        gap = _small(build, each["gap_mm"])
        mitres = spelled("mitres", build.units)
        yield f"{each['of']}: its {mitres} would open up to {gap} on the {each['where']}."
    for each in report["fields"]:
        holder = f", and {each['held_by']} holds it: make it thin, or let it float" if each["held_by"] else ""
        yield f"{each['of']}: wants to grow {_small(build, each['along_mm'])} lengthwise{holder}."
    for each in report["sag"]:
        yield _sags(build, each)
    for each in report["tips"]:
        yield _stands(build, each)
    yield from report["notes"]


def _fastener(build: Build, each: dict[str, Any]) -> str:
    if each["by"] == "slots":
        long, inner = _small(build, each["length_mm"]), _small(build, each["screw_from_inner_end_mm"])
        return f"a slot {long} long, the screw {inner} from its inner end"
    if each["by"] == "buttons":
        return f"a groove {_small(build, each['length_mm'])} deeper than the tongue"
    return "a figure eight follows" if each["enough"] else "a figure eight does not follow: use slots"


def _held_solid(build: Build, each: dict[str, Any]) -> str:
    ask = "it must not be held solid" if each["verdict"] == "no" else "take care"
    moves, widest = _small(build, each["moves_mm"]), _read(build, each["widest_mm"])
    return f"{each['of']} wants to move {moves}: {ask} (up to {widest} wide is common practice)."


def _sags(build: Build, each: dict[str, Any]) -> str:
    usual = each["span_mm"] * LIMIT
    more = f"; {_small(build, usual)} is the usual most" if each["years_mm"] > usual else ""
    now, years = _small(build, each["now_mm"]), _small(build, each["years_mm"])
    return f"{each['on']}: sags {now} at once, {years} in years{more}."


def _stands(build: Build, each: dict[str, Any]) -> str:
    weight = f"{each['assembly']} weighs {_weight(build, each['weight_kg'])}"
    if each["load_n"] is None:
        return f"{weight}; no load near its rim tips it."
    return f"{weight}; {_weight(build, each['load_n'] / GRAVITY)} near its {each['edge']} rim tips it."


def _read(build: Build, millimetres: float) -> str:
    return read_length(Length.of(millimetres, "mm"), build.shop.mark).plain


def _small(build: Build, millimetres: float) -> str:
    """A movement, to a tenth of a millimetre, or to the tape's marks in inches."""
    if build.units == "mm":
        return f"{abs(millimetres):.1f} mm"
    read = read_length(Length.of(abs(millimetres), "mm"), build.shop.mark).plain
    return f"under {read_length(build.shop.mark.length, build.shop.mark).plain}" if read == '0"' else read


def _weight(build: Build, kilograms: float) -> str:
    return f"{kilograms / POUND:.0f} lb" if build.units == "in" else f"{kilograms:.1f} kg"


def _mm(value: float) -> float:
    return round(value, 4) + 0.0
