"""Misreadings: noise, other people's codes, ruined labels, and codes that aren't in the list must never give a wrong
code.

Run `python -m tests.bench.scan_wrong [--frames 100000] [--log FILE]`. Frames are 400 × 300, which is what surrounds a
label, so that so many can be looked at; of the label the reader sees the same as in a large frame. Every fiftieth is a
whole camera frame of 1280 × 720, the same picture lying on a bench. Every means is used on each. A frame counts as
wrong when a code of ours is given that isn't in it. The list has 300 live codes and never the one in the frame.

Every frame has a seed of its own. With a log, each chunk's count is written as it is done, beside a digest of the
reader's source: a run that was stopped goes on where it was, and what another reader counted isn't taken over.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import multiprocessing
import os
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from qrcode.main import QRCode

from tests.scan import frames
from tests.scan.frames import Damage, Frame, dusty, wood
from tracker.paper.qr import symbol_image
from tracker.scan import look_at
from tracker.scan.symbol import data_places, known_pattern
from tracker.work.codes import code_for, is_code

WIDTH, HEIGHT = 400, 300
WHOLE = 50
"""One of this many frames is a whole camera frame."""
CHUNK = 50
"""How many frames of each kind are counted, and logged, together."""
SIDE = 300
"""The side of a symbol, quiet zone included, before damage, in pixels."""
FINE = 12
"""Dots per module of the small labels drawn here."""
Paper = NDArray[np.uint8]


@lru_cache(maxsize=1)
def live() -> tuple[str, ...]:
    """The shop's codes."""
    return tuple(code_for("open build", f"part:{number}") for number in range(300))


