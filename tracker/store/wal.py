"""What SQLite reads of a write-ahead log: frames as long as their checksums are right. It doesn't report what comes
after (https://www.sqlite.org/fileformat2.html, section 4.1 "WAL File Format").

A log is intact if it ends at the end of the file, within a transaction left by a killed process (its frames are right,
only the last is missing), or where frames of an earlier generation begin. Any other end was torn by a power cut, or
damaged.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

_HEAD, _FRAME_HEAD = 32, 24
_MAGIC = {0x377F0682: "<", 0x377F0683: ">"}
"""The byte order in which the checksums were computed."""
_FORMAT_VERSIONS = slice(18, 20)
"""The position in a database's header that says whether it is written and read with a write-ahead log (2) or without
(1)."""


def ends_whole(wal: bytes) -> bool:
    """Whether nothing is torn after what SQLite can read."""
    if not wal:
        return True
    frames = _Frames(wal)
    for _ in frames.sound():
        pass
    return frames.whole


def without_wal(database: bytes, wal: bytes) -> bytes:
    """The database as SQLite sees it through its write-ahead log: every page of the committed transactions in its
    place, and a header without a write-ahead log. Damage is kept as it is."""
    image, waiting = bytearray(database), []
    for page, ended_with, data in _Frames(wal).sound():
        waiting.append((page, data))
        if ended_with:
            for number, its_data in waiting:
                at = (number - 1) * len(its_data)
                image += bytes(max(0, at - len(image)))
                image[at : at + len(its_data)] = its_data
            del image[ended_with * len(data) :]
            waiting = []
    if image[:16] == b"SQLite format 3\0":
        image[_FORMAT_VERSIONS] = b"\1\1"
    return bytes(image)


class _Frames:
    """The frames of a write-ahead log. After the iteration `whole` says whether it ends as it should."""

    def __init__(self, wal: bytes) -> None:
        self._wal = wal
        self.whole = False

    def sound(self) -> Iterator[tuple[int, int, bytes]]:
        """Each frame with a right checksum: the number of the page, the size of the database in pages if it ends a
        transaction (else 0), and the page."""
        wal = self._wal
        if len(wal) < _HEAD:
            return
        magic, _, page, began_again, salt, salt2, sum1, sum2 = struct.unpack(">8I", wal[:_HEAD])
        order = _MAGIC.get(magic)
        if order is None or not 512 <= page <= 65_536:
            return
        sums = _checksum(order, wal[:24], (0, 0))
        if sums != (sum1, sum2):
            return
        for at in range(_HEAD, len(wal), _FRAME_HEAD + page):
            frame = wal[at : at + _FRAME_HEAD + page]
            if len(frame) < _FRAME_HEAD:
                return
            number, ended_with, first, second, sum1, sum2 = struct.unpack(">6I", frame[:_FRAME_HEAD])
            if (first, second) != (salt, salt2):
                self.whole = 0 < (salt - first) & 0xFFFFFFFF <= began_again  # the first salt counts the generations
                return
            sums = _checksum(order, frame[_FRAME_HEAD:], _checksum(order, frame[:8], sums))
            if len(frame) < _FRAME_HEAD + page or sums != (sum1, sum2):
                return
            yield number, ended_with, frame[_FRAME_HEAD:]
        self.whole = True


def _checksum(order: str, data: bytes, sums: tuple[int, int]) -> tuple[int, int]:
    """SQLite's checksum, section 4.2 "Checksum Algorithm"."""
    one, two = sums
    for even, odd in struct.iter_unpack(f"{order}2I", data[: len(data) & ~7]):
        one = (one + even + two) & 0xFFFFFFFF
        two = (two + odd + one) & 0xFFFFFFFF
    return one, two
