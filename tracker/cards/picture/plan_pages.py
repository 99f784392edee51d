"""Pages of a plan: each assembly as a line drawing, closed and exploded, with its size and its laying order."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from textwrap import wrap

from tracker.cards.picture.laying_words import Namer, laying_lines, order_words
from tracker.cards.picture.page import fitted
from tracker.cards.picture.picture import Picture, picture_of, pulled_apart
from tracker.cards.picture.view import Flat, View
from tracker.cards.picture.visible_faces import seen_from
from tracker.cards.template.page import Page, Step, Stroke, Words
from tracker.cards.template.tiles import PAPERS
from tracker.design.joining import Numbered
from tracker.design.model import Assembly, Build
from tracker.measure import Length, read_length
from tracker.plan.laying import laying_order
from tracker.plan.place import Placed, Placer, extent
from tracker.words import say

MARGIN = 12.0
TITLE, TEXT = 6.0, 3.4
LINE = 1.45
"""The line spacing, as a multiple of the type size."""
APART = 0.5
_WIDE = 0.5
"""The average width of a character of Helvetica, as a fraction of the type size; it keeps wrapped lines on the page."""
_INK, _HAIR = 0.2, 0.05
"""Pen widths (mm): of an edge, and of the stroke that closes the hairline a viewer leaves between two faces in one
plane."""
_MARKED = 0.72
"""The grey of the highlighted piece."""


def plan_pages(
    build: Build, placer: Placer, assemblies: Sequence[Assembly], view: View, here: Collection[Numbered] = ()
) -> tuple[Page, ...]:
    """The pages of some assemblies, on the paper usual with the build's units. Raises PlaceError."""
    paper = PAPERS["Letter" if build.units == "in" else "A4"]
    return tuple(page for each in assemblies for page in _pages(build, each, placer.placed(each.id), view, here, paper))


def drilling_pages(build: Build, lines: Sequence[str]) -> tuple[Page, ...]:
    """Every screw, dowel and bolt as a list, grouped by setting; `lines` as for a terminal."""
    wide, high = PAPERS["Letter" if build.units == "in" else "A4"]
    signs, step = int((wide - 2 * MARGIN) / (_WIDE * TEXT)), LINE * TEXT
    rows = [
        row for line in lines
        for row in wrap(line.strip(), signs, initial_indent=_indent(line), subsequent_indent="    ")
    ]  # fmt: skip
    each = int((high - 2 * MARGIN - 2 * TITLE) / step)
    return tuple(
        Page(
            width=wide, height=high, strokes=(),
            words=(
                Words(MARGIN, high - MARGIN - TITLE, TITLE, say("{build}: screws, dowels and bolts", build=build.name)),
                *_column(rows[start : start + each], high - MARGIN - 2 * TITLE, step),
            ),
        )
        for start in range(0, len(rows), each)
    )  # fmt: skip


def _indent(line: str) -> str:
    return "  " if line.startswith(" ") else ""


def name_in(build: Build) -> Namer:
    """The printed name of the pieces and assemblies of a build: `Leg 2`."""
    parts = {part.id: part for part in build.parts}

    def name(key: Numbered) -> str:
        found = parts[key[0]] if key[0] in parts else build.assembly(key[0])
        return f"{found.name} {key[1]}" if found.quantity > 1 else found.name

    return name


def _pages(
    build: Build, assembly: Assembly, placed: tuple[Placed, ...], view: View, here: Collection[Numbered],
    paper: tuple[float, float],
) -> Iterator[Page]:  # fmt: skip
    wide, high = paper
    low, top = extent(placed)
    size = " × ".join(_read(build, top[axis] - low[axis]) for axis in range(3))
    lines = list(_lines(build, assembly, placed, int((wide - 2 * MARGIN) / (_WIDE * TEXT))))
    step = LINE * TEXT
    head = high - MARGIN - TITLE - 2 * step
    least = head - 90.0  # both pictures have at least this much of the page
    room = min(len(lines) * step, head - MARGIN - least)
    pictures = head - MARGIN - room - step
    words = [Words(MARGIN, high - MARGIN - TITLE, TITLE, f"{build.name}: {assembly.name}")]
    words.append(
        Words(
            MARGIN,
            high - MARGIN - TITLE - 1.5 * step,
            TEXT,
            say("{size} over all, {count} pieces", size=size, count=len(placed)),
        )
    )
    strokes: list[Stroke] = []
    for at, shown in enumerate((placed, pulled_apart(placed, APART))):
        drawn = picture_of(shown, seen_from(shown, view), here)
        bottom = head - (at + 1) * pictures / 2
        strokes += _drawn(drawn, (MARGIN, bottom, wide - 2 * MARGIN, pictures / 2))
    first = int(room / step + 1e-9)
    words += _column(lines[:first], MARGIN + room, step)
    yield Page(width=wide, height=high, strokes=tuple(strokes), words=tuple(words))
    each = int((high - 2 * MARGIN) / step)
    for start in range(first, len(lines), each):
        rest = _column(lines[start : start + each], high - MARGIN, step)
        yield Page(width=wide, height=high, strokes=(), words=tuple(rest))


def _column(lines: Sequence[str], top: float, step: float) -> list[Words]:
    return [Words(MARGIN, top - (at + 1) * step, TEXT, line) for at, line in enumerate(lines)]


def _lines(build: Build, assembly: Assembly, placed: Sequence[Placed], signs: int) -> Iterator[str]:
    """The order in words, wrapped, then the assembly's notes."""
    order = laying_order(build, placed)
    yield from wrap(order_words(order), signs)
    for at, line in enumerate(laying_lines(build, order, name_in(build)), start=1):
        if line.row:
            yield line.row
        yield from wrap(f"{at}. {line.words}", signs, subsequent_indent="    ")
    yield from (row for each in assembly.notes.splitlines() for row in wrap(each, signs))


def _drawn(picture: Picture, at: tuple[float, float, float, float]) -> Iterator[Stroke]:
    """The faces from back to front, each white or grey with its outline: what is in front covers what is behind."""
    left, bottom, wide, high = at
    place = fitted(picture, wide, high, upward=True)
    for face, role in picture.faces:
        points = [(left + x, bottom + y) for x, y in map(place, face.outline)]
        path: tuple[Step, ...] = (("move", points[0]), *(_line_to(point) for point in points[1:]), ("close", ()))
        fill = _MARKED if role == "here" else 1.0 - 0.4 * (1.0 - face.shade)
        yield Stroke(path=path, width=_HAIR, fill=fill, pen=fill)
        for one, two in face.edges:
            ends = [(left + x, bottom + y) for x, y in map(place, (one, two))]
            yield Stroke(path=(("move", ends[0]), _line_to(ends[1])), width=_INK)


def _line_to(point: Flat) -> Step:
    return ("line", point)


def _read(build: Build, millimetres: float) -> str:
    return read_length(Length.of(millimetres, "mm"), build.shop.mark).plain