def noise(chance: np.random.Generator) -> tuple[Frame, str]:
    """Blurred noise, stripes and checks, at every contrast."""
    kind = chance.integers(3)
    picture = chance.normal(128, chance.uniform(5, 70), (HEIGHT, WIDTH)).astype(np.float32)
    if kind == 1:
        picture = cv2.GaussianBlur(picture, (0, 0), chance.uniform(0.5, 4)) * chance.uniform(1, 8)
    if kind == 2:
        modules = chance.integers(0, 2, (HEIGHT, WIDTH)).astype(np.float32)
        size = int(chance.integers(3, 9))
        modules = np.kron(modules[: HEIGHT // size, : WIDTH // size], np.ones((size, size), np.float32))
        picture = np.zeros((HEIGHT, WIDTH), np.float32)
        picture[: modules.shape[0], : modules.shape[1]] = modules * chance.uniform(40, 200) + 30
    return np.clip(picture, 0, 255).astype(np.uint8), ""


def other_code(chance: np.random.Generator) -> tuple[Frame, str]:
    """Somebody else's QR code, of any size, level and mask, or a symbol with our frame and random modules in it.

    A text of ten characters may have the right check character by chance (one in some thousands of these). It is passed
    as the content of the frame, because reading it is right: the record decides whose it is, not the reader.
    """
    text = ""
    if chance.random() < 0.5:
        modules = known_pattern()
        modules[data_places()] = chance.choice([-1.0, 1.0], 208)
        symbol = np.where(np.pad(modules, 4, constant_values=-1) > 0, 0, 255).astype(np.uint8)
    else:
        text = "".join(chance.choice(list("ABCDEFGH0123456789:/."), int(chance.integers(4, 40))))
        code = QRCode(error_correction=int(chance.integers(4)), mask_pattern=int(chance.integers(8)), border=4)
        code.add_data(text)
        code.make()
        symbol = np.where(np.array(code.get_matrix()), 0, 255).astype(np.uint8)
    dirt = Damage(fine=chance.uniform(0, 0.4))
    held = text if is_code(text) else ""
    return _seen(np.kron(symbol, np.ones((FINE, FINE), np.uint8)), chance, dirt), held


def ruined(chance: np.random.Generator) -> tuple[Frame, str]:
    """One of our labels, damaged until it can hardly be read, or not at all."""
    damage = Damage(
        fine=chance.uniform(0.1, 0.7),
        coarse=chance.uniform(0, 0.45),
        strokes=int(chance.integers(0, 6)),
        smear=bool(chance.random() < 0.4),
        torn=bool(chance.random() < 0.4),
    )
    return _label(chance, damage)


def not_listed(chance: np.random.Generator) -> tuple[Frame, str]:
    """A legible or almost legible label that isn't in the list."""
    return _label(chance, Damage(fine=chance.uniform(0, 0.5), strokes=int(chance.integers(0, 5))))


def _label(chance: np.random.Generator, damage: Damage) -> tuple[Frame, str]:
    code = code_for("closed build", f"part:{chance.integers(1 << 40)}")
    return _seen(np.asarray(symbol_image(code, FINE).convert("L")), chance, damage), code


def _seen(symbol: Paper, chance: np.random.Generator, damage: Damage) -> Frame:
    """The symbol under its dirt, photographed at an angle."""
    fine = 2 * SIDE
    paper = cv2.resize(symbol, (fine, fine), interpolation=cv2.INTER_AREA) * (206 / 255) + 32
    canvas = np.full((fine + 120, fine + 120, 3), 238, np.uint8)
    canvas[60:-60, 60:-60] = paper.astype(np.uint8)[..., None]
    if damage.strokes or damage.smear or damage.torn:
        canvas = dusty(canvas, chance, replace(damage, fine=0.0, coarse=0.0))
    side = SIDE + 60
    dirty = np.asarray(cv2.resize(canvas, (side, side), interpolation=cv2.INTER_AREA), np.uint8)
    for share, size in ((damage.fine, 1.5), (damage.coarse, 8.0)):
        _speckle(dirty, chance, share, size)
    reach = chance.uniform(60, 135)
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * reach * chance.uniform(0.75, 1.05, (4, 2))
    turn = chance.uniform(0, 2 * np.pi)
    turned = corners @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    middle = np.array([WIDTH / 2, HEIGHT / 2]) + chance.uniform(-20, 20, 2)
    start = np.array([[0, 0], [side, 0], [side, side], [0, side]], np.float32)
    warp = cv2.getPerspectiveTransform(start, (turned + middle).astype(np.float32))
    soft = cv2.GaussianBlur(dirty, (0, 0), SIDE / reach / 4)
    picture = cv2.warpPerspective(
        soft, warp, (WIDTH, HEIGHT), borderMode=cv2.BORDER_CONSTANT, borderValue=(60, 90, 110)
    )
    picture = picture * chance.uniform(0.4, 1.0) + chance.normal(0, chance.uniform(2, 12), (HEIGHT, WIDTH, 1))
    return np.clip(picture, 0, 255).astype(np.uint8)


def _speckle(paper: Frame, chance: np.random.Generator, share: float, size: float) -> None:
    """Dust over a fraction of the paper, quickly: where blurred noise is high."""
    if share > 0:
        wide = cv2.GaussianBlur(chance.standard_normal(paper.shape[:2], np.float32), (0, 0), size)
        shade = chance.uniform((115, 160, 185), (150, 190, 215))
        paper[wide > np.quantile(wide[::7, ::7], 1 - share)] = shade.astype(np.uint8)


KINDS: dict[str, Callable[[np.random.Generator], tuple[Frame, str]]] = {
    "noise": noise,
    "other codes": other_code,
    "ruined labels": ruined,
    "labels not in the list": not_listed,
}


def look(kind: str, number: int) -> Counter[str]:
    """Read one frame by every means."""
    chance = np.random.default_rng([3_000_000 + list(KINDS).index(kind), number])
    picture, code = KINDS[kind](chance)
    if number % WHOLE == 0:
        picture = _on_a_bench(picture, chance)
    looked = look_at(picture, live())
    texts = {found.text for found in looked.found if found.valid}
    return Counter(
        frames=1,
        whole=number % WHOLE == 0,
        right=texts == {code},
        asked=bool(looked.maybe),
        wrong=bool(texts - {code}),
        nothing=not texts,
    )


def _on_a_bench(picture: Frame, chance: np.random.Generator) -> Frame:
    """The picture somewhere in a frame of a camera's size."""
    bench = wood(chance)
    x, y = chance.integers(0, (frames.WIDTH - WIDTH, frames.HEIGHT - HEIGHT), endpoint=True)
    bench[y : y + HEIGHT, x : x + WIDTH] = picture if picture.ndim == 3 else picture[..., None]
    return bench


def chunk(number: int) -> tuple[int, dict[str, Counter[str]], list[str]]:
    """Read the chunk with that number: its counts by kind, and the misread frames."""
    totals: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    wrong = []
    for each in range(number * CHUNK, (number + 1) * CHUNK):
        for kind, total in totals.items():
            looked = look(kind, each)
            total += looked
            if looked["wrong"]:
                wrong.append(f"{kind} {each}")
    return number, totals, wrong


def digest() -> str:
    """A digest of all source that a count depends on."""
    root = Path(__file__).parents[2]
    sources = [
        *sorted((root / "tracker/scan").glob("*.py")),
        root / "tracker/work/codes.py",
        root / "tracker/paper/qr.py",
    ]
    sources += [Path(__file__), Path(frames.__file__)]
    return hashlib.sha256(b"".join(path.read_bytes() for path in sources)).hexdigest()[:16]


def counted(log: Path | None, reader: str) -> dict[int, dict[str, Counter[str]]]:
    """The chunks already counted with exactly this reader."""
    done: dict[int, dict[str, Counter[str]]] = {}
    if log is not None and log.exists():
        for line in log.read_text().splitlines():
            entry = json.loads(line)
            if entry["reader"] == reader:
                done[entry["chunk"]] = {kind: Counter(total) for kind, total in entry["counts"].items()}
    return done


def _at_leisure() -> None:
    """Lower the priority: other work on this machine goes first."""
    os.nice(19 - os.nice(0))
    cv2.setNumThreads(1)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--frames", type=int, default=100_000)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--log", type=Path)
    parser.add_argument("--count", action="store_true", help="only print what the log holds")
    options = parser.parse_args()
    reader = digest()
    done = counted(options.log, reader)
    left = [number for number in range(-(-options.frames // (CHUNK * len(KINDS)))) if number not in done]
    if not options.count:
        with multiprocessing.Pool(options.processes, _at_leisure) as pool:
            for number, totals, wrong in pool.imap_unordered(chunk, left):
                done[number] = totals
                if options.log is not None:
                    entry = {"chunk": number, "reader": reader, "counts": totals, "wrong": wrong}
                    with options.log.open("a") as log:
                        print(json.dumps(entry), file=log, flush=True)
                for each in wrong:
                    print("read wrongly:", each, flush=True)
    heads = ("frames", "whole", "right", "nothing", "asked", "wrong")
    print(f"{'reader ' + reader:26}{''.join(f'{head:>10}' for head in heads)}")
    every: Counter[str] = Counter()
    for kind in KINDS:
        total: Counter[str] = Counter()
        for totals in done.values():
            total += totals[kind]
        every += total
        print(f"{kind:26}{''.join(f'{total[head]:10d}' for head in heads)}")
    print(f"{'together':26}{''.join(f'{every[head]:10d}' for head in heads)}")


if __name__ == "__main__":
    main()
