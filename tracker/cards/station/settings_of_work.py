"""The setting for a step: the saw's angles and its stop, the drill, the grit. Pieces with the same setting are done one
after the other, without changing the machine."""

from __future__ import annotations

from typing import NamedTuple

from tracker.cards.piece.drill import drill_setup
from tracker.cards.piece.features import of_step, set_words
from tracker.cards.piece.milled import milling_words
from tracker.cards.piece.own_step import own_setting, own_step_of
from tracker.cards.words import inside
from tracker.design.one_blank import APART
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import pass_of, setups_of
from tracker.plan.milling import OPERATIONS, setting_words, turn_of
from tracker.words import say, say_many
from tracker.work.operations import Station, Step
from tracker.work.run import Item

THERE: dict[Station, str] = {
    "saw": say("the saw"),
    "drill": say("the drill"),
    "bench": say("the bench"),
    "sanding": say("sanding"),
    "finishing": say("finishing"),
}
"""Where to go: `Go to the drill`."""


def ready_words(count: int, *, here: bool) -> str:
    """How many pieces can be worked at a station, and whether the tablet is there now."""
    ready = say("{counts} ready", counts=count) if count else say("nothing ready")
    return say("you are here, {ready}", ready=ready) if here else ready


class Setting(NamedTuple):
    """One setting of a machine, or one kind of work; `place` is its position in the order of work."""

    title: str
    words: str
    place: tuple[float, ...] = ()


def work_setting(floor: Floor, item: Item, step: Step) -> Setting:
    """At the saw by setup, at the drill by depth and screw, at the bench by assembly, then by grit or by coat."""
    own = own_step_of(floor, item, step)
    if own:
        return Setting(step.task, own_setting(floor, own), (float("inf"),))
    shapes = of_step(floor, item, step)
    if shapes and not (step.operation == "drill" and floor.part(item).holes):
        return Setting(step.task, set_words(shapes, floor.run.build.shop.mark), (float("inf"),))
    if step.station == "saw":
        return Setting(step.task, _saw(floor, item, step), _saw_place(floor, item, step))
    if step.station == "drill" and item.kind == "piece":
        drill = drill_setup(floor, item)
        return Setting(drill.title, drill.words)
    if step.station == "bench":
        return Setting(*_bench(floor, item))
    if step.station == "sanding":
        return Setting(step.task, "", (step.grit,))
    finish = floor.run.build.assembly(item.id).finish if item.kind == "assembly" else None
    return Setting(step.task, finish.kind if finish else "", (step.coat,))


def size_words(floor: Floor, item: Item, step: Step) -> str:
    """The size that a piece is brought to; for an assembly what is next."""
    if item.kind == "assembly":
        return say("Next: {task}", task=inside(step.task))
    solid = floor.solid(item)
    if step.id == "cut" and item.step(APART):
        return say("rough blank")
    if step.id == "cut" and item.does("trim"):
        return say("blank {length}", length=floor.read(solid.along_board).text)
    return floor.read(solid.length).text


def _bench(floor: Floor, item: Item) -> tuple[str, str]:
    """Pieces are listed with the assembly that they go into; the assembly itself says how it is joined."""
    into = item.key if item.kind == "assembly" else floor.state.into(floor.run, item)
    if not into:
        return item.name, say("part of no assembly")
    assembly = floor.run.build.assembly(floor.item(into).id)
    by = assembly.glue.name if assembly.glue else assembly.by
    clamps = say_many(", {count} clamp", ", {count} clamps", assembly.clamps) if assembly.clamps else ""
    return assembly.name, f"{by}{clamps}"


def _saw(floor: Floor, item: Item, step: Step) -> str:
    """The saw's setting: pieces with the same words are cut without changing it."""
    if item.kind == "assembly":
        return ""
    if step.id in OPERATIONS:
        return setting_words(floor.run.build, floor.part(item), step.id)
    if step.id == "cut" and item.step(APART):
        return milling_words(floor, item, step)
    if step.operation == "taper":
        tapers = floor.solid(item).tapers
        return ", ".join(
            dict.fromkeys(
                say("down to {leave} wide at end {end}", leave=floor.read(each.leave).text, end=each.end)
                for each in tapers
            )
        )
    cut = pass_of(floor, item, step)
    if cut is None:
        return ""
    angles = cut.angles if cut.possible else say("this saw can't reach it")
    stop = say("stop {stop}", stop=floor.read(cut.stop).text) if cut.stop else say("no stop")
    return f"{angles}, {stop}"


def _saw_place(floor: Floor, item: Item, step: Step) -> tuple[float, ...]:
    """In the order of the plan's setups; work without one comes after, milling first."""
    if item.kind == "piece" and step.id in OPERATIONS:
        return (float("inf"), -1.0, *turn_of(floor.part(item), step.id))
    setups = setups_of(floor, item, step) if item.kind == "piece" else ()
    return (setups[0].order,) if setups else (float("inf"),)
