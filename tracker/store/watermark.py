"""How far the record has come: a small file beside it, on the disk before a mark is shown as done.

The chain proves each entry by the one before it, but it can't tell that the last ones are gone: a database or a
write-ahead log that was taken away, or replaced by an older copy, is whole in itself. So each tablet's last count and
chain is noted here as well, one line a commit, and compared at the next opening. The file is a guard and not a truth:
a line that can't be read is left out, and a lost file only means that nothing is compared.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from zlib import crc32

from tracker.store import files

Tails = Mapping[str, tuple[int, str]]
"""Each tablet's last count, and the chain that its next row continues."""
MOST_BYTES = 64 * 1024 * 1024


def read_mark(path: Path) -> dict[str, tuple[int, str]]:
    """The last count and chain noted of each tablet; none where there is no mark or it can't be read."""
    tails: dict[str, tuple[int, str]] = {}
    with contextlib.suppress(OSError):
        for line in files.read(path, MOST_BYTES).split(b"\n"):
            words, _, check = line.rpartition(b" ")
            if check == _check(words):
                with contextlib.suppress(ValueError, TypeError):
                    tablet, count, chain = json.loads(words)
                    tails[tablet] = (count, chain)
    return tails


class Watermark:
    """The mark of an open record. What can't be written is left out: a mark that stays behind does no harm."""

    def __init__(self, path: Path, tails: Tails) -> None:
        """Begin it again at the record's present end: the lines of one session are enough."""
        self._handle = -1
        unfinished = path.with_name(f"{path.name}.unfinished")
        with contextlib.suppress(OSError):
            handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, files.OURS_ALONE)
            with os.fdopen(handle, "wb") as file:
                file.write(_lines(tails))
            files.put_in_place(unfinished, path)
            self._handle = os.open(path, os.O_WRONLY | os.O_APPEND)

    def note(self, tails: Tails) -> None:
        """Note the new ends of these tablets; on the disk when this returns."""
        if self._handle >= 0:
            with contextlib.suppress(OSError):
                os.write(self._handle, b"\n" + _lines(tails))  # what a full disk cut short ends its own line
                getattr(os, "fdatasync", os.fsync)(self._handle)

    def close(self) -> None:
        if self._handle >= 0:
            with contextlib.suppress(OSError):
                os.close(self._handle)
            self._handle = -1


def _lines(tails: Tails) -> bytes:
    return b"".join(_line(tablet, count, chain) for tablet, (count, chain) in tails.items())


def _line(tablet: str, count: int, chain: str) -> bytes:
    words = json.dumps([tablet, count, chain]).encode()
    return words + b" " + _check(words) + b"\n"


def _check(words: bytes) -> bytes:
    return b"%08x" % crc32(words)
