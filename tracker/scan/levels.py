"""From the grid to 208 soft bits: each module averaged over its area, and compared with the light around it.

Averaging defeats grains smaller than a module. Black and white are taken from the known modules, each as a plane over
the code, so a shadow across the label does no harm.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tracker.scan.grid import Grey, Homography, project, sample
from tracker.scan.symbol import SIDE, data_places, known_pattern

ACROSS = 5
"""Samples across a module; they are in its middle four fifths, away from its neighbours."""
SPAN = 0.8


@lru_cache(maxsize=1)
def _sample_points() -> NDArray[np.float64]:
    inside = 0.5 + SPAN * ((np.arange(ACROSS) + 0.5) / ACROSS - 0.5)
    rows, columns, down, across = np.meshgrid(np.arange(SIDE), np.arange(SIDE), inside, inside, indexing="ij")
    return np.column_stack([(columns + across).ravel(), (rows + down).ravel()])


def module_means(image: Grey | NDArray[np.uint8], grid: Homography) -> Grey:
    """21 × 21 mean brightnesses."""
    values = sample(image, project(grid, _sample_points()))
    return np.asarray(values.reshape(SIDE, SIDE, ACROSS * ACROSS).mean(axis=2), np.float32)


@lru_cache(maxsize=1)
def _planes() -> tuple[NDArray[np.bool_], NDArray[np.float64]]:
    known = np.isfinite(known_pattern())
    rows, columns = np.mgrid[:SIDE, :SIDE]
    flat = np.column_stack([np.ones(SIDE * SIDE), (columns.ravel() - 10) / 10, (rows.ravel() - 10) / 10])
    return known, flat


def soft_bits(means: Grey) -> Grey:
    """The 208 data modules, from -1 (as light as white) to +1 (as dark as black), in the order of the bits."""
    known, flat = _planes()
    pattern = known_pattern()
    light, dark = (_plane(means, known & (pattern == sign), flat) for sign in (-1.0, 1.0))
    half = np.maximum((light - dark) / 2, 2.0)
    return np.clip(((light + dark) / 2 - means) / half, -1.3, 1.3)[data_places()].astype(np.float32)


def _plane(means: Grey, chosen: NDArray[np.bool_], flat: NDArray[np.float64]) -> Grey:
    """The plane through the brightness of the chosen modules, with little weight for outliers."""
    points, values = flat[chosen.ravel()], means[chosen].astype(np.float64)
    weights = np.ones(len(values))
    solved: NDArray[np.floating] = np.zeros(3)
    for _ in range(4):
        weighted = points * weights[:, None]
        solved = np.linalg.solve(weighted.T @ points + np.diag([1e-6, 2.0, 2.0]), weighted.T @ values)
        error = values - points @ solved
        spread = max(1.5 * float(np.median(np.abs(error))), 2.0)
        weights = 1 / (1 + np.square(error / (2 * spread)))
    return (flat @ solved).reshape(SIDE, SIDE).astype(np.float32)
