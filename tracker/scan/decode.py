"""From soft bits to a code: the likeliest of all codes, or the likeliest of this shop's live codes.

The first is ordered statistics decoding (Fossorier and Lin 1995): the 55 most reliable independent bits determine a
symbol; every change of up to three of them is tried, and the symbol that agrees best with all 208 bits wins. It reads
symbols on which hard-decision Reed-Solomon decoding, which knows only right and wrong words, must give up.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tracker.scan.symbol import BITS, FREE, SIDE, Bits, affine_code, data_bits, data_places, text_of
from tracker.work.codes import Code

Soft = NDArray[np.float32]
Signs = NDArray[np.float32]


PAIRS = 150
"""How many of the better changes of two bits are tried with a third."""


class Guess(Struct, frozen=True):
    """A text, how well its symbol agrees with the bits (1 is perfect), and its lead over the next symbol."""

    text: str
    score: float
    lead: float


def likeliest_of_all(soft: Soft, persistent: bool = False) -> Guess | None:
    """The symbol that agrees best with the bits; None when it isn't ten characters.

    A pencil stroke or a thumbprint of glue makes bits that are confident and wrong, all in one place. `persistent`
    tries again with each third of the symbol excluded from the most reliable bits, at six times the cost.
    """
    tries = [_from_surest(soft, np.abs(soft))]
    if persistent:
        tries += [_from_surest(soft, np.where(part, 0.0, np.abs(soft))) for part in _parts()]
    tries.sort(key=lambda guess: guess.score, reverse=True)
    best = tries[0]
    others = (best.score - guess.score for guess in tries if guess.text != best.text)
    return Guess(best.text, best.score, min(best.lead, *others, 2.0)) if best.text else None


@lru_cache(maxsize=1)
def _parts() -> tuple[NDArray[np.bool_], ...]:
    """Which of the 208 bits lie in each third of the rows and of the columns."""
    third = SIDE // 3
    return tuple(place // third == part for place in data_places() for part in range(3))


def _from_surest(soft: Soft, sureness: NDArray[np.floating]) -> Guess:
    """The best symbol within three changes of what the most reliable bits say; its text is empty where it is
    invalid."""
    offset, _ = affine_code()
    received = np.asarray(soft * (1 - 2.0 * offset), np.float32)  # the offset undone: the rest is linear
    basis = _basis(np.argsort(-sureness, kind="stable").tolist())
    hard = (received > 0).astype(np.uint8)
    start = np.bitwise_xor.reduce(basis.rows[hard[basis.columns].astype(bool)], axis=0, initial=0).astype(np.uint8)
    best, second = _best_changes(received * (2.0 * start - 1.0), 1.0 - 2.0 * basis.rows.astype(np.float32))
    bits = start
    for at in best[1]:
        bits = bits ^ basis.rows[at]
    norm = float(np.sqrt(np.square(soft).sum() * BITS)) or 1.0
    return Guess(text_of(basis.free_bits(bits)) or "", best[0] / norm, (best[0] - second[0]) / norm)


_Change = tuple[float, tuple[int, ...]]
"""The agreement after changing some of the most reliable bits, and which ones."""


def _best_changes(value: Soft, flips: Signs) -> tuple[_Change, _Change]:
    """The best two results of changing at most three of the most reliable bits. `value` is each bit's agreement
    before."""
    ones, pairs = flips @ value, (flips * value) @ flips.T
    first, second = np.triu_indices(FREE, 1)
    two = pairs[first, second]
    better = np.argsort(-two)[:PAIRS]
    found: list[_Change] = [(float(value.sum()), ())]
    found += [(float(ones[at]), (int(at),)) for at in np.argsort(-ones)[:2]]
    found += [(float(two[at]), (int(first[at]), int(second[at]))) for at in better[:2]]
    # Try a third change on top of the better pairs.
    three = (flips[first[better]] * flips[second[better]] * value) @ flips.T
    for flat in np.argsort(-three, axis=None)[:12]:
        pair, third = divmod(int(flat), FREE)
        changed = {int(first[better[pair]]), int(second[better[pair]]), third}
        if len(changed) == 3:
            found.append((float(three[pair, third]), tuple(sorted(changed))))
    distinct = {changed: agreement for agreement, changed in found}
    ranked = sorted(((agreement, changed) for changed, agreement in distinct.items()), reverse=True)
    return ranked[0], ranked[1]


class _Basis(Struct, frozen=True):
    """The symbol's linear part, solved for its most reliable independent bits."""

    rows: Bits
    """55 × 208: one row for each of those bits, which is set only in its own row."""
    columns: NDArray[np.intp]
    """The indices of these bits."""
    own: tuple[int, ...]
    """For each row the free bits that it is made of, as an integer, the first free bit lowest."""

    def free_bits(self, bits: Bits) -> Bits:
        total = 0
        for at in np.flatnonzero(bits[self.columns]):
            total ^= self.own[at]
        return np.array([total >> at & 1 for at in range(FREE)], np.uint8)


@lru_cache(maxsize=1)
def _packed() -> tuple[int, ...]:
    return tuple(int.from_bytes(np.packbits(row).tobytes(), "big") for row in affine_code()[1])


def _basis(surest: list[int]) -> _Basis:
    """Gauss-Jordan elimination over GF(2), each row in one integer, columns in the given order."""
    rows, own = list(_packed()), [1 << at for at in range(FREE)]
    columns: list[int] = []
    for column in surest:
        bit, done = 1 << (BITS - 1 - column), len(columns)
        pivot = next((at for at in range(done, FREE) if rows[at] & bit), None)
        if pivot is None:
            continue
        rows[done], rows[pivot] = rows[pivot], rows[done]
        own[done], own[pivot] = own[pivot], own[done]
        for at in range(FREE):
            if at != done and rows[at] & bit:
                rows[at] ^= rows[done]
                own[at] ^= own[done]
        columns.append(column)
        if len(columns) == FREE:
            break
    unpacked = [np.unpackbits(np.frombuffer(row.to_bytes(BITS // 8, "big"), np.uint8)) for row in rows]
    return _Basis(np.array(unpacked), np.array(columns), tuple(own))


@lru_cache(maxsize=8)
def _signs(live: tuple[Code, ...]) -> Signs:
    return np.array([data_bits(code) for code in live], np.float32) * 2 - 1


def likeliest_of(soft: Soft, live: Sequence[Code]) -> list[Guess]:
    """The two likeliest of the live codes (or one, or none), each with its lead over the next."""
    if not live:
        return []
    codes = tuple(live)
    scores = _signs(codes) @ soft / (float(np.sqrt(np.square(soft).sum() * BITS)) or 1.0)
    order = np.argsort(-scores)[:3]
    ends = [*scores[order].tolist(), 0.0]
    return [Guess(codes[at], ends[rank], ends[rank] - ends[rank + 1]) for rank, at in enumerate(order[:2])]
