"""Laying the grid exactly over a code by what is known of it: finders, timing, format information and quiet zone.

Lucas and Kanade's method in its inverse compositional form (Baker and Matthews 2004): the known pattern, blurred, is
the template, its gradient is worked out once, and each step is one small system of equations. Points that disagree
(dust, pencil, a torn corner) weigh less and less, after Tukey.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from tracker.scan.grid import QUIET_SEEN, Grey, Homography, agreement, known_points, project, sample
from tracker.scan.symbol import SIDE, known_pattern

FINE = 8
"""Pixels to a module in which the template is drawn."""
MIDDLE, UNIT = SIDE / 2, SIDE / 2
"""Template coordinates run from about -1 to 1, which keeps the equations well conditioned."""
BLURS = ((0.9, 8), (0.5, 8))
"""(blur in modules, steps): first far-sighted, then sharp."""

HOPELESS = 0.4
"""Agreement after the far-sighted steps below which there is no code here."""


class _Template:
    """The known pattern under a blur: points (in modules), values, steepest descent (N × 8)."""

    def __init__(self, blur: float) -> None:
        border = QUIET_SEEN + 2
        pattern = np.pad(known_pattern(), border, constant_values=-1.0)
        known = np.where(np.isfinite(pattern), 1.0, 0.0)
        known[: border - QUIET_SEEN] = known[-(border - QUIET_SEEN) :] = 0
        known[:, : border - QUIET_SEEN] = known[:, -(border - QUIET_SEEN) :] = 0
        fine = np.kron(np.nan_to_num(pattern), np.ones((FINE, FINE), np.float32))
        sure = _blurred(np.kron(known, np.ones((FINE, FINE), np.float32)), blur * FINE)
        values = _blurred(fine, blur * FINE)
        down, across = np.gradient(values, axis=0), np.gradient(values, axis=1)
        step = 4  # every fourth pixel is dense enough for a pattern blurred over half a module
        rows, columns = np.nonzero(sure > 0.75)
        chosen = (rows % step == 0) & (columns % step == 0)
        rows, columns = rows[chosen], columns[chosen]
        self.points = (np.column_stack([columns, rows]) + 0.5) / FINE - border
        self.values = values[rows, columns]
        x, y = ((self.points - MIDDLE) / UNIT).T
        slope_x, slope_y = across[rows, columns] * FINE * UNIT, down[rows, columns] * FINE * UNIT
        turn = -(x * slope_x + y * slope_y)
        self.descent = np.column_stack(
            [x * slope_x, y * slope_x, slope_x, x * slope_y, y * slope_y, slope_y, x * turn, y * turn]
        )


@lru_cache(maxsize=4)
def _template(blur: float) -> _Template:
    return _Template(blur)


def _blurred(values: NDArray[Any], pixels: float) -> Grey:
    """A Gaussian blur of a small picture, exact, by matrices."""
    out = np.asarray(values, np.float64)
    for axis in (0, 1):
        at = np.arange(out.shape[axis])
        weights = np.exp(-0.5 * ((at[:, None] - at[None, :]) / pixels) ** 2)
        weights /= weights.sum(axis=1, keepdims=True)
        out = np.moveaxis(np.tensordot(weights, out, axes=(1, axis)), 0, axis)
    return out.astype(np.float32)


def module_size(grid: Homography) -> float:
    """Pixels to a module in the middle of the code: the root of the area."""
    middle = project(grid, np.array([[MIDDLE, MIDDLE], [MIDDLE + 1, MIDDLE], [MIDDLE, MIDDLE + 1]]))
    across, down = middle[1] - middle[0], middle[2] - middle[0]
    return float(np.sqrt(abs(across[0] * down[1] - across[1] * down[0])))


def refine(grey: NDArray[np.uint8], guess: Homography) -> tuple[Homography, float]:
    """The grid moved to where it fits best, and its agreement with the known modules (1 is perfect)."""
    corner, crop = _crop(grey, guess)
    shift = np.eye(3)
    shift[:2, 2] = -corner
    to_modules = np.array([[UNIT, 0, MIDDLE], [0, UNIT, MIDDLE], [0, 0, 1.0]])
    warp = shift @ guess @ to_modules
    size = module_size(guess)
    sharp = np.asarray(crop, np.float32)
    for blur, steps in BLURS:
        # The picture is soft already by about half a module's worth of lens and sensor.
        soft = np.asarray(crop.filter(ImageFilter.GaussianBlur(blur * size * 0.9)), np.float32)
        warp = _descend(soft, warp, _template(blur), steps)
        if agreement(sample(soft, project(warp, _known_units())), known_points()[1]) < HOPELESS:
            break
    grid = np.linalg.inv(shift) @ warp @ np.linalg.inv(to_modules)
    grid /= grid[2, 2]
    points, signs = known_points()
    score = float(agreement(sample(sharp, project(grid, points) - corner), signs))
    return grid, score


@lru_cache(maxsize=1)
def _known_units() -> NDArray[np.float64]:
    return (known_points()[0] - MIDDLE) / UNIT


def _crop(grey: NDArray[np.uint8], guess: Homography) -> tuple[NDArray[np.float64], Image.Image]:
    """The frame around the guess, so that blurring costs little; and its top left corner."""
    reach = np.array([[-6.0, -6.0], [27.0, -6.0], [-6.0, 27.0], [27.0, 27.0]])
    seen = project(guess, reach)
    height, width = grey.shape
    low = np.clip(np.floor(seen.min(axis=0)), 0, (width - 2, height - 2)).astype(int)
    high = np.clip(np.ceil(seen.max(axis=0)) + 1, low + 2, (width, height)).astype(int)
    return low.astype(np.float64), Image.fromarray(np.ascontiguousarray(grey[low[1] : high[1], low[0] : high[0]]))


def _middle(values: Grey) -> float:
    """The median, near enough."""
    half = len(values) // 2
    return float(np.partition(values, half)[half])


def _descend(image: Grey, warp: Homography, template: _Template, steps: int) -> Homography:
    unit = (template.points - MIDDLE) / UNIT
    for _ in range(steps):
        seen = sample(image, project(warp, unit))
        # Light and contrast: the straight line that best turns the pattern into what is seen.
        weights = np.ones_like(seen)
        error = seen
        for _round in range(2):
            total = weights.sum()
            mean_seen, mean_wanted = (weights * seen).sum() / total, (weights * template.values).sum() / total
            wanted = template.values - mean_wanted
            gain = (weights * wanted * (seen - mean_seen)).sum() / max(float((weights * wanted * wanted).sum()), 1e-6)
            if gain > -1.0:  # the pattern isn't there: dark modules must be darker
                gain = -1.0
            error = (seen - mean_seen) / gain - wanted
            spread = max(1.5 * _middle(np.abs(error)), 0.05)
            weights = np.square(np.maximum(0.0, 1 - np.square(error / (3.0 * spread)))).astype(np.float32)
        weighted = template.descent * weights[:, None]
        normal = weighted.T @ template.descent
        normal[np.diag_indices(8)] *= 1.001
        change = np.linalg.solve(normal, weighted.T @ error)
        change *= min(1.0, 0.35 / max(float(np.abs(change[:6]).max()), 1e-9))
        small = np.array(
            [[1 + change[0], change[1], change[2]], [change[3], 1 + change[4], change[5]], [change[6], change[7], 1.0]]
        )
        warp = warp @ np.linalg.inv(small)
        warp = warp / warp[2, 2]
        if np.abs(change).max() < 2e-4:
            break
    return warp
