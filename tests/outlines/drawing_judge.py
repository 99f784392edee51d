"""Drawings made here and read by independent libraries: svgelements and ezdxf."""

from __future__ import annotations

import io
import random
from functools import lru_cache
from math import cos, hypot, pi, sin

import ezdxf
import svgelements
from ezdxf.path import make_path
from shapely.geometry import Polygon

UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "px": 25.4 / 96}
SPOILS = (b"nan", b"inf", b"1e400", b"-", b"999999999999", b"0", b"<", b"\x00", b"\n", b"1e-320")
VERSIONS = ("R12", "R2000", "R2004", "R2010", "R2018")


def svg_area(d: str, scale: float = 1.0) -> float:
    """The area of path data as svgelements draws it, in units × scale²."""
    total = 0.0
    for part in svgelements.Path(d).as_subpaths():
        points = []
        for segment in svgelements.Path(part):
            if isinstance(segment, (svgelements.Move, svgelements.Close)):
                continue
            points += [segment.point(step / 400) for step in range(401)]
        shape = Polygon([(p.x, p.y) for p in points])
        total += shape.area if total == 0.0 else -shape.area
    return total * scale * scale


def random_svg(rng: random.Random) -> tuple[str, float]:
    """An SVG file with one shape under a transform, and the area of that shape in mm²."""
    unit = rng.choice(list(UNITS))
    wide = rng.randint(100, 400)
    d, element = _random_shape(rng)
    transform, factor = _random_transform(rng)
    box = rng.uniform(0.5, 2)
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide * 1.0}{unit}" height="{wide * 1.0}{unit}" '
        f'viewBox="0 0 {wide * box} {wide * box}"><g transform="{transform}">{element}</g></svg>'
    )
    return text, svg_area(d, UNITS[unit] / box) * factor


def _random_shape(rng: random.Random) -> tuple[str, str]:
    x, y, a, b = (round(rng.uniform(20, 80), 3) for _ in range(4))
    kind = rng.choice(["rect", "ellipse", "polygon", "path"])
    if kind == "rect":
        return f"M{x},{y}h{a}v{b}h{-a}z", f'<rect x="{x}" y="{y}" width="{a}" height="{b}"/>'
    if kind == "ellipse":
        d = f"M{x + a},{y}A{a},{b} 0 0 1 {x - a},{y}A{a},{b} 0 0 1 {x + a},{y}z"
        return d, f'<ellipse cx="{x}" cy="{y}" rx="{a}" ry="{b}"/>'
    if kind == "polygon":
        corners = [(round(60 + rng.uniform(20, 50) * cos(t), 3), round(60 + rng.uniform(20, 50) * sin(t), 3))
                   for t in (2 * pi * at / 6 for at in range(6))]  # fmt: skip
        points = " ".join(f"{px},{py}" for px, py in corners)
        return f"M{points}z", f'<polygon points="{points}"/>'
    third, half = round(b / 3, 3), round(b / 2, 3)
    d = f"M{x},{y}c{a},{-third} {a * 2},{third} {a},{b}s{-a / 2:.3f},{b} {-a},{half}q{-a / 4:.3f},{-half} 0,{-half}z"
    return d, f'<path d="{d}"/>'


def _random_transform(rng: random.Random) -> tuple[str, float]:
    """A transform, and its factor for areas (its determinant, by hand)."""
    turn, k, m, skew = rng.uniform(-180, 180), rng.uniform(0.3, 2), rng.uniform(0.3, 2), rng.uniform(-40, 40)
    return rng.choice(
        [
            ("", 1.0),
            (f"rotate({turn:.4f})", 1.0),
            (f"rotate({turn:.4f} 30 40)", 1.0),
            (f"translate(5,-7) scale({k:.5f})", round(k, 5) ** 2),
            (f"scale({k:.5f},{-m:.5f})", round(k, 5) * round(m, 5)),
            (f"skewX({skew:.4f})", 1.0),
            (f"matrix({k:.5f} 0.1 0.2 {m:.5f} 3 4)", abs(round(k, 5) * round(m, 5) - 0.02)),
        ]
    )


