"""Import and export of drawings: svgelements and ezdxf read ours, we read theirs, and other files are refused."""

from __future__ import annotations

import io
import random
import re
from collections.abc import Iterator
from math import atan
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from click.testing import CliRunner
from drawing_judge import hostile, random_dxf, random_svg, svg_area
from ezdxf.math import bulge_center
from outline_kit import FORK, PANEL, SEAT, made, polygon, random_outline
from shapely.geometry import Polygon

from tracker.cards.reports.template import area_and_centre
from tracker.cards.template.drawing_files import dxf_drawing, svg_drawing
from tracker.cli.main import commands
from tracker.design import load_build
from tracker.intake.drawings import outline_text, read_drawing
from tracker.intake.errors import IntakeError
from tracker.plan.outline import Outlined, outlined
from tracker.plan.outline.curve import moments
from tracker.plan.place import Placer


def area_of(data: bytes) -> float:
    drawing = read_drawing(data, "x")
    return sum(
        abs(moments(loop)[0]) * sign
        for loop, sign in zip((drawing.outer, *drawing.cutouts), (1, *[-1] * 99), strict=False)
    )


def read_or_refused(data: bytes) -> bool:
    """Whether a drawing is read, in which case its outline loads; otherwise it is refused in one sentence."""
    said = ""
    try:
        text = outline_text(read_drawing(data, "x"), "it", "panel", "mm")
    except IntakeError as wrong:
        said = str(wrong)
    if said:
        assert len(said) < 400
        assert "\n" not in said
        return False
    loaded = load_build(PANEL + text)
    assert loaded.build is not None, loaded.problems
    return True


def svg_is_the_outline(each: Outlined) -> None:
    """Check its area and its width as another reader finds them."""
    text = svg_drawing(each, "it <&>")
    (d,) = re.findall(r'<path d="([^"]*)"', text)
    assert svg_area(d) == pytest.approx(area_and_centre(each)[0], rel=2e-4)  # the judge's chords
    wide = float(re.findall(r'width="([\d.]+)mm"', text)[0])
    assert wide == pytest.approx(polygon(each).bounds[2] - polygon(each).bounds[0], abs=1e-3)


def drawn(line: Any) -> Iterator[tuple[float, float]]:
    """Points of a closed polyline, its arcs by the reader's own formula for bulges (its Béziers are off by 0.03 %)."""
    vertices = list(line.vertices)
    for one, two in zip(vertices, [*vertices[1:], vertices[0]], strict=True):
        start, end, bulge = one.dxf.location.vec2, two.dxf.location.vec2, one.dxf.get("bulge", 0.0)
        yield start.x, start.y
        if bulge:
            centre, turn = bulge_center(start, end, bulge), 4 * atan(bulge)
            for step in range(1, 200):
                point = centre + (start - centre).rotate(turn * step / 200)
                yield point.x, point.y


def dxf_is_the_outline(each: Outlined) -> None:
    """Check that another reader finds no error, and the same area in the same place."""
    doc = ezdxf.read(io.StringIO(dxf_drawing(each)))
    assert doc.audit().errors == []
    rings = [list(drawn(line)) for line in doc.modelspace().query("POLYLINE")]
    shape = Polygon(rings[0], rings[1:])
    assert shape.symmetric_difference(polygon(each, 1e-3)).area < 0.02 * polygon(each).length


@pytest.mark.parametrize("seed", range(4))
def test_our_drawings_are_the_outline_to_another_reader(seed: int) -> None:
    """A few; `python -m tests.bench.drawings out 200` counts hundreds."""
    svg_is_the_outline(made(random_outline(random.Random(seed))))
    dxf_is_the_outline(made(random_outline(random.Random(50 + seed))))


@pytest.mark.parametrize("seed", range(8))
def test_a_drawing_comes_in_as_large_as_it_is(seed: int) -> None:
    rng = random.Random(seed)
    svg, area = random_svg(rng)
    assert area_of(svg.encode()) == pytest.approx(area, rel=2e-4)  # the judge's chords
    dxf, area = random_dxf(rng)
    assert area_of(dxf) == pytest.approx(area, rel=1e-6)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("outline", [SEAT, FORK, "oval = [300, 200]"])
def test_out_and_in_again_is_the_same(outline: str, units: str) -> None:
    each = made(outline)
    area, chords = area_and_centre(each)[0], 0.005 * polygon(each).length  # in R12 a cubic curve is chords
    for data, off in ((svg_drawing(each, "x").encode(), 1e-5 * area), (dxf_drawing(each).encode(), chords)):
        table = outline_text(read_drawing(data, "x"), "back", "panel", units)  # type: ignore[arg-type]
        loaded = load_build(
            PANEL.replace('"mm"', f'"{units}"').replace("120", "120.0" if units == "mm" else "12") + table
        )
        assert loaded.build is not None, loaded.problems
        again = outlined(loaded.build, Placer(loaded.build), loaded.build.outlines[0])
        assert area_and_centre(again)[0] == pytest.approx(area, abs=off)
        assert len(again.cutouts) == len(each.cutouts)


BOMB = b'<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><svg>&b;</svg>'
NO_DRAWINGS = {
    "empty": b"",
    "words": b"hello there",
    "binary": bytes(range(256)) * 20,
    "binary dxf": b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(100),
    "entities": BOMB,
    "packed": b"PK\x03\x04" + bytes(50),
    "html": b"<html><body>no</body></html>",
    "broken": b'<svg width="10mm" viewBox="0 0 10 10"><path d="M 0 0 L',
    "no curve": b'<svg width="10mm" viewBox="0 0 10 10"><text>a</text><path d="M 0 0 L 5 5"/></svg>',
    "nested": b"<svg>" + b"<g>" * 400 + b"</g>" * 400 + b"</svg>",
    "points": b'<svg><path d="M 0 0 ' + b"L 1 2 " * 300_000 + b'z"/></svg>',
    "far": b'<svg><path d="M 0 0 L 1e300 0 L 0 1e300 z"/></svg>',
    "transform": b'<svg><g transform="matrix(1 2 3)"><rect width="50" height="50"/></g></svg>',
    "large": b"<svg>" + b" " * 4_000_001,
    "dxf without curves": b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n",
    "dxf number": b"0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n10\nnan\n20\n0\n40\n5\n0\nENDSEC\n0\nEOF\n",
    "dxf lines": b"0\nSECTION\n2\nENTITIES\n" + b"0\nLINE\n10\n1\n" * 120_000,
}


@pytest.mark.parametrize("name", NO_DRAWINGS)
def test_what_is_no_drawing_is_said_in_one_sentence(name: str, tmp_path: Path) -> None:
    file = tmp_path / "drawing.svg"
    file.write_bytes(NO_DRAWINGS[name])
    done = CliRunner().invoke(commands, ["import-outline", str(file)])
    assert done.exit_code == 1
    assert len(done.stderr.splitlines()) == 1, done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize("seed", range(3))
def test_spoilt_drawings_are_read_or_refused(seed: int) -> None:
    """`python -m tests.bench.drawings spoilt COUNT` does the same by the thousand."""
    for number in range(50):
        read_or_refused(hostile(random.Random(f"{seed}:{number}")))


def test_the_command_makes_a_table_that_loads(tmp_path: Path) -> None:
    (tmp_path / "my seat.svg").write_text(svg_drawing(made(SEAT), "x"))
    done = CliRunner().invoke(commands, ["import-outline", str(tmp_path / "my seat.svg")])
    assert done.exit_code == 0, done.output
    assert load_build(PANEL + done.stdout).build is not None
    assert 'id = "my-seat"' in done.stdout
