"""Counts of drawings, sheets and necks, larger than the tests' own.

Run `python -m tests.bench.drawings spoilt 20000`, or `lists 20000`, `files 400`, `out 200`, `paper 12`, `necks 200`,
`speed 5`.
"""

from __future__ import annotations

import io
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

import openpyxl

sys.path.insert(0, str(Path(__file__).parents[1] / "outlines"))
sys.path.insert(0, str(Path(__file__).parents[1] / "intake"))
import itertools

import spoilt_lists
from drawing_judge import hostile, random_dxf, random_svg
from outline_kit import SEAT, made, random_outline
from paper_judge import read_sheets
from test_drawings import area_of, dxf_is_the_outline, read_or_refused, svg_is_the_outline
from test_outline_problems import dumbbell, parts_at

from tracker.cards.template.template import sheets
from tracker.cards.template.tiles import PAPERS
from tracker.intake.cut_list import read_cut_list
from tracker.intake.sheets import read_sheets as read_tables
from tracker.paper.template import template_pdf
from tracker.plan.outline.curve import Line, anticlockwise
from tracker.plan.outline.necks import necks
from tracker.plan.outline.weak_places import necks_of


def spoilt(count: int) -> str:
    """Every corrupted drawing is read, and the result loads, or it is refused in a sentence."""
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
    """Areas of drawings under transforms and in five versions, compared with the judges'."""
    worst = {"svg": 0.0, "dxf": 0.0}
    for number in range(count):
        rng = random.Random(f"files:{number}")
        for kind, (data, area) in (("svg", random_svg(rng)), ("dxf", random_dxf(rng))):
            found = area_of(data if isinstance(data, bytes) else data.encode())
            worst[kind] = max(worst[kind], abs(found / area - 1))
    return f"{count} of each: SVG off by {worst['svg']:.1e} of its area at most, DXF by {worst['dxf']:.1e}"


def out(count: int) -> str:
    """Outlines written as SVG and DXF and read by the judges; AssertionError if one differs."""
    for number in range(count):
        each = made(random_outline(random.Random(f"out:{number}")))
        svg_is_the_outline(each)
        dxf_is_the_outline(each)
    return f"{count} written as SVG and DXF: each is the outline to another reader"


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
    """The narrowest neck compared with the width at which the shape separates."""
    missed = 0
    for number in range(count):
        shape = dumbbell(random.Random(f"necks:{number}"))
        corners = list(shape.exterior.coords)
        loop = anticlockwise(tuple(Line(p, q) for p, q in itertools.pairwise(corners)))
        width = parts_at(shape)
        missed += min(abs(neck.width - width) for neck in necks(loop, (), lambda _: 0.0)) > max(0.6, 0.02 * width)
    return f"{count} shapes: {missed} necks missed by more than 2 %"


def speed(rounds: int) -> str:
    """The least processor time of several rounds: a list of 500 rows, and the seat's template on A4 and as one page."""
    rows = [["Part", "Qty", "Length (in)", "Width (in)", "Thickness (in)", "Wood"]]
    rows += [[f"Part {at}", "2", f"{at % 40 + 4} 5/8", "3 1/2", "3/4", "ash"] for at in range(500)]
    text = "\n".join(",".join(row) for row in rows).encode()
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)
    jobs: dict[str, Callable[[], object]] = {
        "CSV of 500 rows to a build file": lambda: read_cut_list(text, "list.csv").text(),
        "XLSX of 500 rows read": lambda: read_tables(file.getvalue(), "list.xlsx"),
        "the outline": lambda: made(SEAT),
        "its template on A4": lambda: template_pdf([each.page for each in sheets(made(SEAT), "it", "A4", "mm")], "it"),
        "its necks": lambda: necks_of(made(SEAT)),
    }
    return "\n".join(f"{name}: {1000 * least(job, rounds):.0f} ms" for name, job in jobs.items())


def least(job: Callable[[], object], rounds: int) -> float:
    times = []
    for _ in range(rounds):
        began = time.process_time()
        job()
        times.append(time.process_time() - began)
    return min(times)


if __name__ == "__main__":
    counts = {
        "speed": speed,
        "spoilt": spoilt,
        "lists": lists,
        "files": files,
        "out": out,
        "paper": paper,
        "necks": narrowest,
    }
    print(counts[sys.argv[1]](int(sys.argv[2])))
