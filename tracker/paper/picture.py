"""The picture of an assembly as a file: PNG for a page or a message, SVG for a plan. Lines stay lines in the SVG."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from xml.sax.saxutils import escape

from PIL import Image, ImageDraw

from tracker.cards.picture import Flat, Picture, Role, dashed, edges_of, fitted

Colour = tuple[int, int, int]
PAPER: Colour = (255, 255, 255)
INK: Colour = (40, 34, 28)
PALE_INK: Colour = (150, 145, 135)
BLUE: Colour = (31, 84, 143)
FILLS: dict[Role, Colour] = {
    "wood": (226, 196, 150),
    "pale": (240, 236, 228),
    "missing": PAPER,
    "here": (92, 143, 196),
}
VEIL = 0.4
"""How strongly the current piece shows through what hides it."""
_OVERSAMPLED = 2


def draw_picture(picture: Picture, width: int = 1200, height: int = 900) -> Image.Image:
    """The picture in points, drawn at twice its size and reduced for smooth edges."""
    size = (width * _OVERSAMPLED, height * _OVERSAMPLED)
    place = fitted(picture, *size)
    image = Image.new("RGB", size, PAPER)
    draw = ImageDraw.Draw(image)
    line = max(1, round(1.2 * _OVERSAMPLED))
    for face, role in picture.faces:
        outline = [place(point) for point in face.outline]
        draw.polygon(outline, fill=_shaded(FILLS[role], face.shade))
        ink = INK if role in ("wood", "here") else PALE_INK
        for one, two in face.edges:
            draw.line([place(one), place(two)], fill=ink, width=line)
    if picture.dashes:
        veil = Image.new("L", size, 0)
        mask = ImageDraw.Draw(veil)
        for flat in picture.dashes:
            mask.polygon([place(point) for point in flat], fill=round(255 * VEIL))
        image.paste(Image.new("RGB", size, FILLS["here"]), (0, 0), veil)
        draw = ImageDraw.Draw(image)
        for edge in edges_of(picture.dashes):
            for start, end in dashed(place(edge[0]), place(edge[1]), 7.0 * _OVERSAMPLED):
                draw.line([start, end], fill=BLUE, width=line)
    return image.reduce(_OVERSAMPLED)


def png_picture(picture: Picture, width: int = 1200, height: int = 900) -> bytes:
    """The picture as a PNG file."""
    data = BytesIO()
    draw_picture(picture, width, height).save(data, "PNG")
    return data.getvalue()


def svg_picture(picture: Picture, title: str, width: int = 1200, height: int = 900) -> str:
    """The picture as SVG 1.1 (W3C), `width` by `height` user units."""
    place = fitted(picture, width, height)
    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{width}" height="{height}" fill="{_hex(PAPER)}"/>',
        '<g stroke-width="1.2" stroke-linejoin="round">',
    ]
    for face, role in picture.faces:
        ink = _hex(INK if role in ("wood", "here") else PALE_INK)
        fill = _hex(_shaded(FILLS[role], face.shade))  # its own pen closes the hairline between two faces in one plane
        rows.append(
            f'<polygon points="{_points(map(place, face.outline))}" fill="{fill}" stroke="{fill}" stroke-width="0.4"/>'
        )
        if face.edges:
            lines = " ".join(f"M{_points(map(place, edge)).replace(' ', ' L')}" for edge in face.edges)
            rows.append(f'<path d="{lines}" fill="none" stroke="{ink}"/>')
    if picture.dashes:
        rows.append(
            f'<g fill="{_hex(FILLS["here"])}" fill-opacity="0.12" stroke="{_hex(BLUE)}" stroke-dasharray="5 4">'
        )
        rows += [f'<polygon points="{_points(map(place, outline))}"/>' for outline in picture.dashes]
        rows.append("</g>")
    return "\n".join([*rows, "</g>", "</svg>", ""])


def _shaded(colour: Colour, shade: float) -> Colour:
    red, green, blue = (min(255, int(each * shade)) for each in colour)
    return (red, green, blue)


def _points(outline: Iterator[Flat]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in outline)


def _hex(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)
