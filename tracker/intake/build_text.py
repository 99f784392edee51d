"""A build file written from the rows of a cut list. It loads, and its comments say what still needs a look."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from fractions import Fraction

from tracker.design.tables.species import species_named
from tracker.intake.columns import Field
from tracker.intake.rows import Row, hand_of
from tracker.measure import Units

_INCH = Fraction(254, 10)
_FOOT = Fraction(3048, 10)
THICKNESS = {"in": _INCH * 3 / 4, "mm": Fraction(19)}
"""Used where a list gives none, with a comment; common practice, no source."""
_SPARE = Fraction(11, 10)


def build_text(name: str, rows: Sequence[Row], units: Units) -> str:
    """A build file with one wood for each species and thickness, and one part for each row. Left-hand and right-hand
    rows of one name become one part. Raises ValueError when there are no rows."""
    if not rows:
        raise ValueError("no row of the list is a part")
    used: set[str] = set()
    woods = _woods(rows, used, units)
    out = [
        "# Written from a cut list. Look at every remark, then give each wood the lengths and prices of your dealer.",
        "",
        "[build]",
        f"name = {_quoted(name)}",
        f'units = "{units}"',
        "",
    ]
    for (wood, thickness), wood_id in woods.items():
        out += _wood(wood, thickness, wood_id, [row for row in rows if _stock(row) == (wood, thickness)], units)
    for pair in _pairs(rows):
        out += _part(pair, woods, used, units)
    return "\n".join(out)


def _stock(row: Row) -> tuple[str, Fraction | None]:
    return row.wood.lower(), row.sizes.get("thickness")


def _woods(rows: Sequence[Row], used: set[str], units: Units) -> dict[tuple[str, Fraction | None], str]:
    kinds = list(dict.fromkeys(_stock(row) for row in rows))
    found = {}
    for wood, thickness in kinds:
        several = sum(other == wood for other, _ in kinds) > 1
        tail = f"-{_number(thickness, units)}" if thickness and several else ""
        found[wood, thickness] = _identifier(f"{wood or 'wood'}{tail}", used)
    return found


def _wood(wood: str, thickness: Fraction | None, wood_id: str, rows: Sequence[Row], units: Units) -> list[str]:
    width = max((row.sizes["width"] for row in rows if "width" in row.sizes), default=None)
    longest = max(row.sizes["length"] for row in rows) * _SPARE
    step = _FOOT if units == "in" else Fraction(100)
    length = (longest // step + 1) * step
    species = rows[0].wood or "unknown"
    unknown = "" if species_named(species) else "      # not in the wood table: movement and weight are unknown"
    given = "" if thickness else "      # the list has no thickness: put it right"
    wide = "" if width else "      # the list has no width: put it right"
    return [
        f"[woods.{wood_id}]",
        f"species = {_quoted(species)}{unknown}",
        f"thickness = {_length(thickness or THICKNESS[units], units)}{given}",
        f"width = {_length(width or 4 * _INCH, units)}{wide}",
        f"lengths = [{_length(length, units)}]      # what your dealer sells",
        "rip = true",
        "",
    ]


def _pairs(rows: Sequence[Row]) -> list[tuple[Row, ...]]:
    """The rows in order; a left-hand and a right-hand row of one name, size and wood are grouped."""
    found: list[tuple[Row, ...]] = []
    for row in rows:
        _, hand = hand_of(row.name)
        mate = next((at for at, each in enumerate(found) if hand and _are_mates(each, row)), None)
        if mate is None:
            found.append((row,))
        else:
            found[mate] = (*found[mate], row)
    return found


def _are_mates(each: tuple[Row, ...], row: Row) -> bool:
    """Whether a row that has no partner yet is the other hand of this one."""
    (name, hand), (other, other_hand) = hand_of(each[0].name), hand_of(row.name)
    alike = each[0].sizes == row.sizes and _stock(each[0]) == _stock(row)
    return len(each) == 1 and name == other and hand not in ("", other_hand) and alike


def _part(
    pair: tuple[Row, ...], woods: dict[tuple[str, Fraction | None], str], used: set[str], units: Units
) -> list[str]:
    first = pair[0]
    name = hand_of(first.name)[0] if len(pair) == 2 else first.name
    if len(pair) == 2:
        hands = {hand_of(row.name)[1]: row.quantity for row in pair}
        many = [f"left = {hands['left']}", f"right = {hands['right']}"]
    else:
        many = [f"quantity = {first.quantity}"]
    rows = ", ".join(str(row.line) for row in pair)
    doubts = [f"# row {row.line}, {doubt}" for row in pair for doubt in row.doubts]
    sizes: tuple[Field, ...] = ("length", "width", "thickness")
    notes = " ".join(dict.fromkeys(row.notes for row in pair if row.notes))
    return [
        *doubts,
        "[[parts]]" + f"                   # row {rows}",
        f"id = {_quoted(_identifier(name, used))}",
        f"name = {_quoted(name[:80])}",
        *many,
        f"wood = {_quoted(woods[_stock(first)])}",
        *(f"{size} = {_length(first.sizes[size], units)}" for size in sizes if size in first.sizes),
        *([f"notes = {_quoted(notes[:4000])}"] if notes else []),
        "",
    ]


def _identifier(words: str, used: set[str]) -> str:
    base = re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")[:26] or "part"
    found, count = base, 1
    while found in used:
        count += 1
        found = f"{base}-{count}"
    used.add(found)
    return found


def _length(millimetres: Fraction, units: Units) -> str:
    """A length as the build file writes it: `600`, `12.5`, `"23 5/8"`."""
    text = _number(millimetres, units)
    return f'"{text}"' if "/" in text else text


def _number(millimetres: Fraction, units: Units) -> str:
    value = millimetres if units == "mm" else millimetres / _INCH
    if units == "in" and value.denominator in (2, 4, 8, 16, 32, 64):
        whole, rest = divmod(value.numerator, value.denominator)
        fraction = f"{rest}/{value.denominator}"
        return f"{whole} {fraction}" if whole else fraction
    if value.denominator == 1:
        return str(value.numerator)
    return f"{float(value):.4f}".rstrip("0").rstrip(".")


def _quoted(words: str) -> str:
    """A TOML basic string. JSON's escapes are valid in TOML."""
    return json.dumps(words, ensure_ascii=False)
