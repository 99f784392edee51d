"""Counts of drawings, sheets and necks, larger than the tests' own.

Run `python -m tests.bench.drawings spoilt 20000`, or `lists 20000`, `files 400`, `paper 12`, `necks 200`.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "outlines"))
sys.path.insert(0, str(Path(__file__).parents[1] / "intake"))
import itertools

import spoilt_lists
from drawing_judge import hostile, random_dxf, random_svg
from outline_kit import random_outline
from paper_judge import read_sheets
from test_drawings import area_of, read_or_refused
from test_outline_problems import dumbbell, parts_at

from tracker.cards.template.tiles import PAPERS
from tracker.plan.outline.curve import Line, anticlockwise
from tracker.plan.outline.necks import necks


def spoilt(count: int) -> str:
    """Every spoilt drawing is read, and what it makes loads, or it is refused in a sentence."""
    read, slowest = 0, 0.0
    for number in range(count):
        data = hostile(random.Random(f"bench:{number}"))
        began = time.process_time()
        read += read_or_refused(data)
        slowest = max(slowest, time.process_time() - began)
    return f"{count} spoilt drawings: {read} read, {count - read} refused, none crashed; slowest {slowest:.2f} s"


def lists(count: int) -> str:
    """The same for cut lists."""
    read, slowest = 0, 0.0
    for number in range(count):
        data = spoilt_lists.spoilt(random.Random(f"bench:{number}"))
        began = time.process_time()
        read += spoilt_lists.read_or_refused(data)
        slowest = max(slowest, time.process_time() - began)
    return f"{count} spoilt cut lists: {read} read, {count - read} refused, none crashed; slowest {slowest:.2f} s"


def files(count: int) -> str:
    """Areas of drawings under transforms and in five versions against the judges'."""
    worst = {"svg": 0.0, "dxf": 0.0}
    for number in range(count):
        rng = random.Random(f"files:{number}")
        for kind, (data, area) in (("svg", random_svg(rng)), ("dxf", random_dxf(rng))):
            found = area_of(data if isinstance(data, bytes) else data.encode())
            worst[kind] = max(worst[kind], abs(found / area - 1))
    return f"{count} of each: SVG off by {worst['svg']:.1e} of its area at most, DXF by {worst['dxf']:.1e}"


def paper(count: int) -> str:
    """The printed line, every 3 mm, on four papers, the large page, and a printer that shrinks."""
    readings, worst = 0, 0.0
    for number in range(count):
        outline = random_outline(random.Random(f"paper:{number}"))
        for name in (*PAPERS, "whole"):
            for printer, scale in ((1.0, 1.0), (0.996, 1 / 0.996)):
                read = read_sheets(outline, name, printer, scale)
                readings += len(read.off)
                worst = max(worst, read.worst)
    return f"{readings} readings: worst {worst:.3f} mm"


def narrowest(count: int) -> str:
    """The narrowest neck against the width at which the shape parts."""
    missed = 0
    for number in range(count):
        shape = dumbbell(random.Random(f"necks:{number}"))
        corners = list(shape.exterior.coords)
        loop = anticlockwise(tuple(Line(p, q) for p, q in itertools.pairwise(corners)))
        width = parts_at(shape)
        missed += min(abs(neck.width - width) for neck in necks(loop, (), lambda _: 0.0)) > max(0.6, 0.02 * width)
    return f"{count} shapes: {missed} necks missed by more than 2 %"


if __name__ == "__main__":
    counts = {"spoilt": spoilt, "lists": lists, "files": files, "paper": paper, "necks": narrowest}
    print(counts[sys.argv[1]](int(sys.argv[2])))
