"""From finder marks to the grid of modules: each guess is compared with the known modules, and the best are then
refined.

A grid is a homography from module coordinates (0 to 21, from the code's own top left corner) to pixels.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tracker.scan.finders import Marks
from tracker.scan.symbol import SIDE, known_pattern

Grey = NDArray[np.float32]
Homography = NDArray[np.float64]
"""3 × 3, the last entry 1."""

QUIET_SEEN = 2
"""How many modules of the quiet zone count as known; the outer two may be cut off or covered by a thumb."""
CORNERS = np.array([[3.5, 3.5], [17.5, 3.5], [3.5, 17.5]])
"""The middles of the finder marks: top left, top right, bottom left."""
WORTH_TRYING = 0.25
"""The least agreement with the known modules for a guess to be worth refining."""
APART = 2.5
"""Modules within which two guesses are the same."""
STEPS = 14.0
"""Modules from one finder mark to the next."""
SHORTEST, LONGEST = 0.4, 1.5
"""The shortest and longest apparent distance as fractions of that: shortened by a slant, or lengthened by a misjudged
mark size."""
UNLIKE = 1.6
"""The largest of three marks may measure this many times their mean."""


@lru_cache(maxsize=1)
def known_points() -> tuple[NDArray[np.float64], Grey]:
    """The centres of the known modules, quiet zone included, and their signs: +1 where dark."""
    pattern = np.pad(known_pattern(), QUIET_SEEN, constant_values=-1.0)
    rows, columns = np.nonzero(~np.isnan(pattern))
    points = np.column_stack([columns, rows]) - QUIET_SEEN + 0.5
    return points.astype(np.float64), pattern[rows, columns].astype(np.float32)


def guesses(marks: Marks, most: int = 60) -> NDArray[np.float64]:
    """The grids that best fit three of the marks, and those that best fit two, at most `most` of each: N × 3 × 3."""
    kept = []
    for scores, axes, middles in (_from_three(marks), _from_two(marks)):
        best = np.argsort(-scores, kind="stable")[:most]
        grids = np.tile(np.eye(3), (len(best), 1, 1))
        grids[:, :2, :2] = axes[best]
        grids[:, :2, 2] = middles[best] - axes[best] @ np.full(2, SIDE / 2)
        kept.append(grids)
    return np.concatenate(kept)


_Guesses = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]
"""The scores; the pixel vectors of one module across and one down, as columns; and the code's centre."""


def _triples(marks: Marks) -> tuple[NDArray[np.intp], ...]:
    """Every ordered choice of three marks, the corner first, whose distances and sizes are compatible."""
    steps = marks.at[None, :] - marks.at[:, None]
    length, module = np.hypot(steps[..., 0], steps[..., 1]), marks.module
    larger, both = np.maximum(module[:, None], module[None, :]), module[:, None] + module[None, :]
    # The limits of `_from_three`, which knows all three sizes, applied to a pair.
    pairs = (length > SHORTEST * STEPS * larger / UNLIKE) & (length < LONGEST * STEPS * both / (3 - UNLIKE))
    return np.nonzero(pairs[:, :, None] & pairs[:, None, :])


def _from_three(marks: Marks) -> _Guesses:
    chosen = _triples(marks)
    corner, right, below = (marks.at[one].astype(np.float64) for one in chosen)
    modules = np.stack([marks.module[one] for one in chosen])
    module = modules.mean(axis=0)
    across, down = right - corner, below - corner
    lengths = np.hypot(*across.T), np.hypot(*down.T)
    turned = across[:, 0] * down[:, 1] - across[:, 1] * down[:, 0]
    fits = (turned > 0.5 * lengths[0] * lengths[1]) & (modules.max(axis=0) < UNLIKE * module)
    for length in lengths:
        fits &= (length > SHORTEST * STEPS * module) & (length < LONGEST * STEPS * module)
    scores = sum(marks.score[one[fits]] for one in chosen) - 0.3 * np.abs(np.log(lengths[0][fits] / lengths[1][fits]))
    axes = np.stack([across[fits], down[fits]], axis=2) / STEPS
    return np.asarray(scores, np.float64), axes, (right[fits] + below[fits]) / 2


