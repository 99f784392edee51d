"""Registering grids exactly on a code by its known parts: finders, timing, format information and quiet zone.

Lucas and Kanade's method in its inverse compositional form (Baker and Matthews 2004): the known pattern, blurred, is
the template, its gradient is computed once, and each step is one small system of equations. Points that disagree (dust,
pencil, a torn corner) get less and less weight, after Tukey. Every guess is first rectified to a small square picture
in which its code would be straight, so that all guesses of a frame are refined together.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from tracker.scan.grid import QUIET_SEEN, Grey, Homography, agreement, apart, known_points, project, sample
from tracker.scan.symbol import SIDE, known_pattern

FINE = 8
"""Pixels per module of the drawn template."""
MIDDLE, UNIT = SIDE / 2, SIDE / 2
"""Template coordinates run from about -1 to 1, which keeps the equations well conditioned."""
PIXELS = 3
"""Pixels per module of the small pictures."""
AROUND = 5
"""The margin around the code in the small pictures, in modules."""
ACROSS = (SIDE + 2 * AROUND) * PIXELS
STAGES = ((0.9, 3, 0.33), (0.9, 5, 0.4), (0.5, 8, 0.4))
"""For each stage: the blur in modules, the number of steps, and the agreement below which there is no code. First
coarse, then fine."""
SOFT = 0.9
"""The fraction of the template's blur that is applied to a picture: lens and sensor supply the rest."""
STILL = 1e-3
"""The search ends when its steps are smaller than this, in half code widths."""

TO_MODULES = np.array([[UNIT, 0, MIDDLE], [0, UNIT, MIDDLE], [0, 0, 1.0]])
FROM_MODULES = np.linalg.inv(TO_MODULES)


