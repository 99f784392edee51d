"""Where the pieces of a build's assemblies are, as plain data and as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tracker.design.model import Assembly, Build
from tracker.measure import Length, read_length
from tracker.plan.place import Placed, Placer, extent, loose, meetings, overlaps
from tracker.plan.shape import CORNERS, ENDS
from tracker.words import say


def picture_report(build: Build, placer: Placer) -> dict[str, Any]:
    """`{"assemblies": [{"id", "name", "size_mm": [x, y, z], "placed": [{"part", "piece", "hand", "within",
    "corners_mm", "bodies_mm"}], "overlaps", "loose"}]}`, in millimetres, x to the right, y to the back, z up.

    Assemblies without known places are left out. `corners_mm` are a piece's eight corners before any taper; `bodies_mm`
    are its convex bodies, each with its corners. Raises PlaceError for a wrong place.
    """
    known = [assembly for assembly in build.assemblies if placer.has_places(assembly.id)]
    return {"build": build.name, "assemblies": [_assembly(build, placer, assembly) for assembly in known]}


def _assembly(build: Build, placer: Placer, assembly: Assembly) -> dict[str, Any]:
    placed = placer.placed(assembly.id)
    found = meetings(placed)
    low, high = extent(placed)
    size = [high[axis] - low[axis] for axis in range(3)]
    return {
        "id": assembly.id,
        "name": assembly.name,
        "size_mm": [round(each, 6) for each in size],
        "size": [read_length(Length.of(each, "mm"), build.shop.mark).text for each in size],
        "low_mm": _rounded(low),
        "placed": [_piece(each) for each in placed],
        "overlaps": [
            {"pieces": [_name(placed[each.first]), _name(placed[each.second])], "by_mm": round(-each.gap, 4)}
            for each in overlaps(found)
        ],
        "loose": [_name(placed[at]) for at in loose(placed, found)],
    }


def _piece(piece: Placed) -> dict[str, Any]:
    corners = [piece.pose.of(piece.shape.solid.corner(end, edge, face)) for end in ENDS for edge, face in CORNERS]
    return {
        "part": piece.part,
        "piece": piece.number,
        "hand": piece.hand,
        "within": [f"{id_}:{number}" for id_, number in piece.within],
        "corners_mm": [_rounded(corner) for corner in corners],
        "bodies_mm": [[_rounded(point) for point in cell.points] for cell in piece.cells],
    }


def picture_lines(report: dict[str, Any]) -> Iterator[str]:
    """A line for each assembly, and one for each problem in it."""
    for assembly in report["assemblies"]:
        yield say(
            "{name}: {count} pieces, {size} over all",
            name=assembly["name"],
            count=len(assembly["placed"]),
            size=" × ".join(assembly["size"]),
        )
        for each in assembly["overlaps"]:
            yield say(
                "  {pieces} overlap by {by:.1f} mm",
                pieces=say(" and ").join(map(_said, each["pieces"])),
                by=each["by_mm"],
            )
        for each in assembly["loose"]:
            yield say("  {piece} touches nothing", piece=_said(each))


def _name(piece: Placed) -> dict[str, Any]:
    return {"part": piece.part, "piece": piece.number}


def _said(name: dict[str, Any]) -> str:
    return f"{name['part']} {name['piece']}"


def _rounded(point: tuple[float, float, float]) -> list[float]:
    return [round(each, 6) + 0.0 for each in point]
