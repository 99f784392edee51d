"""Watching a camera: how much work to spend on each frame, and when a reading counts.

Every frame goes through the general decoder. If it sees nothing, one frame in three goes to the patient reader and the
others to one cheap retry, in turn, so a frame without a code stays cheap. A reading of the decoder counts at once. A
reading of the patient reader counts when a second frame gives the same, because noise differs from frame to frame; dust
is the same in every frame, so undecided frames never add up to a decision.

`FrameReader.look` takes up to about 60 ms: call it from a worker, never from the screen's thread.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from PIL import Image

from tracker.scan.found import Found, Looked
from tracker.scan.reader import RETRIES, Frame, Planes, decode, patiently
from tracker.work.codes import Code

EVERY = 3
"""One of this many frames goes to the patient reader."""
REMEMBERED = 6
"""A second patient reading counts if the first is at most this many readings back."""


class FrameReader:
    """The state between the frames of one camera."""

    def __init__(self, live: Sequence[Code] = ()) -> None:
        self.live = tuple(live)
        self._frames = 0
        self._patient: deque[Code | None] = deque(maxlen=REMEMBERED)

    def look(self, frame: Image.Image | Frame) -> Looked:
        """What this frame shows with certainty, or the two likeliest live codes when a label is seen but not
        certain."""
        turn, self._frames = self._frames, self._frames + 1
        planes = Planes(frame)
        found = decode(planes.grey)
        if any(code.valid for code in found):
            return Looked(found)
        if turn % EVERY < EVERY - 1:
            again = RETRIES[(turn - turn // EVERY) % len(RETRIES)](planes)
            return Looked(again or found)
        # Blue light reads most, but not on yellow paper: every fourth time the grey picture is used.
        plane = planes.blue if turn // EVERY % 4 < 3 else planes.grey
        looked = patiently(plane, self.live, found=found)
        code = looked.found[0] if looked.found else None
        counts = code is not None and code.text in self._patient
        self._patient.append(code.text if code else None)
        sure: tuple[Found, ...] = looked.found if counts else found
        return Looked(sure, looked.maybe)
