"""The patient reader: finds a dusty label by what is known of it, and reads it by what all of its modules say together.

Marks by matched filter, grids guessed from them, the best ones registered on the known modules, every module averaged,
and the likeliest code taken: of all codes, or of those that this shop has live. When the likeliest doesn't lead by
enough, the answer is "can't tell" and the two likeliest live codes, never a guess.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.scan.decode import Soft, likeliest_of, likeliest_of_all
from tracker.scan.finders import find_marks
from tracker.scan.grid import Homography, guesses, likeliest, project
from tracker.scan.levels import module_means, soft_bits
from tracker.scan.registration import refine
from tracker.scan.symbol import SIDE
from tracker.scan.views import View, slanted_views
from tracker.work.codes import Code, is_code

Grey = NDArray[np.uint8]
Corner = tuple[float, float]
Corners = tuple[Corner, Corner, Corner, Corner]


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is tried before giving up: it costs only where no label is read."""

    grids: int
    """Grids that are registered in the frame."""
    patches: int
    """Busy patches that are put square."""
    patch_grids: int
    """Grids that are registered in each patch."""


QUICK = Effort(3, 2, 2)
"""For a frame of a camera: another comes in a moment."""
THOROUGH = Effort(8, 6, 6)
"""For a picture that is all there is."""
SEEN = 0.65
"""The least agreement with the known modules at which a code is taken to be there."""
SURE_SCORE, SURE_LEAD = 0.70, 0.14
"""Of all codes: the least agreement of the 208 bits, and the least lead over the next."""
LIVE_SCORE, LIVE_LEAD = 0.45, 0.2
"""Of the live codes."""
MAYBE_SCORE = 0.3
"""Under this even the likeliest live code is not worth showing."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What the patient reader makes of one label."""

    corners: Corners
    """The code's top left, top right, bottom right, bottom left, in pixels of the frame."""
    code: Code | None
    """The code, when it is sure."""
    maybe: tuple[Code, ...] = ()
    """When it isn't: the two likeliest live codes, likelier first. Ask the person."""


def read_patiently(frame: Grey, live: Sequence[Code] = (), effort: Effort = QUICK) -> Reading | None:
    """The label in a grey frame, or None where none is seen."""
    doubtful: Reading | None = None
    for view, tried in _views(frame, effort):
        for grid, agreement in _grids(view.grey, tried):
            if agreement < SEEN:
                continue
            soft = soft_bits(module_means(view.grey.astype(np.float32), grid))
            reading = _told(soft, view.to_frame @ grid, live)
            if reading.code is not None:
                return reading
            doubtful = doubtful or (reading if reading.maybe else None)
    return doubtful


def _views(frame: Grey, effort: Effort) -> Iterator[tuple[View, int]]:
    yield View(frame, np.eye(3)), effort.grids
    for view in slanted_views(frame, effort.patches):
        yield view, effort.patch_grids


def _grids(grey: Grey, tried: int) -> Iterator[tuple[Homography, float]]:
    for guess in likeliest(grey, guesses(find_marks(grey)), tried):
        yield refine(grey, guess)


def _told(soft: Soft, grid: Homography, live: Sequence[Code]) -> Reading:
    seen = project(grid, np.array([[0.0, 0.0], [SIDE, 0.0], [SIDE, SIDE], [0.0, SIDE]]))
    a, b, c, d = ((float(x), float(y)) for x, y in seen)
    corners: Corners = (a, b, c, d)
    best = likeliest_of_all(soft)
    if best and best.score >= SURE_SCORE and best.lead >= SURE_LEAD and is_code(best.text):
        return Reading(corners, best.text)
    known = likeliest_of(soft, live)
    if known and known[0].score >= LIVE_SCORE and known[0].lead >= LIVE_LEAD:
        return Reading(corners, known[0].text)
    if known and known[0].score >= MAYBE_SCORE:
        return Reading(corners, None, tuple(guess.text for guess in known))
    return Reading(corners, None)
