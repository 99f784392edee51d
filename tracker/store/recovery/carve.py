"""Carving rows of the log out of the bytes of a damaged database or its write-ahead log, without SQLite's help.

A record is found by its own header (https://www.sqlite.org/fileformat2.html, sections 2.1 "Record Format" and 1.6 "Cell
Payload Overflow Pages"), wherever it is: a page without its header still yields its cells. What is found is only a
claim; the chain decides what is true.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from tracker.store.rows import Row

_CHAIN_HEADER = b"\x81\x0d"
"""The serial type 141 as a varint: a text of 64 bytes, which every chain is; the last of a row's seven columns."""
_INTEGER_BYTES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8, 8: 0, 9: 0}
_WAL_HEAD, _FRAME_HEAD = 32, 24
MOST_BYTES = 16 * 1024 * 1024
"""The longest row."""


def rows_in_database(data: bytes) -> Iterator[Row]:
    """Every possible row in a database file; the same row may come several times."""
    size = _page_size(data[16:18])
    pages = {number + 1: start for number, start in enumerate(range(0, len(data), size))}  # the last may be short
    for start in pages.values():
        yield from _rows_in_page(data, start, size, pages)


def rows_in_wal(
    wal: bytes, database: bytes = b"", committed: bool = False, but_the_last: bool = False
) -> Iterator[Row]:
    """Every possible row in a write-ahead log, whether SQLite still trusts its frames or not.

    With `committed` only those of committed transactions of the log's last generation; `but_the_last` leaves out the
    last of these transactions.
    """
    size = _page_size(database[16:18])
    if len(wal) >= _WAL_HEAD and (said := int.from_bytes(wal[8:12], "big")) in _SIZES:
        size = said
    frames = list(range(_WAL_HEAD, len(wal) - _FRAME_HEAD, size + _FRAME_HEAD))
    if committed:
        frames = _ended(wal, frames, 2 if but_the_last else 1)
    pages = {int.from_bytes(wal[at : at + 4], "big"): at + _FRAME_HEAD for at in frames}
    for at in frames:
        yield from _rows_in_page(wal, at + _FRAME_HEAD, size, pages)


def _ended(wal: bytes, frames: list[int], back: int) -> list[int]:
    """The frames of the last generation (they share a salt) up to the one that ends its last transaction (`back` 1),
    the one before that (2), and so on."""
    salts = Counter(wal[at + 8 : at + 16] for at in frames)
    salt = wal[16:24] if wal[16:24] in salts else salts.most_common(1)[0][0] if salts else b""
    mine = [at for at in frames if wal[at + 8 : at + 16] == salt]
    ends = [number for number, at in enumerate(mine, 1) if any(wal[at + 4 : at + 8])]
    return mine[: ends[-back]] if len(ends) >= back else []


_SIZES = frozenset(1 << power for power in range(9, 17))


def _page_size(two: bytes) -> int:
    said = int.from_bytes(two, "big")
    said = 65536 if said == 1 else said
    return said if said in _SIZES else 4096


def _rows_in_page(data: bytes, start: int, size: int, pages: Mapping[int, int]) -> Iterator[Row]:
    end = min(start + size, len(data))
    at = data.find(_CHAIN_HEADER, start, end)
    while at >= 0:
        row = _row_before(data, at + len(_CHAIN_HEADER), start, end, size, pages)
        if row is not None:
            yield row
        at = data.find(_CHAIN_HEADER, at + 1, end)


def _row_before(data: bytes, body: int, start: int, end: int, size: int, pages: Mapping[int, int]) -> Row | None:
    """The row whose header ends at `body`: a header begins with its own length, which is 9 bytes for short texts and 19
    for long ones."""
    for length in range(9, 20):
        head = body - length
        if head < start or data[head] != length:
            continue
        types = _varints(data[head + 1 : body])
        if len(types) == 7 and _could_be(types):
            payload = length + sum(_bytes_of(each) for each in types)
            if payload <= MOST_BYTES:
                record = _payload(data, head, end, payload, size, pages)
                return _row(record[length:], types) if record is not None else None
    return None


def _could_be(types: list[int]) -> bool:
    texts = (types[0], *types[2:])
    return types[1] in _INTEGER_BYTES and all(each >= 13 and each % 2 == 1 for each in texts)


def _bytes_of(serial: int) -> int:
    return (serial - 13) // 2 if serial >= 13 else _INTEGER_BYTES[serial]


def _varints(data: bytes) -> list[int]:
    found, value = [], 0
    for byte in data:
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            found.append(value)
            value = 0
    return found


def _payload(data: bytes, head: int, end: int, length: int, size: int, pages: Mapping[int, int]) -> bytes | None:
    """The bytes of a record, including those on overflow pages."""
    most = size - 35
    if length <= most:
        return data[head : head + length] if head + length <= end else None
    least = (size - 12) * 32 // 255 - 23
    here = least + (length - least) % (size - 4)
    here = here if here <= most else least
    if head + here + 4 > end:
        return None
    record = bytearray(data[head : head + here])
    onward = head + here
    while len(record) < length:
        page = pages.get(int.from_bytes(data[onward : onward + 4], "big"))
        more = b"" if page is None else data[page + 4 : page + min(size, 4 + length - len(record))]
        if page is None or not more:
            return None
        record += more
        onward = page
    return bytes(record)


def _row(body: bytes, types: list[int]) -> Row | None:
    values: list[str | int] = []
    at = 0
    for serial in types:
        part = body[at : at + _bytes_of(serial)]
        at += len(part)
        if serial >= 13:
            try:
                values.append(part.decode())
            except UnicodeDecodeError:
                return None
        else:
            values.append(serial - 8 if serial in (8, 9) else int.from_bytes(part, "big", signed=True))
    return Row._make(values)
