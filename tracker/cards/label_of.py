"""The label of every piece and assembly of a run."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.cards.drawing import draw
from tracker.cards.floor import cached_solid
from tracker.cards.labels import Label, end_words
from tracker.measure import Length, read_length
from tracker.work.run import Item, Run


def run_labels(run: Run) -> Iterator[Label]:
    """One label for each piece, then one for each assembly, in the order of the build."""
    return (label_of(run, item) for item in run.items.values())


def label_of(run: Run, item: Item) -> Label:
    """What a maker needs of an item without the tablet."""
    return _piece(run, item) if item.kind == "piece" else _assembly(run, item)


def _piece(run: Run, item: Item) -> Label:
    part = run.build.part(item.id)
    solid = cached_solid(part, item.hand)
    drawing = draw(solid, trimmed_a=True, trimmed_b=True)

    def read(length: Length) -> str:
        return read_length(length, run.build.shop.mark).text

    section = f"{read(part.width)} × {read(part.thickness)}"
    blank = f"{read(solid.blank_length)} × {section}" if item.step("trim") else ""
    return Label(
        code=run.codes[item.key],
        title=_title(item),
        build=run.build.name,
        final=f"{read(solid.length)} × {section}",
        blank=blank,
        hand=f"{item.hand}-hand" if item.hand else "",
        face="this face up",
        ends=(end_words(drawing.ends[0]), end_words(drawing.ends[1])),
        drawing=drawing,
    )


def _assembly(run: Run, item: Item) -> Label:
    joins = run.build.assembly(item.id).joins
    names = {part.id: part.name for part in run.build.parts} | {a.id: a.name for a in run.build.assemblies}
    return Label(
        code=run.codes[item.key],
        title=_title(item),
        build=run.build.name,
        lines=tuple(f"{count} × {names[id_]}" for id_, count in joins),
    )


def _title(item: Item) -> str:
    return f"{item.name} {item.number} of {item.of}" if item.of > 1 else item.name