def random_dxf(rng: random.Random) -> tuple[bytes, float]:
    """A DXF file written by ezdxf: one closed shape in one of five ways, and its area in mm² by hand."""
    version = rng.choice(VERSIONS)
    doc = ezdxf.new(version)
    unit, mm = rng.choice([(1, 25.4), (4, 1.0), (5, 10.0)]) if version != "R12" else (0, 1.0)
    doc.header["$INSUNITS"] = unit
    space = doc.modelspace()
    wide, deep, r = rng.uniform(40, 90), rng.uniform(30, 80), rng.uniform(2, 12)
    kind = rng.choice(
        ["circle", "loose", "bulges", "ellipse", "spline"] if version != "R12" else ["circle", "loose", "bulges"]
    )
    if kind == "circle":
        space.add_circle((wide, deep), r)
        area = pi * r * r
    elif kind == "loose":
        area = _loose(space, rng, wide, deep, r)
    elif kind == "bulges":
        area = _bulges(space, version, wide, deep)
    elif kind == "ellipse":
        ratio = rng.uniform(0.2, 0.9)
        space.add_ellipse((0, 0), (wide, deep / 3), ratio)
        area = pi * hypot(wide, deep / 3) ** 2 * ratio
    else:
        control = [(0, 0), (wide, 0), (wide * 1.2, deep), (wide / 2, deep * 1.3), (0, deep), (-20, deep / 2), (0, 0)]
        space.add_open_spline(control, degree=3)
        (spline,) = space.query("SPLINE")
        area = Polygon([(v.x, v.y) for v in make_path(spline).flattening(1e-5)]).area
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode(), area * mm * mm


def _loose(space: object, rng: random.Random, wide: float, deep: float, r: float) -> float:
    """A rectangle with rounded corners, as lines and arcs in any order and direction."""
    x1, y1 = wide, deep
    lines = [((r, 0.0), (x1 - r, 0.0)), ((x1, r), (x1, y1 - r)), ((x1 - r, y1), (r, y1)), ((0.0, y1 - r), (0.0, r))]
    arcs = [((x1 - r, r), 270), ((x1 - r, y1 - r), 0), ((r, y1 - r), 90), ((r, r), 180)]
    todo: list[tuple[str, object]] = [("line", each) for each in lines] + [("arc", each) for each in arcs]
    rng.shuffle(todo)
    for kind, each in todo:
        if kind == "line":
            p, q = each if rng.random() < 0.5 else each[::-1]  # type: ignore[index]
            space.add_line(p, q)  # type: ignore[attr-defined]
        else:
            centre, begin = each  # type: ignore[misc]
            space.add_arc(centre, r, begin, begin + 90)  # type: ignore[attr-defined]
    return wide * deep - (4 - pi) * r * r


def _bulges(space: object, version: str, wide: float, deep: float) -> float:
    """A rectangle whose short sides are half circles: bulges of 1."""
    corners = [(0, 0, 0), (wide, 0, 1), (wide, deep, 0), (0, deep, 1)]
    if version == "R12":
        space.add_polyline2d(corners, format="xyb", close=True)  # type: ignore[attr-defined]
    else:
        space.add_lwpolyline(corners, format="xyb", close=True)  # type: ignore[attr-defined]
    return wide * deep + pi * (deep / 2) ** 2


@lru_cache(maxsize=1)
def _originals() -> tuple[bytes, ...]:
    made = [random.Random(f"original:{number}") for number in range(10)]
    return (*(random_svg(rng)[0].encode() for rng in made), *(random_dxf(rng)[0] for rng in made))


def hostile(rng: random.Random) -> bytes:
    """A damaged drawing: bytes changed, doubled, left out or inserted."""
    text = bytearray(rng.choice(_originals()))
    if len(text) > 6000:  # a DXF's header is long: damage the entities
        text = bytearray(b"  0\nSECTION\n  2\n") + text[text.rfind(b"ENTITIES") :]
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(text) or 1)
        what = rng.random()
        if what < 0.4:
            text[at : at + 1] = bytes([rng.randrange(256)])
        elif what < 0.6:
            del text[at : at + rng.randint(1, 40)]
        elif what < 0.8:
            text[at:at] = text[at : at + rng.randint(1, 60)]
        else:
            text[at:at] = rng.choice(
                [b"nan", b"inf", b"1e400", b"-", b"999999999999", b"0", b"<", b"\x00", b"\n", b"1e-320"]
            )
    return bytes(text)
