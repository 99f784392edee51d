"""A gallery of every feature as its card draws it, in both themes, landscape and portrait, and as the plan prints it;
and of many equal pieces, of an own step with its picture, and of copies. Look at it: a picture that nobody could
work from is a fault.

    .venv/bin/python -m tests.bench.feature_gallery FOLDER [WORD ...]    # only parts whose id holds one of the words

Writes a contact sheet for each look, and the pages as pictures.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from tracker.screens.display import CANVAS, prepare  # noqa: E402

ROWS: dict[str, tuple[str, ...]] = {
    "notch-corner": ('kind = "notch", on = "near", from = { A = 0 }, length = 60, depth = 30',),
    "notch-leaning": (
        'kind = "notch", on = "far", from = { A = 200 }, length = 60, depth = 30, lean = { B = "20 deg" }',
    ),
    "mortise": (
        'kind = "mortise", on = "near", from = { A = 40 }, length = 60, width = 8, depth = 30',
        'kind = "mortise", on = "near", from = { B = 40 }, length = 60, width = 8, depth = 30, lean = { A = 10 }',
    ),
    "mortise-through": ('kind = "mortise", on = "top", from = { A = 120 }, length = 60, width = 12, through = true',),
    "tenon-haunched": (
        'kind = "tenon", on = "B", length = 30, width = 50, thickness = 8, haunch = { edge = "far", length = 10 }',
    ),
    "tenon-slanted": ('kind = "tenon", on = "B", length = 30, width = 60, thickness = 8',),
    "groove": ('kind = "groove", on = "far", width = 6, depth = 9, stop = { A = 25 }',),
    "groove-end": ('kind = "groove", on = "A", width = 6, depth = 12',),
    "housing": ('kind = "housing", on = "top", from = { B = 100 }, width = 18, depth = 6, stop = { near = 12 }',),
    "dado-slanted": ('kind = "dado", on = "bottom", from = { A = 100 }, width = 18, depth = 6, angle = 12',),
    "rabbet-end": ('kind = "rabbet", on = "bottom", edge = "B", width = 18, depth = 9',),
    "rabbet-edge": ('kind = "rabbet", on = "top", edge = "far", width = 12, depth = 9, stop = { A = 40 }',),
    "bore-leaning": ('kind = "bore", on = "top", from = { A = 90 }, diameter = 12, through = true, lean = { B = 12 }',),
    "bore-row": (
        'kind = "bore", on = "top", from = { A = 60, near = 37 }, diameter = 5, depth = 10, count = 8, spacing = 32',
    ),
    "dowel": ('kind = "dowel", on = "A", diameter = 8, depth = 25, count = 3, spacing = 32',),
    "bolt": ('kind = "bolt", on = "top", from = { A = 90 }, diameter = 8, through = true, head = 20, head_depth = 8',),
    "counterbore": (
        'kind = "counterbore", on = "near", from = { A = 90 }, diameter = 14, depth = 9, hole = 5, through = true',
    ),
    "slot": ('kind = "slot", on = "top", from = { A = 90 }, length = 40, width = 9, through = true',),
    "chamfer": ('kind = "profile", edges = ["near top", "A top", "B top", "far top"], shape = "chamfer", width = 4',),
    "round-over": ('kind = "profile", edges = ["near top", "far top"], shape = "round over", radius = 6',),
    "cove": ('kind = "profile", edges = ["far bottom"], shape = "cove", radius = 5',),
    "bevel": ('kind = "bevel", on = "near", angle = 15',),
    "frame": (
        'kind = "mortise", on = "near", from = { A = 15 }, length = 115, width = 8, depth = 20',
        'kind = "mortise", on = "near", from = { A = 380 }, length = 30, width = 8, depth = 20',
        'kind = "groove", on = "near", width = 8, depth = 10, stop = { A = 130, B = 120 }',
    ),
}
"""The features of each part, as rows without their braces."""
ENDS = {"tenon-slanted": 'end_b = { miter = 12, long = "far" }\n'}
LOOKS = (("1920x1200", "day"), ("1920x1200", "shop"), ("1200x1920", "day"), ("1200x1920", "shop"), ("800x480", "day"))
COLUMNS = 3


def build_text(words: list[str]) -> str:
    parts = [
        f'[[parts]]\nid = "{name}"\nname = "{name.replace("-", " ").capitalize()}"\nwood = "oak"\nlength = 500\n'
        f"{ENDS.get(name, '')}features = [\n  {{}}\n]\n".replace("{}", ",\n  ".join(f"{{ {row} }}" for row in rows))
        for name, rows in ROWS.items()
        if not words or any(word in name for word in words)
    ]
    own = (
        '[[parts]]\nid = "own"\nname = "Arm"\nwood = "oak"\nlength = 300\nsteps = [{ do = "bandsaw the curve", '
        'after = "cut", station = "saw", numbers = { radius = 62, tilt = "15 deg" }, picture = "own.png", '
        'tool = "6 mm blade" }]\n'
    )
    many = '[[parts]]\nid = "many"\nname = "Slat"\nquantity = 24\nwood = "oak"\nlength = 700\n'
    joins = ", ".join(f"{each.split('id = ', 1)[1].split(chr(10), 1)[0].strip(chr(34))} = 1" for each in parts)
    return (
        '[build]\nname = "Gallery"\nunits = "mm"\n[woods.oak]\nspecies = "white oak"\nthickness = 22\nwidth = 100\n'
        'lengths = ["3 m"]\n' + "".join(parts) + own + many
        + f'[[assemblies]]\nid = "all"\njoins = {{ {joins}, own = 1, many = 24 }}\nby = "dry"\n'
    )  # fmt: skip


def cards(folder: Path, file: Path) -> Iterator[Path]:
    """A contact sheet of the cards for each look."""
    from kit.story import StoryClock
    from PIL import Image

    from tracker.tour.guide import Guide
    from tracker.tour.headless import HandTime, Stage
    from tracker.tour.looks import SCREEN_SIZES, Look, app_with

    time = HandTime()
    for size, light in LOOKS:
        width, height, dpi = SCREEN_SIZES[size]
        with tempfile.TemporaryDirectory() as home:
            builds = Path(home) / "builds"
            builds.mkdir()
            for each in (file, file.with_name("own.png")):
                shutil.copy(each, builds)
            app: Any = app_with(Look(size, light), Path(home), StoryClock(time), **{"first steps": "seen"})
            stage = Stage(app, time)
            stage.start()
            stage.resize(width, height, dpi)
            guide = Guide(app, stage)
            guide.open("Gallery")
            shots = []
            for item in list(app.shop.run.pieces):
                if item.id == "many" and item.number > 1:
                    continue
                first = next(
                    (step for step in item.route if step.operation not in ("cut", "trim", "rip")), item.route[0]
                )
                guide.work(item.key, until=first.id)
                app.show_item(item.key, first.id)
                stage.run_for(1.0, 0.1)
                guide.let_work()
                shots.append(stage.picture())
            stage.stop()
        across, down = shots[0].size
        rows = -(-len(shots) // COLUMNS)
        sheet = Image.new("RGB", (COLUMNS * across, rows * down))
        for at, shot in enumerate(shots):
            sheet.paste(shot, (at % COLUMNS * across, at // COLUMNS * down))
        path = folder / f"cards-{size}-{light}.png"
        sheet.reduce(2).save(path)
        yield path
    time.forget()


def pages(folder: Path, file: Path) -> Iterator[Path]:
    """The plan's pages as pictures."""
    import pypdfium2
    from click.testing import CliRunner

    from tracker.cli.main import commands

    plan = folder / "plan.pdf"
    run = CliRunner().invoke(commands, ["picture", str(file), "-o", str(plan)])
    if run.exit_code:
        sys.exit(run.output)
    for at, page in enumerate(pypdfium2.PdfDocument(plan), start=1):
        path = folder / f"paper-{at}.png"
        page.render(scale=2).to_pil().save(path)
        yield path


def main() -> None:
    from PIL import Image, ImageDraw

    folder, words = Path(sys.argv[1]), sys.argv[2:]
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "gallery.toml"
    file.write_text(build_text(words), "utf-8")
    picture = Image.new("RGB", (600, 400), (240, 232, 215))
    ImageDraw.Draw(picture).arc((60, 60, 540, 540), 180, 360, fill=(60, 40, 20), width=8)
    picture.save(folder / "own.png")
    for path in pages(folder, file):
        print(path)
    os.environ.setdefault("HOME", str(folder))
    prepare(display="offscreen", size=CANVAS, dpi=224)
    for path in cards(folder, file):
        print(path)


if __name__ == "__main__":
    main()
