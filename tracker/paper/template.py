"""Full-size templates as PDF: pages of lines and words, drawn as vectors, not in dots."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from functools import lru_cache

from msgspec.structs import replace
from PIL import Image, ImageDraw

from tracker.cards.template.page import Page, Picture, Stroke, Words
from tracker.paper import type as setting
from tracker.paper.pdf import PdfPages

MM = 72 / 25.4
"""Points in a millimetre."""
DPI = 600
"""The resolution of words that the viewer's own type can't show."""


LARGEST_SIDE = 1400
"""How many dots of a maker's own picture are kept."""


def template_pdf(pages: Iterable[Page], title: str, read: Callable[[str], Image.Image] | None = None) -> bytes:
    """The pages, one after another. `read` opens a maker's own picture; where it raises ValueError, the page shows its
    sentence instead."""
    file = io.BytesIO()
    pdf = PdfPages(file, title)
    for page in pages:
        page, own = _with_pictures(page, read)
        pictures = [_picture(words) for words in page.words if not _plain(words.text)] + own
        pdf.add_lines((page.width * MM, page.height * MM), "\n".join(_operators(page)), pictures)
    pdf.finish()
    return file.getvalue()


def _with_pictures(
    page: Page, read: Callable[[str], Image.Image] | None
) -> tuple[Page, list[Image.Image]]:  # fmt: skip
    """The page with its pictures at their size, each in its box's upper left corner, and the pictures."""
    placed, images, words = [], [], list(page.words)
    for each in page.pictures:
        left, bottom, wide, high = each.at
        try:
            if read is None:
                raise ValueError("not beside the build file")
            image = read(each.file).convert("L")
        except ValueError as error:
            words.append(Words(left, bottom + high - 4, 3.4, f"{each.file}: {error}"))
            continue
        image.thumbnail((LARGEST_SIDE, LARGEST_SIDE))
        scale = min(wide / image.width, high / image.height)
        across, up = image.width * scale, image.height * scale
        placed.append(Picture((left, bottom + high - up, across, up), each.file))
        images.append(image)
    return replace(page, pictures=tuple(placed), words=tuple(words)), images


def _operators(page: Page) -> Iterable[str]:
    """PDF operators (ISO 32000-1, annex A), in millimetres from the lower left."""
    scale = MM * page.scale
    yield f"{scale:.8f} 0 0 {scale:.8f} 0 0 cm 1 J 1 j"
    if page.clip is not None:
        yield f"q {' '.join(map(_number, page.clip))} re W n"
        yield from (_stroke(each) for each in page.strokes if each.clipped)
        yield "Q"
    yield from (_stroke(each) for each in page.strokes if page.clip is None or not each.clipped)
    number = 0
    for words in page.words:
        if _plain(words.text):
            yield _words(words)
            continue
        wide, high, down = _size(words)
        yield f"q {_number(wide)} 0 0 {_number(high)} {_number(words.x)} {_number(words.y - down)} cm /P{number} Do Q"
        number += 1
    for picture in page.pictures:
        x, y, across, up = map(_number, picture.at)
        yield f"q {across} 0 0 {up} {x} {y} cm /P{number} Do Q"
        number += 1


def _stroke(stroke: Stroke) -> str:
    parts = [f"{_number(stroke.width)} w"]
    if stroke.pen:
        parts.append(f"{_number(stroke.pen)} G")
    if stroke.dashes:
        parts.append(f"[{' '.join(map(_number, stroke.dashes))}] 0 d 0 J")
    for kind, numbers in stroke.path:
        letter = {"move": "m", "line": "l", "cubic": "c", "close": "h"}[kind]
        parts.append(" ".join([*map(_number, numbers), letter]))
    paint = "B" if stroke.width else "f"
    parts.append("S" if stroke.fill is None else f"{_number(stroke.fill)} g {paint} 0 g")
    if stroke.dashes:
        parts.append("[] 0 d 1 J")
    if stroke.pen:
        parts.append("0 G")
    return " ".join(parts)


def _plain(text: str) -> bool:
    """Whether every viewer's Helvetica has all of its characters."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def _words(words: Words) -> str:
    escaped = words.text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
    octal = "".join(
        character if " " <= character <= "~" else f"\\{byte:03o}"
        for character in escaped
        for byte in character.encode("cp1252")
    )
    return f"BT /F {_number(words.size)} Tf {_number(words.x)} {_number(words.y)} Td ({octal}) Tj ET"


@lru_cache(maxsize=64)
def _picture(words: Words) -> Image.Image:
    """Words in the type of the labels, black on white."""
    dots = round(words.size * DPI / 25.4)
    picture = Image.new("1", (max(1, round(setting.width(words.text, "regular", dots))), round(dots * 1.3)), 1)
    setting.put(ImageDraw.Draw(picture), 0, dots, words.text, "regular", dots)
    return picture


def _size(words: Words) -> tuple[float, float, float]:
    """The width and height of its picture, and how far it extends below the line, in mm."""
    wide, high = _picture(words).size
    return wide * 25.4 / DPI, high * 25.4 / DPI, (high - round(words.size * DPI / 25.4)) * 25.4 / DPI


def _number(value: float) -> str:
    return f"{round(value, 4) + 0.0:.4f}".rstrip("0").rstrip(".")
