"""The camera, in its own process: captures, reads every frame, passes on a small picture and what was read.

It is a process and not a thread, because a reader at work holds Python's lock for longer than the screen can spare.
Nothing here imports Kivy: the process must start without a window. OpenCV is imported there, and only there.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Iterator, Sequence
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path

from msgspec import Struct

from tracker.scan import Found, FrameReader, Looked
from tracker.screens.device.exposure import DARK, Exposure, open_controls
from tracker.words import say
from tracker.work.codes import Code

WITHOUT = say("Without it: type the code, use a handheld scanner, or read a picture.")
NO_PACKAGE = say("Camera support isn't installed (see the README). Use a scanner or type the code.")
NO_CAMERA = say("No camera found: plug one in and try again. {otherwise}", otherwise=WITHOUT)
STOPPED = say("The camera has stopped: is it still plugged in? {otherwise}", otherwise=WITHOUT)
SIZE = (1280, 720)
"""The requested capture size; the camera gives what it has."""
SHOWN_WIDTH = 480
"""The width of the picture on the screen in pixels: enough to aim by."""
ASK_AFTER = 4
"""How many frames must be undecided between the same two codes before a person is asked."""
DOUBTED_FRAMES = 30
DEVICES = Path("/dev")
PATIENCE = 3.0
"""Seconds that the process gets to leave the camera as it was."""

Corner = tuple[float, float]


class Box(Struct, frozen=True):
    """The position of a code: its four corners as fractions of the picture's width and height, from its top left."""

    corners: tuple[Corner, Corner, Corner, Corner]
    ours: bool


class Sight(Struct, frozen=True):
    """One frame: a small picture of it (`width` × `height`, RGB, rows from the top) and what was read."""

    width: int
    height: int
    pixels: bytes
    boxes: tuple[Box, ...] = ()
    codes: tuple[Code, ...] = ()
    """Our codes that were read with certainty."""
    maybe: tuple[Code, ...] = ()
    """The two likeliest codes, when several frames were undecided: ask the person."""
    dark: bool = False
    """Whether more light would help."""


class Doubts:
    """Counts undecided frames: a person is asked only when several, close together, waver between the same two
    codes."""

    def __init__(self) -> None:
        self._recent: deque[frozenset[Code]] = deque(maxlen=DOUBTED_FRAMES)

    def about(self, looked: Looked) -> tuple[Code, ...]:
        """The two codes to ask about now; empty when there are none."""
        if looked.valid:
            self._recent.clear()
            return ()
        pair = frozenset(looked.maybe)
        self._recent.append(pair)
        if not pair or self._recent.count(pair) < ASK_AFTER:
            return ()
        self._recent.clear()
        return looked.maybe


def sights(source: str, live: Sequence[Code]) -> Iterator[Sight | str]:
    """What the camera sees, frame by frame; at its end, or where there is no camera, a sentence.

    `source` is the camera's number, or the path of a video or of a numbered series of pictures.
    """
    os.environ.setdefault("OPENCV_LOG_LEVEL", "ERROR")  # we report a missing camera ourselves, once
    try:
        import cv2
        import numpy as np
    except ImportError:
        yield NO_PACKAGE
        return
    capture = cv2.VideoCapture(int(source)) if source.isdecimal() else cv2.VideoCapture(source)
    if not capture.isOpened():
        yield NO_CAMERA
        return
    if source.isdecimal():
        capture.set(cv2.CAP_PROP_FRAME_WIDTH, SIZE[0])
        capture.set(cv2.CAP_PROP_FRAME_HEIGHT, SIZE[1])
        capture.set(cv2.CAP_PROP_BUFFERSIZE, 1)  # the newest frame, not one that is a second old
    opened = open_controls(DEVICES / f"video{source}") if source.isdecimal() else None
    exposure = Exposure(opened[0] if opened else None)
    watch, doubts = FrameReader(live), Doubts()
    try:
        while True:
            good, captured = capture.read()
            if not good:
                break
            frame = np.asarray(captured, np.uint8)
            looked = watch.look(frame)
            height, width = frame.shape[:2]
            shown = (SHOWN_WIDTH, max(1, round(SHOWN_WIDTH * height / width)))
            small = cv2.cvtColor(cv2.resize(frame, shown, interpolation=cv2.INTER_AREA), cv2.COLOR_BGR2RGB)
            brightness = float(small[::8, ::8].mean())
            exposure.saw(brightness)
            boxes = tuple(_box(found, width, height) for found in looked.found)
            codes = tuple(found.text for found in looked.found if found.ours)
            yield Sight(*shown, small.tobytes(), boxes, codes, doubts.about(looked), brightness < DARK)
    finally:
        exposure.close()
        if opened:
            opened[1]()
        capture.release()
    yield STOPPED


def _end(process: BaseProcess) -> None:
    """Ask the process to end, and kill it if its camera blocks it."""
    process.terminate()
    by_force = threading.Timer(PATIENCE, process.kill)
    by_force.daemon = True
    by_force.start()


def _box(found: Found, width: int, height: int) -> Box:
    a, b, c, d = ((x / width, y / height) for x, y in found.corners)
    return Box((a, b, c, d), found.ours)


def _send_sights(source: str, live: Sequence[Code], wire: Connection) -> None:
    """The main loop of the process; it ends when nobody looks at the pictures."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the app handles Ctrl-C
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))  # so that the camera is left as it was found
    try:
        for seen in sights(source, live):
            wire.send(seen)
    except OSError:
        pass
    finally:
        signal.signal(signal.SIGTERM, signal.SIG_IGN)  # it is already ending


class Camera:
    """Watches from creation until `close`. Creating, polling and closing it never block the calling thread."""

    def __init__(self, source: str, live: Sequence[Code]) -> None:
        self._lock = threading.Lock()
        self._open = True
        self._sight: Sight | None = None
        self._said = ""
        self._process: BaseProcess | None = None
        self._thread = threading.Thread(target=self._listen, args=(source, tuple(live)), daemon=True)
        self._thread.start()

    def latest(self) -> Sight | None:
        """The newest frame, returned once. A frame in which something was read is kept until it is returned."""
        with self._lock:
            sight, self._sight = self._sight, None
            return sight

    @property
    def trouble(self) -> str:
        """Why the pictures have stopped; empty while they come. Set only after the last frame has been returned."""
        with self._lock:
            return self._said if self._sight is None else ""

    def close(self) -> None:
        """Stop watching."""
        with self._lock:
            self._open = False
            if self._process is not None:
                _end(self._process)

    def join(self, seconds: float | None = None) -> bool:
        """Wait until the process has ended; returns whether it has."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    def _listen(self, source: str, live: tuple[Code, ...]) -> None:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe(duplex=False)
        process = context.Process(target=_send_sights, args=(source, live, theirs), name="camera", daemon=True)
        process.start()
        theirs.close()
        with self._lock:
            self._process = process
            wanted = self._open
        if not wanted:
            _end(process)
        try:
            while True:
                self._take(ours.recv())
        except (EOFError, OSError):
            pass
        ours.close()
        process.join()
        with self._lock:
            self._said = self._said or STOPPED

    def _take(self, seen: Sight | str) -> None:
        with self._lock:
            if isinstance(seen, str):
                self._said = seen
            elif self._sight is None or seen.codes or seen.maybe or not (self._sight.codes or self._sight.maybe):
                self._sight = seen
