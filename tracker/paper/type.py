"""Type on paper: measuring, fitting and setting words in 1-bit dots, with fractions as a tape shows them."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Literal

from msgspec import Struct
from PIL import Image, ImageDraw, ImageFont

from tracker.fonts import BOLD, REGULAR, WIDE, font_path

Weight = Literal["regular", "bold"]

CAPITAL = 0.711
"""The height of a capital, in font sizes (Roboto)."""
SMALL = 0.68
"""The size of a fraction's figures; under two thirds they are hard to read at arm's length."""
ELLIPSIS = "…"

_FILES = {"regular": REGULAR, "bold": BOLD, "wide": WIDE}
_FRACTION = re.compile(r"([0-9]+)⁄([0-9]+)")
_NOT_A_CHARACTER = "\U0010fffe"


@lru_cache(maxsize=512)
def _font(file: str, dots: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(font_path(file)), dots, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=4096)
def has_glyph(weight: Weight | Literal["wide"], character: str) -> bool:
    """Whether the font draws `character` itself, and not the box that stands for a missing one."""
    font = _font(_FILES[weight], 24)
    mask, missing = font.getmask(character, "1"), font.getmask(_NOT_A_CHARACTER, "1")
    return (mask.size, bytes(mask)) != (missing.size, bytes(missing))


@lru_cache(maxsize=2)
def _usual(weight: Weight) -> frozenset[str]:
    """The signs of Latin-1 and of our own labels that the font has: what most words are made of."""
    signs = (*map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100))), *"⁄″′×·–—−…½\u2009")
    return frozenset(sign for sign in signs if has_glyph(weight, sign))


def missing(text: str) -> str:
    """The signs that none of the fonts has, each once: they print as a box."""
    strange = {sign for sign in text if sign.isprintable()} - _usual("regular")
    return "".join(sorted(sign for sign in strange if not (has_glyph("regular", sign) or has_glyph("wide", sign))))


class _Run(Struct, frozen=True):
    """Characters of one font, raised above the line by `rise` dots."""

    text: str
    font: ImageFont.FreeTypeFont
    rise: float
    width: float


@lru_cache(maxsize=2048)
def _runs(text: str, weight: Weight, dots: int) -> tuple[_Run, ...]:
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
    """Split where the font has no glyph: those characters come from the font with the most of them."""
    if text and _usual(weight).issuperset(text):
        font = _font(_FILES[weight], dots)
        return [_Run(text, font, rise, font.getlength(text, "1"))]
    runs: list[_Run] = []
    start = 0
    for at in range(1, len(text) + 1):
        if at < len(text) and has_glyph(weight, text[at]) == has_glyph(weight, text[start]):
            continue
        file = _FILES[weight if has_glyph(weight, text[start]) else "wide"]
        font = _font(file, dots)
        runs.append(_Run(text[start:at], font, rise, font.getlength(text[start:at], "1")))
        start = at
    return runs


@lru_cache(maxsize=8192)
def width(text: str, weight: Weight, dots: int) -> float:
    """How wide the words are, in dots, at a font size of `dots`."""
    return sum(run.width for run in _runs(text, weight, dots))


def put(draw: ImageDraw.ImageDraw, x: float, baseline: float, text: str, weight: Weight, dots: int) -> None:
    """Set one line, black, from `x` on, standing on `baseline`."""
    if text:
        ink, left, top = _ink(text, weight, dots)
        draw.bitmap((round(x) + left, round(baseline) + top), ink, fill=0)


@lru_cache(maxsize=512)
def _ink(text: str, weight: Weight, dots: int) -> tuple[Image.Image, int, int]:
    """A line's ink, and its left and top edge from where the line begins.

    Kept, because the labels of a build say the same things again and again.
    """
    x, placed = 0.0, []
    for run in _runs(text, weight, dots):
        left, top, right, bottom = (int(side) for side in run.font.getbbox(run.text, "1", anchor="ls"))
        at, rise = round(x), round(run.rise)
        placed.append((run, (at, -rise), (at + left, top - rise, at + right, bottom - rise)))
        x += run.width
    low = [min(box[side] for *_, box in placed) for side in (0, 1)]
    high = [max(box[side] for *_, box in placed) for side in (2, 3)]
    picture = Image.new("1", (max(1, high[0] - low[0]), max(1, high[1] - low[1])))
    draw = ImageDraw.Draw(picture)
    for run, (at, line), _ in placed:
        draw.text((at - low[0], line - low[1]), run.text, fill=1, font=run.font, anchor="ls")
    return picture, low[0], low[1]


def fit(text: str, weight: Weight, dots: int, least: int, room: float) -> tuple[str, int]:
    """The words and the largest font size from `dots` down to `least` at which they fit in `room` dots.

    When even the least is too wide, the words are cut short; a number at the end (`2 of 4`) is kept.
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
    """Lines that break between words, never between a number and its unit or within `2 of 4`; one word may be wider."""
    lines: list[str] = []
    for word in _GLUED.sub(_GLUE, text).split(" "):
        if lines and width(f"{lines[-1]} {word}", weight, dots) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return [line.replace(_GLUE, " ") for line in lines]
