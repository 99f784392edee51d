"""Nothing is read wrongly: noise, other people's codes, ruined labels, and codes that are not in the list.

Run `python -m tests.bench.scan_wrong [--frames 100000]`. Frames are 400 × 300, which is what surrounds a label, so that
so many can be looked at; every means is used on each. A frame counts as wrong when a code of ours is given that isn't
in it. The list has 300 live codes and never the one in the frame.
"""

from __future__ import annotations

import argparse
import multiprocessing
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray
from qrcode.main import QRCode

from tests.scan.frames import Damage, Frame, dusty
from tracker.paper.qr import symbol_image
from tracker.scan import look_at
from tracker.scan.symbol import data_places, known_pattern
from tracker.work.codes import code_for

WIDTH, HEIGHT = 400, 300
FINE = 12
"""Dots to a module of the small labels drawn here."""
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
    """Somebody else's QR code, of any size, level and mask, or a symbol with our frame and random modules in it."""
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
    return _seen(np.kron(symbol, np.ones((FINE, FINE), np.uint8)), chance, Damage(fine=chance.uniform(0, 0.4))), ""


def ruined(chance: np.random.Generator) -> tuple[Frame, str]:
    """One of our labels, in a state that nobody could expect to be read."""
    damage = Damage(
        fine=chance.uniform(0.2, 0.8),
        coarse=chance.uniform(0, 0.6),
        strokes=int(chance.integers(0, 6)),
        smear=bool(chance.random() < 0.5),
        torn=bool(chance.random() < 0.5),
    )
    return _label(chance, damage)


def not_listed(chance: np.random.Generator) -> tuple[Frame, str]:
    """A label that is legible, or nearly, but isn't in the list."""
    return _label(chance, Damage(fine=chance.uniform(0, 0.5), strokes=int(chance.integers(0, 4))))


def _label(chance: np.random.Generator, damage: Damage) -> tuple[Frame, str]:
    code = code_for("closed build", f"part:{chance.integers(1 << 40)}")
    return _seen(np.asarray(symbol_image(code, FINE).convert("L")), chance, damage), code


def _seen(symbol: Paper, chance: np.random.Generator, damage: Damage) -> Frame:
    """The symbol under its dirt, photographed at a slant."""
    side = 600
    paper = cv2.resize(symbol, (side, side), interpolation=cv2.INTER_AREA) * (206 / 255) + 32
    canvas = np.full((side + 120, side + 120, 3), 238, np.uint8)
    canvas[60:-60, 60:-60] = paper.astype(np.uint8)[..., None]
    dirty = dusty(canvas, chance, replace(damage, fine=0.0, coarse=0.0))
    for share, size in ((damage.fine, 3.0), (damage.coarse, 16.0)):
        _speckle(dirty, chance, share, size)
    reach = chance.uniform(60, 135)
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * reach * chance.uniform(0.75, 1.05, (4, 2))
    turn = chance.uniform(0, 2 * np.pi)
    turned = corners @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    middle = np.array([WIDTH / 2, HEIGHT / 2]) + chance.uniform(-20, 20, 2)
    start = np.array([[0, 0], [side + 120, 0], [side + 120, side + 120], [0, side + 120]], np.float32)
    warp = cv2.getPerspectiveTransform(start, (turned + middle).astype(np.float32))
    soft = cv2.GaussianBlur(dirty, (0, 0), side / reach / 4)
    picture = cv2.warpPerspective(
        soft, warp, (WIDTH, HEIGHT), borderMode=cv2.BORDER_CONSTANT, borderValue=(60, 90, 110)
    )
    picture = picture * chance.uniform(0.4, 1.0) + chance.normal(0, chance.uniform(2, 12), (HEIGHT, WIDTH, 1))
    return np.clip(picture, 0, 255).astype(np.uint8)


def _speckle(paper: Frame, chance: np.random.Generator, share: float, size: float) -> None:
    """Dust over a share of the paper, quickly: wherever blurred noise is high."""
    if share > 0:
        level = chance.normal(0, 1, (paper.shape[0] // 2, paper.shape[1] // 2)).astype(np.float32)
        wide = cv2.resize(cv2.GaussianBlur(level, (0, 0), size / 2), (paper.shape[1], paper.shape[0]))
        shade = chance.uniform((115, 160, 185), (150, 190, 215))
        paper[wide > np.quantile(wide[::7, ::7], 1 - share)] = shade.astype(np.uint8)


KINDS: dict[str, Callable[[np.random.Generator], tuple[Frame, str]]] = {
    "noise": noise,
    "other codes": other_code,
    "ruined labels": ruined,
    "labels not in the list": not_listed,
}


def one(job: tuple[str, int]) -> tuple[str, Counter[str]]:
    """Look at one frame by every means."""
    kind, number = job
    chance = np.random.default_rng([3_000_000 + list(KINDS).index(kind), number])
    picture, code = KINDS[kind](chance)
    looked = look_at(picture, live())
    texts = {found.text for found in looked.found if found.valid}
    return kind, Counter(
        frames=1, right=texts == {code}, asked=bool(looked.maybe), wrong=bool(texts - {code}), nothing=not texts
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--frames", type=int, default=100_000)
    parser.add_argument("--processes", type=int, default=2)
    options = parser.parse_args()
    each = options.frames // len(KINDS)
    jobs = [(kind, number) for number in range(each) for kind in KINDS]
    totals: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    with multiprocessing.Pool(options.processes) as pool:
        for kind, result in pool.imap_unordered(one, jobs, chunksize=50):
            totals[kind] += result
    heads = "".join(f"{head:>10}" for head in ("frames", "right", "nothing", "asked", "wrong"))
    print(f"{'':26}{heads}")
    for kind, total in totals.items():
        figures = "".join(f"{total[head]:10d}" for head in ("frames", "right", "nothing", "asked", "wrong"))
        print(f"{kind:26}{figures}")


if __name__ == "__main__":
    main()
