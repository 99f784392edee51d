"""Type on paper: measuring, fitting and setting words in 1-bit dots, with fractions as a tape shows them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Literal

import numpy as np
from msgspec import Struct
from PIL import Image, ImageDraw, ImageFont

from tracker.fonts import BOLD, REGULAR, WIDE, font_path
from tracker.paper.ink import Dots, Ink, Placed, ink_of

Weight = Literal["regular", "bold"]

CAPITAL = 0.711
"""The cap height as a multiple of the font size (Roboto)."""
SMALL = 0.68
"""The size of a fraction's figures; below two thirds they are hard to read at arm's length."""
ELLIPSIS = "…"

_FILES = {"regular": REGULAR, "bold": BOLD, "wide": WIDE}
_FRACTION = re.compile(r"([0-9]+)⁄([0-9]+)")
_NOT_A_CHARACTER = "\U0010fffe"


@lru_cache(maxsize=512)
def _font(file: str, dots: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(font_path(file)), dots, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=4096)
def has_glyph(weight: Weight | Literal["wide"], character: str) -> bool:
    """Whether the font has a glyph for `character`, and not only the box for a missing one."""
    font = _font(_FILES[weight], 24)
    mask, missing = font.getmask(character, "1"), font.getmask(_NOT_A_CHARACTER, "1")
    return (mask.size, bytes(mask)) != (missing.size, bytes(missing))


@lru_cache(maxsize=2)
def _usual(weight: Weight) -> frozenset[str]:
    """The characters of Latin-1 and of our labels that the font has: most words consist of these."""
    signs = (*map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100))), *"⁄″′×·–—−…½\u2009")
    return frozenset(sign for sign in signs if has_glyph(weight, sign))


def missing(text: str) -> str:
    """The characters that none of the fonts has, each once: they print as a box."""
    strange = {sign for sign in text if sign.isprintable()} - _usual("regular")
    return "".join(sorted(sign for sign in strange if not (has_glyph("regular", sign) or has_glyph("wide", sign))))


Box = tuple[int, int, int, int]
"""Left, top, right, bottom, in dots from the pen on the line."""


class _Glyph(Struct, frozen=True):
    """One character's ink, its position, and the advance of the pen, in dots. If a glyph isn't `whole`, some of its
    dots are outside its box; at the end of a line these are cut off, and inside a line they show."""

    dots: Dots
    ink: Ink
    box: Box
    advance: int
    whole: bool


class _Advances(dict[str, int]):
    """The advance of the pen for each character of a font, in dots."""

    def __init__(self, font: ImageFont.FreeTypeFont) -> None:
        super().__init__()
        self._font = font

    def __missing__(self, character: str) -> int:
        self[character] = advance = round(self._font.getlength(character, "1"))
        return advance


@lru_cache(maxsize=512)
def _advances(file: str, dots: int) -> _Advances:
    return _Advances(_font(file, dots))


@lru_cache(maxsize=4096)
def _glyph(file: str, dots: int, character: str) -> _Glyph:
    font = _font(file, dots)
    ink, box = _drawn(font, character)
    before = round(font.getlength(_TALL, "1"))
    room = (box[2] - box[0] + 2 * _SPILL, box[3] - box[1] + 2 * _SPILL)
    alone, among = Image.new("1", room), Image.new("1", room)
    alone.paste(Image.fromarray(ink), (_SPILL, _SPILL))
    at = (_SPILL - box[0] - before, _SPILL - box[1])
    ImageDraw.Draw(among).text(at, f"{_TALL}{character}   ", fill=1, font=font, anchor="ls")
    return _Glyph(ink, ink_of(ink), box, _advances(file, dots)[character], alone.tobytes() == among.tobytes())


_TALL, _SPILL = "|Å   ", 3
"""Drawn before a glyph, so that nothing of it is cut off, with room for the dots outside its box."""


def _drawn(font: ImageFont.FreeTypeFont, text: str) -> tuple[Dots, Box]:
    left, top, right, bottom = (int(side) for side in font.getbbox(text, "1", anchor="ls"))
    ink = Image.new("1", (max(1, right - left), max(1, bottom - top)))
    ImageDraw.Draw(ink).text((-left, -top), text, fill=1, font=font, anchor="ls")
    return np.asarray(ink), (left, top, right, bottom)


class _Run(Struct, frozen=True):
    """Characters of one font, raised above the line by `rise` dots.

    In 1-bit dots, glyphs are placed on whole dots and aren't kerned, so a run is its glyphs one after the other:
    drawing each once and reusing it takes a fifth of the time of drawing every line.
    """

    text: str
    file: str
    dots: int
    rise: float
    width: float

    def pieces(self) -> Iterator[tuple[Dots, Box]]:
        """The ink and its position from the start of the run: glyph by glyph where that makes the same dots."""
        glyphs = [_glyph(self.file, self.dots, character) for character in self.text]
        if not all(glyph.whole for glyph in glyphs):
            yield _drawn(_font(self.file, self.dots), self.text)
            return
        pen = 0
        for glyph in glyphs:
            left, top, right, bottom = glyph.box
            yield glyph.dots, (pen + left, top, pen + right, bottom)
            pen += glyph.advance


@lru_cache(maxsize=2048)
def _runs(text: str, weight: Weight, dots: int) -> tuple[_Run, ...]:
    if "⁄" not in text:
        return tuple(_plain_runs(text, weight, dots, 0))
    runs: list[_Run] = []
    at = 0
    for fraction in _FRACTION.finditer(text):
        runs += _plain_runs(text[at : fraction.start()], weight, dots, 0)
        small = max(1, round(dots * SMALL))
        runs += _plain_runs(fraction[1], weight, small, (dots - small) * CAPITAL)
        runs += _plain_runs("⁄", weight, dots, 0)
        runs += _plain_runs(fraction[2], weight, small, 0)
        at = fraction.end()
    return tuple(runs + _plain_runs(text[at:], weight, dots, 0))


def _plain_runs(text: str, weight: Weight, dots: int, rise: float) -> list[_Run]:
    """Split where the font has no glyph: those characters come from the font that has the most of them."""
    if text and _usual(weight).issuperset(text):
        return [_run(text, _FILES[weight], dots, rise)]
    runs: list[_Run] = []
    start = 0
    for at in range(1, len(text) + 1):
        if at < len(text) and has_glyph(weight, text[at]) == has_glyph(weight, text[start]):
            continue
        file = _FILES[weight if has_glyph(weight, text[start]) else "wide"]
        runs.append(_run(text[start:at], file, dots, rise))
        start = at
    return runs


def _run(text: str, file: str, dots: int, rise: float) -> _Run:
    return _Run(text, file, dots, rise, sum(map(_advances(file, dots).__getitem__, text)))


@lru_cache(maxsize=8192)
def width(text: str, weight: Weight, dots: int) -> float:
    """The width of the words in dots, at a font size of `dots`."""
    return sum(run.width for run in _runs(text, weight, dots))


def put(draw: ImageDraw.ImageDraw, x: float, baseline: float, text: str, weight: Weight, dots: int) -> None:
    """Draw one line in black, starting at `x`, on `baseline`."""
    for line in placed(x, baseline, text, weight, dots):
        draw.bitmap((line.left, line.top), line.ink.picture(), fill=0)


def placed(x: float, baseline: float, text: str, weight: Weight, dots: int) -> Iterator[Placed]:
    """One line starting at `x`, on `baseline`; empty where there are no words."""
    if text:
        line = _line(text, weight, dots)
        yield Placed(line.ink, round(x) + line.left, round(baseline) + line.top)


def placed_by_glyph(x: float, baseline: float, text: str, weight: Weight, dots: int) -> list[Placed]:
    """The same dots as `placed`, for a line that is on one label only: its glyphs are cached, and the line isn't."""
    pen, ink = 0.0, []
    for run in _runs(text, weight, dots):
        left, low = round(x) + round(pen), round(baseline) - round(run.rise)
        for character in run.text:
            glyph = _glyph(run.file, run.dots, character)
            if not glyph.whole:
                return list(placed(x, baseline, text, weight, dots))
            if glyph.box[2] > glyph.box[0]:  # a space has no ink
                ink.append(Placed(glyph.ink, left + glyph.box[0], low + glyph.box[1]))
            left += glyph.advance
        pen += run.width
    return ink


