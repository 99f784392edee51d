"""Views of a frame: as it is, and with its slanted patches rectified.

A code has as many edges in one direction as in the other, so the mean of the gradients' products over it shows how it
is squashed. Undoing that (affine shape adaptation, Lindeberg and Gårding 1997) restores a label seen at 60 degrees
enough for its finder marks to look round.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Grey = NDArray[np.uint8]

WINDOWS = (7, 15)
"""Half the sides of the squares, in eighths of the frame's pixels, over which gradients are summed."""
SLANTED = 1.05
"""A patch that is squashed by more than this is rectified."""
MOST_SQUASHED = 3.2
PATCH = 300
"""The side of a patch, in pixels."""


@dataclass(frozen=True, slots=True)
class View:
    """A grey picture, and the affine map (3 × 3) from its pixels to the frame's."""

    grey: Grey
    to_frame: NDArray[np.float64]


def slanted_views(frame: Grey, most: int = 3) -> Iterator[View]:
    """The busiest patches that look squashed, rectified; at most `most`."""
    moments = _moments(frame)
    middles: list[NDArray[np.float64]] = []
    for window, (row, column), moment in _busiest(moments, most + 2):
        middle = np.array([(column + window) * 8.0 + 7.5, (row + window) * 8.0 + 7.5])
        stretch = _stretch(moment)
        if stretch is None or any(np.abs(middle - other).max() < 20 for other in middles):
            continue
        middles.append(middle)
        yield _patch(frame, middle, stretch, window * 8 * 2.6)
        if len(middles) == most:
            return


def _moments(frame: Grey) -> NDArray[np.float32]:
    """3 × rows × columns in eighths of the frame: the sums of the gradients' products xx, xy, yy."""
    small = np.asarray(Image.fromarray(frame).reduce(2), np.float32)
    across, down = small[1:-1, 2:] - small[1:-1, :-2], small[2:, 1:-1] - small[:-2, 1:-1]
    height, width = across.shape[0] // 4 * 4, across.shape[1] // 4 * 4
    across, down = across[:height, :width], down[:height, :width]
    sums = []
    for product in (across * across, across * down, down * down):
        rows = product.reshape(height // 4, 4, width).sum(axis=1)
        sums.append(rows.reshape(height // 4, width // 4, 4).sum(axis=2))
    return np.stack(sums)


def _busiest(moments: NDArray[np.float32], most: int) -> Iterator[tuple[int, tuple[int, int], NDArray[np.float64]]]:
    """The window, row, column and moment of the busiest squares, taken from the two windows in turn."""
    found = []
    for window in WINDOWS:
        if min(moments.shape[1:]) <= 2 * window + 2:
            continue
        boxes = [_box_mean(one, window) for one in moments]
        for rank, (row, column) in enumerate(_highest(boxes[0] + boxes[2], window, most)):
            xx, xy, yy = (box[row, column] for box in boxes)
            found.append((rank, window, (row, column), np.array([[xx, xy], [xy, yy]])))
    found.sort(key=lambda one: one[:2])
    for _, window, place, moment in found:
        yield window, place, moment


def _box_mean(values: NDArray[np.float32], reach: int) -> NDArray[np.float64]:
    table = np.zeros((values.shape[0] + 1, values.shape[1] + 1))
    np.cumsum(np.cumsum(values, axis=0, dtype=np.float64), axis=1, out=table[1:, 1:])
    side = 2 * reach + 1
    return table[side:, side:] - table[:-side, side:] - table[side:, :-side] + table[:-side, :-side]


def _highest(energy: NDArray[np.float64], reach: int, most: int) -> list[tuple[int, int]]:
    """The highest points, each clear of those before."""
    left = energy.copy()
    places = []
    for _ in range(most):
        row, column = (int(at) for at in np.unravel_index(int(left.argmax()), left.shape))
        if left[row, column] <= 0:
            break
        places.append((row, column))
        left[max(0, row - reach) : row + reach + 1, max(0, column - reach) : column + reach + 1] = 0
    return places


def _stretch(moment: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """From square coordinates to the frame's directions: the root of the moment's inverse, scaled to a largest stretch
    of 1."""
    values, vectors = np.linalg.eigh(moment)
    squashed = float(np.sqrt(values[1] / max(values[0], 1e-9)))
    if not SLANTED < squashed < MOST_SQUASHED:
        return None
    return np.asarray(vectors @ np.diag([1.0, 1 / squashed]) @ vectors.T)


def _patch(frame: Grey, middle: NDArray[np.float64], stretch: NDArray[np.float64], reach: float) -> View:
    side = int(min(PATCH, 2 * reach))
    scale = 2 * reach / side
    to_frame = np.eye(3)
    to_frame[:2, :2] = stretch * scale
    to_frame[:2, 2] = middle - to_frame[:2, :2] @ np.array([(side - 1) / 2] * 2)
    # Pillow counts from the pixel's corner, we count from its centre.
    offset = to_frame[:2, 2] + 0.5 - to_frame[:2, :2] @ np.array([0.5, 0.5])
    data = (*to_frame[0, :2], offset[0], *to_frame[1, :2], offset[1])
    picture = Image.fromarray(frame).transform((side, side), Image.Transform.AFFINE, data, Image.Resampling.BILINEAR)
    return View(np.asarray(picture), to_frame)
