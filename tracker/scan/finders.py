"""Finder marks by matched filter: candidates for a code's three corner marks, and the size of their modules.

The template is the mark averaged over all rotations, so one filter works in every direction. It is matched by
normalised correlation, which shadows and a layer of dust don't affect, on the frame at half and quarter size.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray
from PIL import Image

Grey = NDArray[np.float32]

REACH = 4.5
"""The template's radius in modules: the mark (3.5) and its light surround."""


SCALES = {2: (1.0, 1.35, 1.8), 4: (1.2, 1.6, 2.2)}
"""The reduction of the frame, and the module sizes, in pixels of the reduced frame, that are searched there."""
LEAST = 0.2
"""The least correlation of a mark worth examining."""
LEAST_SPREAD = 4.0
"""Contrast below this, in grey levels, is noise."""


class Marks(Struct, frozen=True):
    """Candidates, best first. Positions are x, y in pixels of the whole frame; `module` is pixels per module."""

    at: NDArray[np.float32]
    module: NDArray[np.float32]
    score: NDArray[np.float32]


def shrink(grey: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    """Reduce a picture: each pixel is the mean of `by` × `by`."""
    return np.asarray(Image.fromarray(grey).reduce(by))


def find_marks(grey: NDArray[np.uint8], most: int = 24) -> Marks:
    """The likeliest finder marks of a grey frame, at most `most`."""
    places, modules, scores = [], [], []
    for by, sizes in SCALES.items():
        for size, (rows, columns, score) in zip(sizes, _matches(shrink(grey, by), sizes), strict=True):
            places.append(np.column_stack([columns, rows]) * by + (by - 1) / 2)
            modules.append(np.full(len(score), size * by, np.float32))
            scores.append(score)
    at, module = np.concatenate(places).astype(np.float32), np.concatenate(modules)
    score = np.concatenate(scores)
    order = np.argsort(-score, kind="stable")[: 8 * most]
    return _apart(at[order], module[order], score[order], most)


def _apart(at: Grey, module: Grey, score: Grey, most: int) -> Marks:
    """The best of several candidates on one spot, found at several scales."""
    kept: list[int] = []
    for one in range(len(score)):
        near = np.abs(at[kept] - at[one]).max(axis=1) < 2.5 * np.minimum(module[kept], module[one]) if kept else ()
        if not np.any(near):
            kept.append(one)
            if len(kept) == most:
                break
    return Marks(at[kept], module[kept], score[kept])


def _matches(
    small: NDArray[np.uint8], sizes: tuple[float, ...]
) -> list[tuple[NDArray[np.intp], NDArray[np.intp], Grey]]:
    """For each module size the local maxima of the correlation: rows, columns, scores."""
    shape = (_smooth(small.shape[0]), _smooth(small.shape[1]))  # what wraps around is within reach of the edge
    spectrum = np.fft.rfft2(small.astype(np.float32) - np.float32(small.mean()), shape)
    tables = _summed(small.astype(np.uint32)), _summed(np.square(small.astype(np.uint32)))
    found = []
    for size in sizes:
        reach = int(np.ceil(REACH * size))
        if min(small.shape) <= 2 * reach + 2:
            found.append((np.zeros(0, np.intp), np.zeros(0, np.intp), np.zeros(0, np.float32)))
            continue
        matched = np.fft.irfft2(spectrum * _template_spectrum(size, shape), shape).astype(np.float32, copy=False)
        rows, columns = _peaks(matched[: small.shape[0], : small.shape[1]], reach)
        # Normalise only where it matters: by the contrast around each maximum.
        count = (2 * reach + 1) ** 2
        mean, square = (_box(table, rows, columns, reach) / count for table in tables)
        score = matched[rows, columns] / np.sqrt(np.maximum(square - mean * mean, LEAST_SPREAD**2))
        good = score > LEAST
        found.append((rows[good], columns[good], score[good].astype(np.float32)))
    return found


def _peaks(matched: Grey, reach: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Where a value is positive and no smaller than its eight neighbours, at least `reach` from the edge."""
    height, width = matched.shape
    around = matched[reach - 1 : height - reach + 1, reach - 1 : width - reach + 1]
    highest = np.maximum(np.maximum(around[:, :-2], around[:, 2:]), around[:, 1:-1])
    highest = np.maximum(np.maximum(highest[:-2], highest[2:]), highest[1:-1])
    middle = around[1:-1, 1:-1]
    top = (middle >= highest) & (middle > LEAST * LEAST_SPREAD)
    rows, columns = np.divmod(np.flatnonzero(top), top.shape[1])
    return rows + reach, columns + reach


@lru_cache(maxsize=64)
def _template_spectrum(size: float, shape: tuple[int, int]) -> NDArray[np.complex64]:
    """The spectrum to multiply with so that the product is a centred correlation; of zero mean and unit length."""
    template = _template(size)
    reach = len(template) // 2
    placed = np.zeros(shape, np.float32)
    for row in range(-reach, reach + 1):
        for column in range(-reach, reach + 1):
            placed[row % shape[0], column % shape[1]] = template[row + reach, column + reach]
    return np.asarray(np.conj(np.fft.rfft2(placed)), np.complex64)


@lru_cache(maxsize=16)
def _template(size: float) -> Grey:
    """The rotation-averaged mark on a grid of pixels; dark counts as low. Scaled so that a perfect match gives 1."""
    fine, pixels = 5, 2 * int(np.ceil(REACH * size)) + 1
    offset = (np.arange(pixels * fine) - (pixels * fine - 1) / 2) / fine / size
    radius = np.hypot(*np.meshgrid(offset, offset))
    radii = np.arange(0, REACH, 0.05)
    profile = np.array([_mean_on_circle(value) for value in radii])
    values = np.where(radius > REACH, 0.0, np.interp(radius, radii, profile))
    weights = (radius <= REACH).reshape(pixels, fine, pixels, fine).mean(axis=(1, 3))
    mark = values.reshape(pixels, fine, pixels, fine).mean(axis=(1, 3))
    mark = mark - weights * mark.sum() / weights.sum()
    return np.asarray(mark / np.sqrt((mark * mark).sum() * pixels**2), np.float32)


def _mean_on_circle(radius: float) -> float:
    """The mean of the mark, +1 for light and -1 for dark, on a circle around its middle."""
    turn = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    ring = np.maximum(np.abs(radius * np.cos(turn)), np.abs(radius * np.sin(turn)))
    dark = (ring < 1.5) | ((ring >= 2.5) & (ring < 3.5))
    return float(np.where(dark, -1.0, 1.0).mean())


def _summed(values: NDArray[np.uint32]) -> NDArray[np.uint32]:
    """The sum over everything above and left, with a zero row and column in front (a summed-area table).

    It wraps around, and so do its differences, so the sum over a small box is right.
    """
    table = np.zeros((values.shape[0] + 1, values.shape[1] + 1), np.uint32)
    np.cumsum(values, axis=0, out=table[1:, 1:])
    np.cumsum(table, axis=1, out=table)
    return table


def _box(table: NDArray[np.uint32], rows: NDArray[np.intp], columns: NDArray[np.intp], reach: int) -> Grey:
    """The sums over squares with this reach around the given pixels."""
    top, bottom, left, right = rows - reach, rows + reach + 1, columns - reach, columns + reach + 1
    return (table[bottom, right] - table[top, right] - table[bottom, left] + table[top, left]).astype(np.float32)


def _smooth(length: int) -> int:
    """The next length that suits a fast Fourier transform: with only 2, 3 and 5 as factors."""
    while True:
        rest = length
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return length
        length += 1