@lru_cache(maxsize=512)
def _line(text: str, weight: Weight, dots: int) -> Placed:
    """A line's ink, and its position from the start of the line.

    Cached, because the labels of a build repeat the same words.
    """
    pen = 0.0
    glyphs: list[tuple[Dots, int, int, int, int]] = []
    for run in _runs(text, weight, dots):
        at, rise = round(pen), round(run.rise)
        glyphs += (
            (ink, at + left, top - rise, at + right, bottom - rise) for ink, (left, top, right, bottom) in run.pieces()
        )
        pen += run.width
    x0, y0 = min((each[1] for each in glyphs), default=0), min((each[2] for each in glyphs), default=0)
    x1, y1 = max((each[3] for each in glyphs), default=1), max((each[4] for each in glyphs), default=1)
    line = np.zeros((max(1, y1 - y0), max(1, x1 - x0)), bool)
    for ink, left, top, _, _ in glyphs:
        line[top - y0 : top - y0 + ink.shape[0], left - x0 : left - x0 + ink.shape[1]] |= ink
    return Placed(ink_of(line), x0, y0)


def fit(text: str, weight: Weight, dots: int, least: int, room: float) -> tuple[str, int]:
    """The words, and the largest font size from `dots` down to `least` at which they fit in `room` dots.

    When even the smallest is too wide, the words are shortened; a number at the end (`2 of 4`) is kept.
    """
    if width(text, weight, dots) <= room:
        return text, dots
    guess = max(least, min(dots, 2 + int(dots * room / width(text, weight, dots))))
    while guess > least and width(text, weight, guess) > room:
        guess -= 1
    if width(text, weight, guess) <= room:
        return text, guess
    return _shortened(text, weight, least, room), least


_GLUE = "\u00a0"
_GLUED = re.compile(r" (?=×|mm\b|in\b|[0-9]+⁄|of [0-9]+\Z)|(?<=\bof) (?=[0-9]+\Z)")
_NUMBERED = re.compile(r"(.*?)( [0-9]+ of [0-9]+)")


def _shortened(text: str, weight: Weight, dots: int, room: float) -> str:
    numbered = _NUMBERED.fullmatch(text)
    words, tail = (numbered[1], numbered[2]) if numbered else (text, "")
    keep = len(words)
    while keep > 0:
        shorter = words[:keep].rstrip() + ELLIPSIS + tail
        if width(shorter, weight, dots) <= room:
            return shorter
        keep -= 1
    return ELLIPSIS if width(ELLIPSIS + tail, weight, dots) > room else ELLIPSIS + tail


def wrap(text: str, weight: Weight, dots: int, room: float) -> list[str]:
    """Lines broken between words, never between a number and its unit or within `2 of 4`; a single word may be
    wider."""
    lines: list[str] = []
    for word in _GLUED.sub(_GLUE, text).split(" "):
        if lines and width(f"{lines[-1]} {word}", weight, dots) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return [line.replace(_GLUE, " ") for line in lines]
