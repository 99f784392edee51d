"""How far the record has come: a small file beside it, on the disk before a mark is shown as done.

The chain proves each entry by the one before it, but it can't show that the last entries are gone: a database or a
write-ahead log that was deleted, or replaced by an older copy, is consistent in itself. So each tablet's last count and
chain are also written here, one line for each commit, and compared at the next opening. The file is only a safeguard: a
line that can't be read is skipped, and without the file nothing is compared.
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
    """The recorded last count and chain of each tablet; empty where the mark is missing or can't be read."""
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
    """The mark of an open record. A failed write is ignored: a mark that lags behind does no harm."""

    def __init__(self, path: Path, tails: Tails) -> None:
        """Start a new file at the record's present end: the lines of one session are enough."""
        self._handle = -1
        unfinished = path.with_name(f"{path.name}.unfinished")
        with contextlib.suppress(OSError):
            handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, files.OURS_ALONE)
            with os.fdopen(handle, "wb") as file:
                file.write(_lines(tails))
            files.put_in_place(unfinished, path)
            self._handle = os.open(path, os.O_WRONLY | os.O_APPEND)

    def note(self, tails: Tails) -> None:
        """Write the new ends of these tablets; on the disk when this returns."""
        if self._handle >= 0:
            with contextlib.suppress(OSError):
                os.write(self._handle, b"\n" + _lines(tails))  # a line cut short by a full disk is ended
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
