"""Cards as plain data, for the commands' JSON: millimetres under `_mm`, degrees under `_deg`, words beside them."""

from __future__ import annotations

from tracker.cards.piece.checks import Check, piece_checks
from tracker.cards.piece.laps import lap_words
from tracker.cards.reports.numbers import PLACES, Json, mm
from tracker.cards.reports.piece_work import cuts_report, features_report, own_steps_report
from tracker.design.model import Assembly, Build, EndCut, EndName, Part, Shop
from tracker.design.one_blank import leaf_thickness, one_blank
from tracker.measure import Length, Reading, read_length
from tracker.measure.tape_reading import plain_words
from tracker.plan import geometry
from tracker.plan.cuts import piece_cuts
from tracker.plan.geometry import Solid
from tracker.plan.laps import laps_of
from tracker.plan.saw_setting import setting
from tracker.plan.setups import plan_setups
from tracker.plan.wood_properties import find
from tracker.work.routes import assembly_route, part_route
from tracker.work.run import Item, Run


def cards_report(run: Run) -> Json:
    """Every piece with its sizes, angles, saw settings and route, and every assembly."""
    build = run.build
    alike = {(item.id, item.hand): item for item in run.pieces}
    checks = {(id_, hand): piece_checks(build, build.part(id_), hand) for id_, hand in alike}
    plan = plan_setups(build)
    work = {
        (id_, hand): cuts_report(piece_cuts(build, plan, build.part(id_), item.number))
        | features_report(build, build.part(id_), hand)
        for (id_, hand), item in alike.items()
    }
    return {
        "build": build.name,
        "units": build.units,
        "pieces": [
            piece_report(run, item, checks[item.id, item.hand]) | work[item.id, item.hand] for item in run.pieces
        ],
        "assemblies": [_assembly(run, item) for item in run.assemblies],
    }


def piece_report(run: Run, item: Item, checks: tuple[Check, ...]) -> Json:
    """One piece, with the checks to make on it."""
    build = run.build
    part, solid = build.part(item.id), geometry.solid(build.part(item.id), item.hand)
    reading = _read(build, solid.length)
    blank = _read(build, solid.blank_length)
    return {
        "part": item.id,
        "piece": item.number,
        "of": item.of,
        "name": item.name,
        "hand": item.hand,
        "copy": item.copy or None,
        "code": run.codes[item.key],
        "length_mm": mm(solid.length),
        "length": reading.plain,
        "left_over": plain_words(reading.hair),
        "left_over_mm": mm(reading.left_over),
        "measured": solid.measured,
        "width_mm": mm(part.width),
        "width": _read(build, part.width).plain,
        "thickness_mm": mm(part.thickness),
        "thickness": _read(build, part.thickness).plain,
        "blank": {
            "length_mm": mm(solid.blank_length),
            "length": blank.plain,
            "left_over": "" if part.allowance else plain_words(blank.hair),
        },
        "ends": {"A": _end(solid.a, "A", build.shop), "B": _end(solid.b, "B", build.shop)},
        "edges_mm": _edges(solid),
        "laps": _laps(build, part, item),
        "weight_kg": _weight(build, part, solid),
        "route": list(part_route(part, build.wood(part.wood), build.is_slotted(part.id))),
        "steps": own_steps_report(part.steps, build.shop.mark),
        "goes_into": item.into,
        "one_blank": list(one_blank(part, build.wood(part.wood), item.number)),
        "resaw": _resaw(part),
        "notes": part.notes,
        "step_notes": dict(part.step_notes),
        "checks": [_check(check) for check in checks],
    }


def _resaw(part: Part) -> Json | None:
    """How its board is resawn; the fence setting includes what is later planed off the leaf."""
    if part.resaw is None:
        return None
    return {
        "leaves": part.resaw.leaves,
        "fence_mm": mm(leaf_thickness(part)),
        "kerf_mm": mm(part.resaw.kerf),
        "plane_mm": mm(part.resaw.plane),
    }


def _check(check: Check) -> Json:
    size: Json = {}
    if check.length is not None:
        size["length_mm"] = mm(check.length)
    if check.angle is not None:
        size["angle_deg"] = round(check.angle, PLACES)
    return {"what": check.what, **size, "words": check.words}


def _end(end: EndCut, which: EndName, shop: Shop) -> Json:
    saw = setting(end, which, shop)
    return {
        "miter_deg": round(end.miter, PLACES),
        "bevel_deg": round(end.bevel, PLACES),
        "long": end.long,
        "long_face": end.long_face,
        "saw": {
            "miter_deg": round(saw.miter_deg, PLACES),
            "bevel_deg": round(saw.bevel_deg, PLACES),
            "swing": saw.swing,
            "tilt": saw.tilt,
            "up": saw.up,
            "fence": saw.fence,
            "piece": saw.piece,
            "possible": saw.possible,
            "note": saw.note,
        },
    }


def _edges(solid: Solid) -> Json:
    edges = solid.edges
    return {
        "near_top": mm(edges.near_top),
        "far_top": mm(edges.far_top),
        "near_bottom": mm(edges.near_bottom),
        "far_bottom": mm(edges.far_bottom),
        "middle": mm(edges.middle),
        "overall": mm(edges.overall),
    }


def _laps(build: Build, part: Part, item: Item) -> list[Json]:
    return [
        {
            "crosses": lap.crosses,
            "end": lap.end,
            "face": lap.face,
            "edge": lap.edge,
            "place_mm": mm(lap.from_end),
            "place": _read(build, lap.from_end).plain,
            "width_mm": mm(lap.along),
            "depth_mm": mm(lap.depth),
            "miter_deg": round(lap.miter, PLACES),
            "words": lap_words(build, lap),
        }
        for lap in laps_of(build, part, item.hand)
    ]


def _weight(build: Build, part: Part, solid: Solid) -> float | None:
    species = find(build.wood(part.wood).species)
    weight = solid.weight(species.density if species else None)
    return None if weight is None else round(weight, 3)


def _assembly(run: Run, item: Item) -> Json:
    assembly = run.build.assembly(item.id)
    return {
        "assembly": item.id,
        "number": item.number,
        "of": item.of,
        "copy": item.copy or None,
        "name": item.name,
        "code": run.codes[item.key],
        "joins": dict(assembly.joins),
        "members": list(item.members),
        "goes_into": item.into,
        "by": assembly.by,
        "clamps": assembly.clamps,
        "glue": _glue(assembly),
        "finish": _finish(assembly),
        "prove": list(assembly.prove),
        "route": list(assembly_route(run.build, assembly)),
        "steps": own_steps_report(assembly.steps, run.build.shop.mark),
        "notes": assembly.notes,
        "step_notes": dict(assembly.step_notes),
    }


def _glue(assembly: Assembly) -> Json | None:
    glue = assembly.glue
    if glue is None:
        return None
    return {
        "name": glue.name,
        "open_s": glue.open_time.seconds,
        "clamp_s": glue.clamp_time.seconds,
        "cure_s": glue.cure_time.seconds,
        "defaults": sorted(glue.defaulted),
    }


def _finish(assembly: Assembly) -> Json | None:
    finish = assembly.finish
    if finish is None:
        return None
    return {
        "kind": finish.kind,
        "coats": finish.coats,
        "recoat_s": finish.recoat.seconds,
        "cure_s": finish.cure.seconds,
        "sand_between": finish.sand_between,
        "defaults": sorted(finish.defaulted),
    }


def _read(build: Build, length: Length) -> Reading:
    return read_length(length, build.shop.mark)
