"""Watching a camera: what to spend on each frame, and when a reading counts.

Every frame goes through the general decoder. Where that sees nothing, one frame in three goes to the patient reader
and the others to one cheap retry, in turn, so that a frame without a code stays cheap. What the decoder reads counts at
once. What the patient reader reads counts when a second frame says the same, because a frame's noise is its own; dust
is the same in every frame, so frames that can't tell never add up to one that can.

`FrameReader.look` takes up to some 60 ms: call it from a worker, never from the screen's thread.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from PIL import Image

from tracker.scan.found import Found, Looked
from tracker.scan.reader import RETRIES, Frame, Planes, decode, patiently
from tracker.work.codes import Code

EVERY = 3
"""One frame in so many goes to the patient reader."""
REMEMBERED = 6
"""How many patient readings back a second one may lie."""


class FrameReader:
    """The memory between the frames of one camera."""

    def __init__(self, live: Sequence[Code] = ()) -> None:
        self.live = tuple(live)
        self._frames = 0
        self._patient: deque[Code | None] = deque(maxlen=REMEMBERED)

    def look(self, frame: Image.Image | Frame) -> Looked:
        """What this frame shows for sure, or the two likeliest live codes when a label is seen but not sure."""
        turn, self._frames = self._frames, self._frames + 1
        planes = Planes(frame)
        found = decode(planes.grey)
        if any(code.valid for code in found):
            return Looked(found)
        if turn % EVERY < EVERY - 1:
            again = RETRIES[(turn - turn // EVERY) % len(RETRIES)](planes)
            return Looked(again or found)
        # Blue light reads most, but not on yellow paper: every other time it is the grey picture's turn.
        plane = planes.blue if turn // EVERY % 4 < 3 else planes.grey
        looked = patiently(plane, self.live, found=found)
        code = looked.found[0] if looked.found else None
        counts = code is not None and code.text in self._patient
        self._patient.append(code.text if code else None)
        sure: tuple[Found, ...] = looked.found if counts else found
        return Looked(sure, looked.maybe)
