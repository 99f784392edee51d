"""What the wood of a build will do, as plain data and as sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tracker.cards.wood.words import WoodWords
from tracker.design.model import Build
from tracker.plan.place import Placer
from tracker.plan.wood import Assessment, assess, held_by_contact, slanted_fields, stands
from tracker.plan.wood.bending import LIMIT
from tracker.plan.wood.stability import GRAVITY
from tracker.words import say
from tracker.words.spelling import spelled

FREE_BOARDS = say(
    "Movement is that of boards free to move, in slow changes of the air; a finish delays it, it doesn't stop it."
)
BY_ARITHMETIC = say("Weight, tipping and sag are by arithmetic: try it, low and with care.")


def wood_report(build: Build, placer: Placer) -> dict[str, Any]:
    """The output of `kerfcard wood --json`: air, emc (percent), movements, slots, mitres, held, gaps, fields, sag, tips
    and notes. Lengths in mm under `_mm`, loads in N under `_n`. Raises PlaceError for a wrong place."""
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
        **_moving(build, found),
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


def _moving(build: Build, found: Assessment) -> dict[str, Any]:
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
            {
                "of": each.of,
                "to": each.to,
                "by": each.by,
                "moves_mm": _mm(each.moves),
                "verdict": each.verdict,
                "widest_mm": _mm(each.widest),
                "certain": each.certain,
            }
            for each in (*found.held, *held_by_contact(build))
        ],
        "gaps": [
            {
                "of": each.of,
                "by": each.by,
                "gap_mm": _mm(each.gap),
                "stays_mm": None if each.stays is None else _mm(each.stays),
                "enough": each.enough,
                "certain": each.certain,
            }
            for each in found.gaps
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
        for each in stands(build, placer)
    ]


def _notes(found: Assessment, tips: list[dict[str, Any]]) -> Iterator[str]:
    for name in found.unknown:
        yield say("{name} isn't in the wood table: nothing is said of it.", name=name)
    for name in found.sheets:
        yield say("{name} comes in sheets: what those move isn't known here.", name=name)
    if found.outside_range:
        yield say("Some of this air leads outside 6 to 14 %, where the handbook's figures hold: less certain there.")
    for each in tips:
        if each["rocks"]:
            yield say("{assembly} rocks: fewer than three feet are level.", assembly=each["assembly"])
    yield FREE_BOARDS
    yield BY_ARITHMETIC


def wood_lines(build: Build, report: dict[str, Any]) -> Iterator[str]:
    """The same as sentences, in the build's own units."""
    words, emc, air = WoodWords(build, plain=True), report["emc"], report["air"]
    default = say(" (defaults: say your own air under [air])") if len(air["defaulted"]) == 3 else ""
    yield (
        say(
            ("Made at {shop:.1f} % moisture ({air:g} % air), will live between {dry:.1f} and {damp:.1f} %{default}."),
            shop=emc["shop"],
            air=air["shop_percent"],
            dry=emc["dry"],
            damp=emc["damp"],
            default=default,
        )
    )
    for each in report["movements"]:
        moves = words.small(each["damp_mm"] - each["dry_mm"])
        wide = words.read(each["width_mm"])
        yield say(
            "{of}, {wide} across the grain: moves {moves} between the seasons ({certain}).",
            of=each["of"],
            wide=wide,
            moves=moves,
            certain=each["certain"],
        )
    for each in report["slots"]:
        yield say(
            "{of}, {at} from where it is held: {fastener}.",
            of=each["of"],
            at=words.read(abs(each["at_mm"])),
            fastener=_fastener(words, each),
        )
    for each in report["held"]:
        if each["verdict"] != "fine":
            yield _held_solid(words, each)
    for each in report["gaps"]:
        yield _floats(words, each)
    for each in report["mitres"]:
        gap = words.small(each["gap_mm"])
        mitres = spelled("mitres", build.units)
        yield say(
            "{of}: its {mitres} would open up to {gap} on the {where}.",
            of=each["of"],
            mitres=mitres,
            gap=gap,
            where=each["where"],
        )
    for each in report["fields"]:
        holder = (
            say(", and {held_by} holds it: make it thin, or let it float", held_by=each["held_by"])
            if each["held_by"]
            else ""
        )
        yield say(
            "{of}: wants to grow {along} lengthwise{holder}.",
            of=each["of"],
            along=words.small(each["along_mm"]),
            holder=holder,
        )
    for each in report["sag"]:
        yield _sags(words, each)
    for each in report["tips"]:
        yield _stands(words, each)
    yield from report["notes"]


def _fastener(words: WoodWords, each: dict[str, Any]) -> str:
    if each["by"] == "slots":
        long, inner = words.at_least(each["length_mm"]), words.read(each["screw_from_inner_end_mm"])
        return say("a slot {long} long, the screw {inner} from its inner end", long=long, inner=inner)
    if each["by"] == "buttons":
        return say("a groove {length} deeper than the tongue", length=words.at_least(each["length_mm"]))
    return say("a figure eight follows") if each["enough"] else say("a figure eight does not follow: use slots")


def _floats(words: WoodWords, each: dict[str, Any]) -> str:
    gap = words.at_least(each["gap_mm"])
    if each["stays_mm"] is None:
        return say("{of}: leave {gap} in all across its grain.", of=each["of"], gap=gap)
    stays = words.read(max(0.0, each["stays_mm"]))
    short = "" if each["enough"] else say(", which is too little")
    kept = say("{stays} of it stays in its groove in the driest season{short}", stays=stays, short=short)
    return say("{of} floats: {gap} free at each side; {kept}.", of=each["of"], gap=gap, kept=kept)


def _held_solid(words: WoodWords, each: dict[str, Any]) -> str:
    if each["to"]:
        each = each | {"of": say("{of} on {to}", of=each["of"], to=each["to"])}
    ask = say("it must not be held solid") if each["verdict"] == "no" else say("take care")
    moves, widest = words.small(each["moves_mm"]), words.read(each["widest_mm"])
    return say(
        "{of} wants to move {moves}: {ask} (up to {widest} wide is common practice).",
        of=each["of"],
        moves=moves,
        ask=ask,
        widest=widest,
    )


def _sags(words: WoodWords, each: dict[str, Any]) -> str:
    usual = each["span_mm"] * LIMIT
    more = say("; {usual} is the usual most", usual=words.small(usual)) if each["years_mm"] > usual else ""
    now, years = words.small(each["now_mm"]), words.small(each["years_mm"])
    return say("{on}: sags {now} at once, {years} in years{more}.", on=each["on"], now=now, years=years, more=more)


def _stands(words: WoodWords, each: dict[str, Any]) -> str:
    weight = say("{assembly} weighs {weight}", assembly=each["assembly"], weight=words.weight(each["weight_kg"]))
    if each["load_n"] is None:
        return say("{weight}; no load near its rim tips it.", weight=weight)
    return say(
        "{weight}; {load} near its {edge} rim tips it.",
        weight=weight,
        load=words.weight(each["load_n"] / GRAVITY),
        edge=each["edge"],
    )


def _mm(value: float) -> float:
    return round(value, 4) + 0.0