def _from_two(marks: Marks) -> _Guesses:
    """The third mark is torn off or hidden: the code is assumed to be seen square on."""
    one, other = (pair.ravel() for pair in np.indices((min(len(marks.score), 12),) * 2))
    one, other = one[one != other], other[one != other]
    steps = (marks.at[other] - marks.at[one]).astype(np.float64)
    module = (marks.module[one] + marks.module[other]) / 2
    parts = []
    for start, end in ((0, 1), (0, 2), (1, 2)):
        span = CORNERS[end] - CORNERS[start]
        scale = np.hypot(*steps.T) / np.hypot(*span)
        fits = (scale > 0.7 * module) & (scale < 1.35 * module)
        # The rotation and scale that carry `span` to the step, as complex numbers.
        turn = (steps[fits, 0] + 1j * steps[fits, 1]) / complex(*span)
        axes = np.stack([np.stack([turn.real, -turn.imag], axis=1), np.stack([turn.imag, turn.real], axis=1)], axis=1)
        middles = marks.at[one[fits]] + axes @ (SIDE / 2 - CORNERS[start])
        parts.append(((marks.score[one] + marks.score[other])[fits].astype(np.float64), axes, middles))
    scores, axes, middles = (np.concatenate(each) for each in zip(*parts, strict=True))
    return scores, axes, middles


def project(grids: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points (N × 2, in modules) through each grid (… × 3 × 3): … × N × 2, in pixels."""
    seen = [
        grids[..., row, :1] * points[:, 0] + grids[..., row, 1:2] * points[:, 1] + grids[..., row, 2:]
        for row in range(3)
    ]
    return np.stack([seen[0] / seen[2], seen[1] / seen[2]], axis=-1)


def sample(image: Grey | NDArray[np.uint8], points: NDArray[np.float64]) -> Grey:
    """Bilinear values at x, y in pixels (pixel centres at whole numbers); outside, the nearest edge."""
    height, width = image.shape
    x = np.clip(points[..., 0], 0, width - 1.001)
    y = np.clip(points[..., 1], 0, height - 1.001)
    left, top = x.astype(np.intp), y.astype(np.intp)
    across, down = (x - left).astype(np.float32), (y - top).astype(np.float32)
    flat, at = image.reshape(-1), top * width + left
    upper = flat[at] * (1 - across) + flat[at + 1] * across
    lower = flat[at + width] * (1 - across) + flat[at + width + 1] * across
    return np.asarray(upper * (1 - down) + lower * down, np.float32)


def agreement(values: Grey, signs: Grey) -> NDArray[np.float32]:
    """The correlation of brightness with the known pattern, dark counting as +1: 1 is perfect, noise is near 0."""
    level = values - values.mean(axis=-1, keepdims=True)
    wanted = signs - signs.mean()
    spread = np.sqrt((level * level).mean(axis=-1) * (wanted * wanted).mean())
    return np.asarray(-(level * wanted).mean(axis=-1) / np.maximum(spread, 1e-3), np.float32)


def likeliest(grey: NDArray[np.uint8], grids: NDArray[np.float64], most: int) -> list[Homography]:
    """The guesses that agree best with the known modules, one for each place and direction, best first."""
    if not len(grids):
        return []
    points, signs = known_points()
    half = np.asarray(Image.fromarray(grey).reduce(2))
    # Each guess is still an affine map, so the nearest pixel is enough: pixel p of the half picture covers 2p and 2p +
    # 1.
    x, y = ((grids[:, row, :2] @ points.T + (grids[:, row, 2:] + 0.5)).astype(np.int32) >> 1 for row in range(2))
    at = np.clip(y, 0, half.shape[0] - 1) * half.shape[1] + np.clip(x, 0, half.shape[1] - 1)
    scores = agreement(half.reshape(-1)[at].astype(np.float32), signs)
    order = np.argsort(-scores)
    best = grids[order[scores[order] >= WORTH_TRYING]]
    return [best[at] for at in apart(best, APART)[:most]]


def apart(grids: NDArray[np.float64], modules: float) -> list[int]:
    """Which grids are farther than this many modules, at one of three corners, from all the grids before them."""
    corners = project(grids, np.array([[0.0, 0.0], [SIDE, 0.0], [0.0, SIDE]]))
    size = np.hypot(*(corners[:, 1] - corners[:, 0]).T) / SIDE
    far = np.abs(corners[:, None] - corners[None, :]).max(axis=(2, 3)) > modules * size[:, None]
    kept: list[int] = []
    for one in range(len(grids)):
        if far[one, kept].all():
            kept.append(one)
    return kept
