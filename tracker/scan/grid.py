"""From finder marks to the grid of modules: guesses, each tried against the known modules, the best then refined.

A grid is a homography from module coordinates (0 to 21, from the code's own top left corner) to pixels.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import permutations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tracker.scan.finders import Marks
from tracker.scan.symbol import SIDE, known_pattern

Grey = NDArray[np.float32]
Homography = NDArray[np.float64]
"""3 × 3, the last entry 1."""

QUIET_SEEN = 2
"""How many modules of the quiet zone count as known; the outer two may be cut off or lie under a thumb."""
CORNERS = np.array([[3.5, 3.5], [17.5, 3.5], [3.5, 17.5]])
"""The middles of the finder marks: top left, top right, bottom left."""
WORTH_TRYING = 0.2
"""The least agreement with the known modules at which a guess is worth refining."""
STEPS = 14.0
"""Modules from one finder mark to the next."""


@lru_cache(maxsize=1)
def known_points() -> tuple[NDArray[np.float64], Grey]:
    """The middles of the modules that are known, quiet zone included, and their signs: +1 where dark."""
    pattern = np.pad(known_pattern(), QUIET_SEEN, constant_values=-1.0)
    rows, columns = np.nonzero(~np.isnan(pattern))
    points = np.column_stack([columns, rows]) - QUIET_SEEN + 0.5
    return points.astype(np.float64), pattern[rows, columns].astype(np.float32)


def guesses(marks: Marks, most: int = 160) -> NDArray[np.float64]:
    """Grids that would fit three of the marks, or two: N × 3 × 3, unsorted."""
    found = [*_from_three(marks), *_from_two(marks)]
    found.sort(key=lambda guess: -guess[0])
    return np.array([grid for _, grid in found[:most]]).reshape(-1, 3, 3)


@lru_cache(maxsize=32)
def _triples(count: int) -> tuple[NDArray[np.intp], ...]:
    """Every ordered choice of three of so many."""
    return tuple(np.array(list(permutations(range(count), 3)), np.intp).reshape(-1, 3).T)


def _from_three(marks: Marks) -> Iterator[tuple[float, Homography]]:
    corner, right, below = _triples(len(marks.score))
    across, down = marks.at[right] - marks.at[corner], marks.at[below] - marks.at[corner]
    module = (marks.module[corner] + marks.module[right] + marks.module[below]) / 3
    spread = np.maximum(np.maximum(marks.module[right], marks.module[below]), marks.module[corner]) / module
    lengths = np.hypot(*across.T), np.hypot(*down.T)
    turned = across[:, 0] * down[:, 1] - across[:, 1] * down[:, 0]
    sine = turned / np.maximum(lengths[0] * lengths[1], 1e-6)
    fits = (sine > 0.5) & (spread < 1.6)
    for length in lengths:
        fits &= (length > 0.4 * STEPS * module) & (length < 1.5 * STEPS * module)
    for at in np.flatnonzero(fits):
        grid = np.eye(3)
        grid[:2, 0], grid[:2, 1] = across[at] / STEPS, down[at] / STEPS
        grid[:2, 2] = marks.at[corner[at]] - grid[:2, :2] @ CORNERS[0]
        score = marks.score[[corner[at], right[at], below[at]]].sum() - 0.3 * abs(
            np.log(lengths[0][at] / lengths[1][at])
        )
        yield float(score), grid


def _from_two(marks: Marks) -> Iterator[tuple[float, Homography]]:
    """The third mark is torn off or hidden: the code is taken to be seen square on."""
    one, other = (pair.ravel() for pair in np.indices((min(len(marks.score), 12),) * 2))
    one, other = one[one != other], other[one != other]
    steps = (marks.at[other] - marks.at[one]).astype(np.float64)
    module = (marks.module[one] + marks.module[other]) / 2
    for start, end in ((0, 1), (0, 2), (1, 2)):
        span = CORNERS[end] - CORNERS[start]
        scale = np.hypot(*steps.T) / np.hypot(*span)
        for at in np.flatnonzero((scale > 0.7 * module) & (scale < 1.35 * module)):
            # The turn and scale that carry `span` to the step, as complex numbers.
            turn = complex(*steps[at]) / complex(*span)
            grid = np.array([[turn.real, -turn.imag, 0.0], [turn.imag, turn.real, 0.0], [0, 0, 1.0]])
            grid[:2, 2] = marks.at[one[at]] - grid[:2, :2] @ CORNERS[start]
            yield float(marks.score[one[at]] + marks.score[other[at]]), grid


def project(grids: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points (N × 2, in modules) through each grid (… × 3 × 3): … × N × 2, in pixels."""
    seen = [
        grids[..., row, :1] * points[:, 0] + grids[..., row, 1:2] * points[:, 1] + grids[..., row, 2:]
        for row in range(3)
    ]
    return np.stack([seen[0] / seen[2], seen[1] / seen[2]], axis=-1)


def sample(image: Grey, points: NDArray[np.float64]) -> Grey:
    """Bilinear values at x, y in pixels (pixel middles at whole numbers); outside, the nearest edge."""
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
    half = np.asarray(Image.fromarray(grey).reduce(2), np.float32)
    scores = agreement(sample(half, (project(grids, points) - 0.5) / 2), signs)
    order = np.argsort(-scores)
    corners = project(grids, np.array([[0.0, 0.0], [21.0, 0.0], [0.0, 21.0]]))
    kept: list[int] = []
    for one in order:
        size = np.hypot(*(corners[one, 1] - corners[one, 0])) / SIDE
        if scores[one] < WORTH_TRYING:
            break
        if all(np.abs(corners[one] - corners[other]).max() > 2.5 * size for other in kept):
            kept.append(int(one))
            if len(kept) == most:
                break
    return [grids[one] for one in kept]