class _Template:
    """The known pattern under a blur: points (3 × N, homogeneous), values, steepest descent (N × 8) and its squares."""

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
        step = round(1.1 * FINE * max(blur, 0.65))  # for this blur, points this far apart are enough
        rows, columns = np.nonzero(sure > 0.75)
        chosen = (rows % step == step // 2) & (columns % step == step // 2)
        rows, columns = rows[chosen], columns[chosen]
        points = (np.column_stack([columns, rows]) + 0.5) / FINE - border
        x, y = ((points - MIDDLE) / UNIT).T
        self.points = np.stack([x, y, np.ones_like(x)]).astype(np.float32)
        self.values = values[rows, columns]
        slope_x, slope_y = across[rows, columns] * FINE * UNIT, down[rows, columns] * FINE * UNIT
        turn = -(x * slope_x + y * slope_y)
        descent = [x * slope_x, y * slope_x, slope_x, x * slope_y, y * slope_y, slope_y, x * turn, y * turn]
        self.descent = np.column_stack(descent).astype(np.float32)
        self.squares = (self.descent[:, :, None] * self.descent[:, None, :]).reshape(-1, 64)


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


def registered(grey: NDArray[np.uint8], guesses: list[Homography]) -> list[tuple[Homography, float]]:
    """The guesses moved to where they fit best, each with its agreement with the known modules (1 is perfect).

    Guesses without a code are left out; of several that end at one place the first is kept.
    """
    straight = _straightened(grey, guesses)
    grids, warps = np.array(guesses), np.tile(np.eye(3), (len(guesses), 1, 1))
    soft, softened = np.zeros((0, ACROSS, ACROSS), np.float32), 0.0
    for blur, steps, least in STAGES:
        if not len(grids):
            return []
        if blur != softened:
            soft, softened = np.stack([_softened(picture, blur) for picture in straight]), blur
        warps = _descend(soft, warps, _template(blur), steps)
        seen = _sampled(soft, warps.astype(np.float32) @ _known_units())
        hopeful = agreement(seen, known_points()[1]) >= least
        kept = [at for at in apart(grids @ TO_MODULES @ warps @ FROM_MODULES, 0.5) if hopeful[at]]
        straight, soft, grids, warps = [straight[at] for at in kept], soft[kept], grids[kept], warps[kept]
    if not len(grids):
        return []
    points, signs = known_points()
    laid = grids @ TO_MODULES @ warps @ FROM_MODULES
    laid /= laid[:, 2:, 2:]
    scores = agreement(sample(grey, project(laid, points)), signs)
    return [(grid, float(score)) for grid, score in zip(laid, scores, strict=True)]


@lru_cache(maxsize=1)
def _known_units() -> Grey:
    units = (known_points()[0] - MIDDLE) / UNIT
    return np.column_stack([units, np.ones(len(units))]).T.astype(np.float32)


def _straightened(grey: NDArray[np.uint8], guesses: list[Homography]) -> list[Image.Image]:
    """Small pictures in which each guess is the straight grid with `PIXELS` pixels per module."""
    whole = {1: Image.fromarray(grey)}
    pictures = []
    for guess in guesses:
        size, shrunk = float(np.sqrt(abs(np.linalg.det(guess[:2, :2])))), 1
        while size / shrunk >= 1.5 * PIXELS and min(grey.shape) >= 4 * shrunk:  # grains are averaged, not skipped
            shrunk *= 2
            if shrunk not in whole:
                whole[shrunk] = whole[shrunk // 2].reduce(2)
        axes = guess[:2, :2] / PIXELS / shrunk
        # From the corner of a pixel here to the corner of one there, which is Pillow's convention.
        corner = (guess[:2, :2] @ np.full(2, -float(AROUND)) + guess[:2, 2] + 0.5) / shrunk
        data = (*axes[0], corner[0], *axes[1], corner[1])
        pictures.append(
            whole[shrunk].transform(
                (ACROSS, ACROSS), Image.Transform.AFFINE, data, Image.Resampling.BILINEAR, fillcolor=128
            )
        )
    return pictures


def _softened(picture: Image.Image, blur: float) -> Grey:
    return np.asarray(picture.filter(ImageFilter.GaussianBlur(blur * SOFT * PIXELS)), np.float32)


def _sampled(pictures: Grey, seen: Grey) -> Grey:
    """Bilinear values of N pictures at N × 3 × P homogeneous template coordinates: N × P."""
    scale, shift = UNIT * PIXELS, (MIDDLE + AROUND) * PIXELS - 0.5
    x = np.clip(seen[:, 0] / seen[:, 2] * scale + shift, 0, ACROSS - 1.001)
    y = np.clip(seen[:, 1] / seen[:, 2] * scale + shift, 0, ACROSS - 1.001)
    left, top = x.astype(np.int32), y.astype(np.int32)
    x -= left
    y -= top
    top *= ACROSS
    top += left
    top += (np.arange(len(pictures), dtype=np.int32) * ACROSS**2)[:, None]
    flat = pictures.reshape(-1)
    first, below = flat[top], flat[top + ACROSS]
    first += (flat[top + 1] - first) * x
    below += (flat[top + ACROSS + 1] - below) * x
    below -= first
    below *= y
    return np.asarray(first + below, np.float32)


def _descend(pictures: Grey, warps: NDArray[np.float64], template: _Template, steps: int) -> NDArray[np.float64]:
    """Refine all guesses together; `warps` (N × 3 × 3) carry template coordinates to those of the pictures."""
    for _ in range(steps):
        seen = _sampled(pictures, warps.astype(np.float32) @ template.points)
        weights, error = _robust(seen, template.values)
        normal = (weights @ template.squares).reshape(-1, 8, 8).astype(np.float64)
        normal[:, range(8), range(8)] *= 1.001
        sought = ((weights * error) @ template.descent).astype(np.float64)
        change = np.linalg.solve(normal, sought[..., None])[..., 0]
        change *= np.minimum(1.0, 0.35 / np.maximum(np.abs(change[:, :6]).max(axis=1, keepdims=True), 1e-9))
        small = np.concatenate([change, np.zeros((len(change), 1))], axis=1).reshape(-1, 3, 3) + np.eye(3)
        warps = warps @ np.linalg.inv(small)
        warps = warps / warps[:, 2:, 2:]
        if np.abs(change).max() < STILL:
            break
    return warps


def _robust(seen: Grey, values: Grey) -> tuple[Grey, Grey]:
    """Weights and errors (N × P) of the observed values against the pattern, after fitting the best line between them.

    The line represents light and contrast; points far from it get no weight, and then it is fitted again.
    """
    weights = np.full_like(seen, 1.0)
    error = seen
    for _ in range(2):
        total = weights.sum(axis=1, keepdims=True)
        weighted = weights * seen
        mean_seen = weighted.sum(axis=1, keepdims=True) / total
        mean_wanted = (weights @ values)[:, None] / total
        # Sums of products about the means.
        both = (weighted @ values)[:, None] - mean_seen * mean_wanted * total
        alone = (weights @ (values * values))[:, None] - mean_wanted * mean_wanted * total
        gain = np.minimum(both / np.maximum(alone, 1e-6), -1.0)  # dark modules must be darker, or there is no code
        error = (seen - mean_seen) / gain - (values - mean_wanted)
        middle = error.shape[1] // 2
        spread = np.maximum(1.5 * np.partition(np.abs(error), middle, axis=1)[:, middle : middle + 1], 0.05)
        weights = np.square(np.maximum(0.0, 1 - np.square(error / (3.0 * spread))))
    return weights, error
