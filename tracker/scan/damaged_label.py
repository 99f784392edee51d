"""The patient reader: finds a dusty label by its known parts, and reads it from all of its modules together.

Marks are found by matched filter and grids guessed from them; the best ones are registered on the known modules, every
module is averaged, and the likeliest code is chosen: of all codes, or of this shop's live codes. When the likeliest
doesn't lead by enough, the answer is "can't tell" with the two likeliest live codes, never a guess.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tracker.scan.decode import Soft, likeliest_of, likeliest_of_all
from tracker.scan.finders import find_marks
from tracker.scan.found import Corners
from tracker.scan.grid import APART, Homography, apart, guesses, likeliest, project
from tracker.scan.levels import module_means, soft_bits
from tracker.scan.registration import registered
from tracker.scan.symbol import SIDE
from tracker.scan.views import View, slanted_views
from tracker.work.codes import Code, is_code

Grey = NDArray[np.uint8]


class Effort(Struct, frozen=True):
    """How much is tried before giving up; the cost arises only where no label is read."""

    grids: int
    """How many grids are registered in the frame."""
    patches: int
    """How many busy patches are rectified."""
    patch_grids: int
    """How many grids are registered in each patch."""
    again: int
    """On how many grids the persistent decoder is tried at the end."""


QUICK = Effort(3, 2, 2, 1)
"""For a camera frame: another comes in a moment."""
THOROUGH = Effort(6, 4, 4, 1)
"""For a picture that is all there is."""
SEEN = 0.65
"""The least agreement with the known modules for a code to be there."""
LAID_WELL = 0.85
"""With this agreement, looking again at the same place would tell no more."""
SURE_SCORE, SURE_LEAD = 0.70, 0.14
"""Among all codes: the least agreement of the 208 bits, and the least lead over the next."""
LIVE_SCORE, LIVE_LEAD = 0.45, 0.2
"""The same among the live codes."""
MAYBE_SCORE = 0.3
"""Below this even the likeliest live code isn't worth showing."""


class Reading(Struct, frozen=True):
    """The patient reader's result for one label."""

    corners: Corners
    """The code's top left, top right, bottom right, bottom left, in pixels of the frame."""
    code: Code | None
    """The code, when it is certain."""
    maybe: tuple[Code, ...] = ()
    """Otherwise the two likeliest live codes, the likelier first. Ask the person."""


def read_patiently(
    frame: Grey, live: Sequence[Code] = (), effort: Effort = QUICK, others: Sequence[Corners] = ()
) -> Reading | None:
    """The label in a grey frame, or None where none is seen. `others` are codes that are known not to be ours."""
    doubtful: Reading | None = None
    laid: list[_Laid] = []
    for view, tried in _views(frame, effort):
        for grid, agreement in _registered(view, tried, laid, others):
            if agreement < SEEN:
                continue
            seen = _Laid(view.to_frame @ grid, agreement, soft_bits(module_means(view.grey, grid)))
            reading = _judged(seen, live)
            if reading.code is not None:
                return reading
            doubtful = doubtful or (reading if reading.maybe else None)
            laid.append(seen)
    for seen in sorted(laid, key=lambda one: one.agreement, reverse=True)[: effort.again]:
        reading = _judged(seen, live, persistent=True)
        if reading.code is not None:
            return reading
    return doubtful


class _Laid(Struct, frozen=True):
    """A grid that lies on a code, in the frame, and the bits under it."""

    grid: Homography
    agreement: float
    soft: Soft


def _views(frame: Grey, effort: Effort) -> Iterator[tuple[View, int]]:
    yield View(frame, np.eye(3)), effort.grids
    for view in slanted_views(frame, effort.patches):
        yield view, effort.patch_grids


def _registered(
    view: View, tried: int, laid: Sequence[_Laid], others: Sequence[Corners]
) -> Iterator[tuple[Homography, float]]:
    """The likeliest grids of a view, registered, with their agreement; none on a code already laid well, or on
    another's code."""
    grids = likeliest(view.grey, guesses(find_marks(view.grey)), tried)
    if not grids:
        return
    done = _done(laid)
    in_frame = view.to_frame @ np.array(grids)
    fresh = [at - len(done) for at in apart(np.array([*done, *in_frame]), APART) if at >= len(done)]
    middles = project(in_frame, np.full((1, 2), SIDE / 2))[:, 0]
    fresh = [at for at in fresh if not any(_within(middles[at], other) for other in others)]
    # The best two are usually right: the others are tried only when those can't be read.
    for some in (fresh[:2], fresh[2:]):
        if some:
            yield from registered(view.grey, [grids[at] for at in some])


def _done(laid: Sequence[_Laid]) -> list[Homography]:
    """The places where another look would tell no more: laid well, or laid twice already."""
    places = [one.grid for one in laid]
    again = {at for at in range(len(places)) if at not in apart(np.array(places), APART)} if places else set()
    return [one.grid for at, one in enumerate(laid) if one.agreement >= LAID_WELL or at in again]


def _within(point: NDArray[np.float64], corners: Corners) -> bool:
    """Whether a point is in a code, whose corners go clockwise as the frame is seen."""
    around = np.array(corners)
    side, off = np.roll(around, -1, axis=0) - around, point - around
    return bool((side[:, 0] * off[:, 1] - side[:, 1] * off[:, 0] > 0).all())


def _judged(seen: _Laid, live: Sequence[Code], persistent: bool = False) -> Reading:
    at = project(seen.grid, np.array([[0.0, 0.0], [SIDE, 0.0], [SIDE, SIDE], [0.0, SIDE]]))
    a, b, c, d = ((float(x), float(y)) for x, y in at)
    corners: Corners = (a, b, c, d)
    best = likeliest_of_all(seen.soft, persistent)
    if best and best.score >= SURE_SCORE and best.lead >= SURE_LEAD and is_code(best.text):
        return Reading(corners, best.text)
    known = likeliest_of(seen.soft, live)
    if known and known[0].score >= LIVE_SCORE and known[0].lead >= LIVE_LEAD:
        return Reading(corners, known[0].text)
    if known and known[0].score >= MAYBE_SCORE:
        return Reading(corners, None, tuple(guess.text for guess in known))
    return Reading(corners, None)
