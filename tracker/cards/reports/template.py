"""What is computed from an outline, as plain data and as sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from tracker.design.model import Build
from tracker.measure import Length, read_length
from tracker.plan.convex import Point
from tracker.plan.outline import Outlined, boards, fit
from tracker.plan.outline.bends import least_turn, tightest
from tracker.plan.outline.curve import Loop, extent, moments, perimeter
from tracker.plan.outline.tools import tools
from tracker.plan.outline.weak_places import is_weak, necks_of, short_grain_of
from tracker.words import say


def template_report(build: Build, each: Outlined) -> dict[str, Any]:
    """The output of `kerfcard template --json`. Lengths in mm under `_mm`, areas in mm² under `_mm2`.

    Positions are in the outline's own coordinates. `least_mm` is the distance left to the panel's edge beyond the
    margin; `perimeter_mm` and `inside_radius_mm` (null: no inside bend) are those of the outer edge.
    """
    found, bend, turn = fit(each), tightest(each.outer), least_turn(each.outer)
    area, centre = area_and_centre(each)
    box = extent(each.outer)
    return {
        "id": each.id,
        "of": each.panel.id,
        "size_mm": [_mm(box[2] - box[0]), _mm(box[3] - box[1])],
        "area_mm2": round(area, 2),
        "perimeter_mm": _mm(perimeter(each.outer)),
        "edges_mm": _mm(sum(perimeter(loop) for loop in each.loops)),
        "centre_mm": _place(centre),
        "fits": found.fits,
        "least_mm": _mm(found.least),
        "side": found.side,
        "margin_mm": _mm(each.margin),
        "off_wood_mm2": round(found.off_wood, 2),
        "panel": {"size_mm": _place(each.panel.size), "zero_mm": _place((each.place.e, each.place.f))},
        "waste_mm2": round(each.panel.size[0] * each.panel.size[1] - area, 2),
        "inside_radius_mm": None if bend is None else _mm(bend.radius),
        "inside_radius_at_mm": None if bend is None else _place(bend.at),
        "least_turn_mm": None if turn == float("inf") else _mm(turn),
        "cutouts": [_cutout(loop) for loop in each.cutouts],
        "tools": [
            {
                "kind": tool.kind, "size_mm": _mm(float(tool.size)), "turns_mm": _mm(tool.radius),
                "enough": tool.enough, "cutouts": tool.cutouts,
            }
            for tool in tools(build.shop, each)
        ],
        "necks": [
            {
                "at_mm": _place(neck.at), "width_mm": _mm(neck.width), "off_grain_deg": round(neck.off_grain, 2),
                "as_strong_as_mm": _mm(neck.as_strong_as), "weak": is_weak(neck),
            }
            for neck in necks_of(each)
        ],
        "short_grain": [
            {"at_mm": _place(place.at), "reach_mm": _mm(place.reach), "longest_mm": _mm(place.longest)}
            for place in short_grain_of(each)
        ],
        "boards": [
            {"name": board.name, "area_mm2": round(board.area, 2), "widest_mm": _mm(board.widest)}
            for board in boards(each)
        ],
        "seams_mm": [[_place(a), _place(b)] for a, b in each.seams],
        "marks_mm": [
            {"at_mm": _place(mark.at), "diameter_mm": mark.diameter, "what": mark.words} for mark in each.marks
        ],
    }  # fmt: skip


def area_and_centre(each: Outlined) -> tuple[float, Point]:
    """The area less the cutouts, and its centre."""
    area, x, y = (sum(values) for values in zip(*map(moments, each.loops), strict=True))
    return area, (x / area, y / area)


def _cutout(loop: Loop) -> dict[str, Any]:
    bend = tightest(loop)
    return {
        "area_mm2": round(-moments(loop)[0], 2),
        "perimeter_mm": _mm(perimeter(loop)),
        "inside_radius_mm": None if bend is None else _mm(bend.radius),
    }


def template_lines(build: Build, report: dict[str, Any]) -> Iterator[str]:
    """The same as sentences, in the build's own units."""

    def read(value: float) -> str:
        return read_length(Length.of(value, "mm"), build.shop.mark).plain

    yield from _fit_lines(report, read)
    yield from _bend_lines(report, read)
    for neck in report["necks"]:
        if neck["weak"]:
            at = ", ".join(map(read, neck["at_mm"]))
            yield say(
                "Neck of {width} at {at}: as strong as {as_strong_as}.",
                width=read(neck["width_mm"]),
                at=at,
                as_strong_as=_small(build, neck["as_strong_as_mm"]),
            )
    for place in report["short_grain"]:
        at, reach, longest = ", ".join(map(read, place["at_mm"])), read(place["reach_mm"]), read(place["longest_mm"])
        yield say(
            "Short grain at {at}: {reach} across the grain on fibres of {longest} at most.",
            at=at,
            reach=reach,
            longest=longest,
        )
    for board in report["boards"]:
        yield say("{name}: {widest} wide at most stays.", name=board["name"], widest=read(board["widest_mm"]))


def _fit_lines(report: dict[str, Any], read: Callable[[float], str]) -> Iterator[str]:
    """Its size, and whether it fits on its panel."""
    wide, deep = map(read, report["size_mm"])
    yield say(
        "{outline}, from {part}: {wide} × {deep}, edges {edges} in all.",
        outline=report["id"],
        part=report["of"],
        wide=wide,
        deep=deep,
        edges=read(report["edges_mm"]),
    )
    if report["off_wood_mm2"]:
        yield say("It doesn't fit: part of it lies on no board.")
    elif report["fits"]:
        beyond = say(", beyond its margin of {margin}", margin=read(report["margin_mm"])) if report["margin_mm"] else ""
        yield say(
            "It fits: {least} to spare on the {side}{beyond}.",
            least=read(report["least_mm"]),
            side=report["side"],
            beyond=beyond,
        )
    else:
        yield say(
            "It doesn't fit: {least} too much on the {side}.", least=read(-report["least_mm"]), side=report["side"]
        )


def _bend_lines(report: dict[str, Any], read: Callable[[float], str]) -> Iterator[str]:
    """Its tightest bends, and which tools get round them."""
    if report["inside_radius_mm"] is not None:
        yield say(
            "Tightest inside bend of the edge: radius {inside_radius}.", inside_radius=read(report["inside_radius_mm"])
        )
    for number, cutout in enumerate(report["cutouts"], 1):
        yield say(
            "Cutout {number}: radius {inside_radius} inside.",
            number=number,
            inside_radius=read(cutout["inside_radius_mm"] or 0.0),
        )
    for tool in report["tools"]:
        verb = say("gets round the edge") if tool["enough"] else say("does not get round the edge")
        also = "" if tool["cutouts"] else say(", not into the cutouts")
        yield say(
            "A {kind} of {size} {verb}{also} (radius {turns}).",
            kind=tool["kind"],
            size=read(tool["size_mm"]),
            verb=verb,
            also=also,
            turns=read(tool["turns_mm"]),
        )


def _small(build: Build, millimetres: float) -> str:
    return f"{millimetres:.1f} mm" if build.units == "mm" else f"{millimetres / 25.4:.2f} in"


def _mm(value: float) -> float:
    return round(value, 4) + 0.0


def _place(point: Point) -> list[float]:
    return [_mm(point[0]), _mm(point[1])]
