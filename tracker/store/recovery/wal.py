"""Whether the end of a write-ahead log is whole: SQLite reads as far as the checksums are right, and says nothing of
what stands behind (https://www.sqlite.org/fileformat2.html, section 4.1 "WAL File Format").

A log ends whole where the file ends, within a transaction that a killed process left (its frames are right, only the
last is missing), or where frames of an earlier generation begin. Anything else was torn by a power cut, or damaged.
"""

from __future__ import annotations

import struct

_HEAD, _FRAME_HEAD = 32, 24
_MAGIC = {0x377F0682: "<", 0x377F0683: ">"}
"""The order of the bytes in which the checksums were made."""


def ends_whole(wal: bytes) -> bool:
    """Whether nothing is torn behind what SQLite can read."""
    if len(wal) < _HEAD:
        return not wal
    magic, _, page, began_anew, salt, salt2, sum1, sum2 = struct.unpack(">8I", wal[:_HEAD])
    order = _MAGIC.get(magic)
    if order is None or not 512 <= page <= 65_536:
        return False
    sums = _checksum(order, wal[:24], (0, 0))
    if sums != (sum1, sum2):
        return False
    at = _HEAD
    while at < len(wal):
        frame = wal[at : at + _FRAME_HEAD + page]
        if len(frame) < _FRAME_HEAD:
            return False
        first, second, sum1, sum2 = struct.unpack(">4I", frame[8:_FRAME_HEAD])
        if (first, second) != (salt, salt2):
            return bool(0 < (salt - first) & 0xFFFFFFFF <= began_anew)  # the first salt counts the generations
        sums = _checksum(order, frame[_FRAME_HEAD:], _checksum(order, frame[:8], sums))
        if len(frame) < _FRAME_HEAD + page or sums != (sum1, sum2):
            return False
        at += len(frame)
    return True


def _checksum(order: str, data: bytes, sums: tuple[int, int]) -> tuple[int, int]:
    """SQLite's own, section 4.2 "Checksum Algorithm"."""
    one, two = sums
    for even, odd in struct.iter_unpack(f"{order}2I", data[: len(data) & ~7]):
        one = (one + even + two) & 0xFFFFFFFF
        two = (two + odd + one) & 0xFFFFFFFF
    return one, two
