"""A picture that would take too long is given up, in a process that can be ended."""

from __future__ import annotations

import io
import os
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.paper.shop_labels import LABELS, label_png
from tracker.paper.sheets import sheet_named
from tracker.scan import PictureReader, bounded, open_picture
from tracker.scan.picture import MOST_SCANS

LABEL = label_png(LABELS[0], sheet_named("a4-2x7"))


def many_scans(side: int, scans: int) -> bytes:
    """A progressive JPEG whose last scan is repeated: little data, and a pass over the whole picture for each."""
    file = io.BytesIO()
    Image.new("L", (side, side), 128).save(file, "JPEG", progressive=True)
    data = file.getvalue()
    last = data.rindex(b"\xff\xda")
    scan = data[last:-2]
    return data[:last] + scan * scans + b"\xff\xd9"


def test_a_label_is_read_as_without_the_process() -> None:
    with PictureReader() as reader:
        for _ in range(2):
            looked = reader.look(LABEL)
            assert [found.text for found in looked.found] == [LABELS[0].code]
        with pytest.raises(ValueError, match="neither a PNG nor a JPEG"):
            reader.look(b"no picture")
        assert reader.look(LABEL).valid


def test_a_jpeg_of_more_scans_than_any_camera_makes_is_refused_at_once() -> None:
    before = time.process_time()
    with pytest.raises(ValueError, match="damaged"):
        open_picture(many_scans(2800, MOST_SCANS * 20))
    assert time.process_time() - before < 1  # decoding it would take a minute
    ordinary = io.BytesIO()
    Image.effect_noise((640, 480), 80).convert("RGB").save(ordinary, "JPEG", progressive=True, quality=95)
    assert open_picture(ordinary.getvalue()).image.size == (640, 480)


def test_a_picture_that_takes_too_long_ends_the_process_and_the_next_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """The time runs out before the process has started; the next picture gets a new process."""
    with PictureReader() as reader:
        monkeypatch.setattr(bounded, "PATIENCE", 0.01)
        with pytest.raises(ValueError, match="too long"):
            reader.look(LABEL)
        monkeypatch.undo()
        assert reader.look(LABEL).valid


@pytest.mark.skipif(sys.platform == "win32", reason="processor time is counted by POSIX systems")
def test_a_slow_picture_is_given_up_after_its_processor_time(monkeypatch: pytest.MonkeyPatch) -> None:
    with PictureReader() as reader:
        monkeypatch.setattr(bounded, "SECONDS", 1)
        with pytest.raises(ValueError, match="too long"):
            reader.look(many_scans(2800, MOST_SCANS - 20))
        assert reader.look(LABEL).valid


def test_closing_ends_a_look_at_once() -> None:
    reader = PictureReader()
    rng = np.random.default_rng(1)
    noise = io.BytesIO()
    Image.fromarray(rng.integers(0, 255, (2800, 2800), np.uint8)).save(noise, "PNG")
    wrong: list[str] = []

    def look() -> None:
        try:
            for _ in range(50):
                reader.look(noise.getvalue())
        except ValueError as problem:
            wrong.append(str(problem))

    worker = threading.Thread(target=look)
    worker.start()
    time.sleep(0.5)
    reader.close()
    worker.join(20)
    assert not worker.is_alive()
    assert wrong == [bounded.STOPPED]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with names are POSIX")
def test_a_pipe_and_a_device_are_no_pictures(tmp_path: Path) -> None:
    pipe = tmp_path / "label.png"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero"), tmp_path):
        with pytest.raises(ValueError, match=r"not a file|directory"):
            open_picture(path)
