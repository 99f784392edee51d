"""The label of every piece, assembly and rack board of a run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from tracker.cards.labels.joinery import joinery_words
from tracker.cards.labels.label import Label, end_words
from tracker.cards.piece.drawing import draw
from tracker.design.model import Hand, RackBoard
from tracker.measure import Length, read_length
from tracker.plan import geometry
from tracker.plan.clear_board_lengths import clear_stretches
from tracker.words import say
from tracker.words.sides import side
from tracker.work.run import Item, Run


def label_keys(run: Run, *, boards: bool = True) -> tuple[str, ...]:
    """The keys of everything that gets a label: pieces, assemblies, then the boards on the rack, in the order of the
    build. Pieces of a part with `labels = false` get none."""
    bare = {part.id for part in run.build.parts if not part.labels}
    items = (key for key, item in run.items.items() if not (item.kind == "piece" and item.id in bare))
    return (*items, *(run.boards if boards else ()))


def labels_for(run: Run, keys: Iterable[str]) -> Iterator[Label]:
    """The labels of these items and boards. Raises KeyError for a key that the run doesn't have.

    Labels of the pieces of one part differ only in their codes and numbers.
    """
    alike: dict[tuple[str, Hand | None], Label] = {}
    for key in keys:
        if key in run.boards:
            yield _board(run, key, run.boards[key])
            continue
        item = run.items[key]
        one = alike.get((item.id, item.hand)) or alike.setdefault((item.id, item.hand), label_of(run, item))
        yield replace(one, code=run.codes[key], title=_title(item))


def label_of(run: Run, item: Item) -> Label:
    """What a maker needs to know about an item without the tablet."""
    return _piece(run, item) if item.kind == "piece" else _assembly(run, item)


def board_words(run: Run, board: RackBoard) -> tuple[str, str, str]:
    """A board in words: its wood, its size, and its clear parts, from its end A."""
    shop, wood = run.build.shop, run.build.wood(board.wood)

    def read(length: Length) -> str:
        return read_length(length, shop.mark).text

    usual = wood.mill.ends if wood.mill else shop.end_trim
    trim = usual if board.end_trim is None else board.end_trim
    clear = [read(stretch.length) for stretch in clear_stretches(board.length, trim, board.defects, shop.kerf)]
    wide, thick = board.width or wood.width, board.thickness or wood.rough or wood.thickness
    size = f"{read(board.length)} × {read(wide)} × {read(thick)}"
    return wood.species, size, say("clear: {clear}", clear=" + ".join(clear) or "nothing")


def _board(run: Run, key: str, board: RackBoard) -> Label:
    species, size, clear = board_words(run, board)
    return Label(
        code=run.codes[key],
        title=say("Board {board}", board=board.name),
        build=run.build.name,
        final=size,
        lines=(species, say("{clear}, from end A on", clear=clear)),
    )


def _piece(run: Run, item: Item) -> Label:
    part = run.build.part(item.id)
    solid = geometry.solid(part, item.hand)
    drawing = draw(solid, units=run.build.units)

    def read(length: Length) -> str:
        return read_length(length, run.build.shop.mark).text

    section = f"{read(part.width)} × {read(part.thickness)}"
    cut_to = f"{read(solid.along_board)} × {read(solid.across_board)} × {read(part.thickness)}"
    blank = cut_to if item.does("trim") else ""
    return Label(
        code=run.codes[item.key],
        title=_title(item),
        build=run.build.name,
        final=f"{read(solid.length)} × {section}",
        blank=blank,
        hand=say("{hand}-hand", hand=side(item.hand)) if item.hand else "",
        face=say("this face up"),
        joinery=joinery_words(part, item.hand),
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
    return say("{name} {number} of {of}", name=item.name, number=item.number, of=item.of) if item.of > 1 else item.name
