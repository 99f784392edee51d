"""`[[parts]]`: the cut list."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from tracker.design import values
from tracker.design.lines import Lines
from tracker.design.model import EndCuts, Ends, Grain, Measured, Part, Resaw, RingJoint, SplayedLegJoint, Wood
from tracker.design.name_lookup import nearest
from tracker.design.sections.common import UNKNOWN, identifier, lines_under, read_names, read_route
from tracker.design.sections.cuts import check_crossings, read_ends, read_laps, read_tapers
from tracker.design.sections.features import read_features
from tracker.design.sections.holes import read_holes
from tracker.design.sections.in_use import rings
from tracker.design.sections.own_steps import read_notes, read_own_steps
from tracker.design.sections.resaw import fit_resaw, leaf_of, read_resaw
from tracker.design.toml.table import Table
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.words import say, say_many

MOST_OF_A_PART = 999
MOST_PARTS = 500
MOST_PIECES = 5_000

_one_or_more = values.count_within(1, MOST_OF_A_PART)
_some = values.count_within(0, MOST_OF_A_PART)


def read_parts(tables: Sequence[Table], woods: Sequence[Wood]) -> tuple[Part, ...]:
    """Every part, in the order of the file."""
    by_id = {wood.id: wood for wood in woods}
    parts = []
    pieces = 0
    for table in tables:
        part = _part(table, by_id)
        parts.append(part)
        before, pieces = pieces, pieces + part.quantity
        if before <= MOST_PIECES < pieces:
            table.problem(say("the build has more than {most_pieces} pieces", most_pieces=MOST_PIECES), "", "quantity")
    ids = [part.id for part in parts]
    for table, part in zip(tables, parts, strict=True):
        check_crossings(table, part.laps, ids)
    return tuple(parts)


def _part(table: Table, woods: dict[str, Wood]) -> Part:
    part_id, name = read_names(table)
    quantity, left, right = _quantity(table)
    wood_id = table.read("wood", identifier, required=True) or ""
    wood = woods.get(wood_id)
    if wood_id and wood is None:
        table.problem(say("no wood is called '{wood_id}'", wood_id=wood_id), nearest(wood_id, woods), "wood")
    resaw = read_resaw(table, quantity)
    width, thickness = _section(table, wood, resaw)
    ends = read_ends(table)
    _suits(table, ends, quantity, width == thickness or not width or not thickness)
    length = _length(table, ends)
    grain = table.choice("grain", ("along", "across"))
    _fits(table, wood, width, thickness, length if grain == "across" else None)
    fit_resaw(table, wood, resaw, thickness)
    holes, steps = read_holes(table, thickness), read_own_steps(table)
    notes, step_notes = read_notes(table)
    part = Part(
        id=part_id,
        name=name,
        quantity=quantity,
        left=left,
        right=right,
        wood=wood_id,
        length=None if isinstance(ends, SplayedLegJoint) else length or UNKNOWN,
        measured=cast(Measured, table.choice("measured", ("long", "short", "middle", "overall")) or "long"),
        width=width or UNKNOWN,
        thickness=thickness or UNKNOWN,
        allowance=table.read("allowance", values.length) or ZERO,
        ends=ends,
        tapers=read_tapers(table, width, length),
        holes=tuple(hole for _, hole in holes),
        laps=read_laps(table),
        features=read_features(table),
        sequence=table.read("sequence", values.name) or "",
        grain=cast(Grain, grain or "along"),
        resaw=resaw,
        rings=table.read("rings", rings) or 0.0,
        labels=table.read("labels", values.yes_or_no) is not False,
        route=read_route(table, steps),
        steps=steps,
        notes=notes,
        step_notes=step_notes,
        line=table.line(),
        lines=_renumbered(lines_under(table), [row for row, _ in holes]),
    )
    table.close()
    return part


def _quantity(table: Table) -> tuple[int, int, int]:
    """The total quantity (0 when it is wrong and that has been reported), and the quantity of each hand of a mirror
    pair."""
    if "left" not in table and "right" not in table:
        quantity = table.read("quantity", _one_or_more) if "quantity" in table else 1
        return quantity or 0, 0, 0
    if "quantity" in table:
        table.problem(
            say("'quantity' can't be used with 'left' and 'right'"), say("left and right say how many"), "quantity"
        )
    left, right = (table.read(hand, _some) if hand in table else 0 for hand in ("left", "right"))
    if left == right == 0:
        table.problem(say("neither a left-hand nor a right-hand piece is made"), say("left = 1, right = 1"), "left")
    if left is None or right is None:
        return 0, 0, 0
    return left + right, left, right


def _section(table: Table, wood: Wood | None, resaw: Resaw | None) -> tuple[Length | None, Length | None]:
    """Width and thickness: the part's, or else the wood's or one leaf's; None when unknown."""
    width, thickness = table.read("width", values.positive_length), table.read("thickness", values.positive_length)
    if wood is not None:
        width = width or (wood.width if "width" not in table else None)
        whole = leaf_of(wood, resaw) if resaw else wood.thickness
        thickness = thickness or (whole if "thickness" not in table else None)
    return width or None, thickness or None


def _suits(table: Table, ends: Ends, quantity: int, square: bool) -> None:
    """Check what a joint requires of its pieces: a leg is square, a ring is complete."""
    if isinstance(ends, SplayedLegJoint) and not square:
        table.problem(say("a splayed leg must be square: its width and thickness differ"), "", "joint")
    if isinstance(ends, RingJoint) and quantity % ends.sides:
        table.note(
            say_many(
                "{count} piece doesn't make a whole ring of {sides}",
                "{count} pieces don't make whole rings of {sides}",
                quantity,
                sides=ends.sides,
            ),
            "",
            "quantity",
        )


def _length(table: Table, ends: Ends) -> Length | None:
    if isinstance(ends, SplayedLegJoint):
        if "length" in table:
            table.problem(
                say("a splayed leg's length follows from its height and splay"), say("leave it out"), "length"
            )
        return None
    unknown_joint = "joint" in table and isinstance(ends, EndCuts)  # its joint may set the length
    return table.read("length", values.positive_length, required=not unknown_joint)


def _fits(
    table: Table, wood: Wood | None, width: Length | None, thickness: Length | None, across: Length | None
) -> None:
    """Check that a piece can be cut from its wood: it isn't thicker or wider or, with the grain across, longer than the
    board is wide."""
    if wood is None:
        return
    if thickness and wood.thickness and thickness > wood.thickness:
        table.problem(say("the piece is thicker than its wood '{wood}'", wood=wood.id), "", "thickness")
    if not wood.width:
        return
    if across is not None:
        if across > wood.width:
            table.problem(say("the grain runs across, and the piece is longer than its wood is wide"), "", "length")
    elif width and width > wood.width:
        table.problem(
            say("the piece is wider than its wood '{wood}'", wood=wood.id),
            say("glue it up from narrower pieces"),
            "width",
        )


def _renumbered(lines: Lines, rows: Sequence[int]) -> Lines:
    """The lines, with `holes.0`, `holes.1` numbering the part's holes instead of the file's rows: a row for both ends
    makes two holes."""
    if list(rows) == list(range(len(rows))):
        return lines
    under: dict[str, list[tuple[str, int]]] = {}
    for key, line in lines.items():
        if key.startswith("holes."):
            row, dot, rest = key.removeprefix("holes.").partition(".")
            under.setdefault(row, []).append((dot + rest, line))
    others = {key: line for key, line in lines.items() if not key.startswith("holes.")}
    there = {f"holes.{i}{rest}": line for i, row in enumerate(rows) for rest, line in under[str(row)]}
    return Lines(others | there)
