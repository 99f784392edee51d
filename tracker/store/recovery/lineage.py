"""Which rows of one tablet continue which, so that two true histories are kept apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from tracker.store.rows import Row, chain_after, chain_link, first_lost


def linked(before: str, row: Row) -> str:
    """The chain that the row should have; empty when its columns can't even be chained."""
    try:
        return chain_link(before, *row[:6])
    except (TypeError, UnicodeError):
        return ""


class Lineage:
    """The rows of one tablet as a family tree: a row's parent is the row that its chain continues.

    `eldest` is the first row of a row's line; the row itself where its parent isn't known.
    """

    def __init__(self, at: Mapping[int, Sequence[Row]], counts: Sequence[int], own: frozenset[Row]) -> None:
        """`at`: the rows by count, better sources first; `own`: the rows of the record itself."""
        self.own = own
        self.eldest: dict[Row, Row] = {}
        self._parent: dict[Row, Row] = {}
        self._children: defaultdict[Row, list[Row]] = defaultdict(list)
        self._whole: set[Row] = set()
        """Rows that are proven from the first count on."""
        for count in counts:
            for row in at[count]:
                self._place(row, at.get(first_lost(row) - 1, ()))
        sure: dict[int, str] = {}
        for row in (row for count in counts for row in at[count] if row in own and self._is_sure(row)):
            if chain := chain_after(row):
                sure.setdefault(row.count, chain)
        self._leads_to_own: set[Row] = set()
        self._contradicted: set[Row] = set()
        for count in reversed(counts):
            for row in at[count]:
                children = self._children.get(row, ())
                if row in own or any(child in self._leads_to_own for child in children):
                    self._leads_to_own.add(row)
                if sure.get(count, chain_after(row)) != chain_after(row) or (
                    children and children[0] in self._contradicted
                ):
                    self._contradicted.add(row)

    def _place(self, row: Row, before: Sequence[Row]) -> None:
        parent = next((each for each in before if linked(chain_after(each), row) == row.chain), None)
        if parent is not None:
            self._parent[row] = parent
            self._children[parent].append(row)
            if parent in self._whole:
                self._whole.add(row)
        elif first_lost(row) == 1 and linked("", row) == row.chain:
            self._whole.add(row)
        self.eldest[row] = row if parent is None else self.eldest[parent]

    def _is_sure(self, row: Row) -> bool:
        return self._parent.get(row) in self.own or any(child in self.own for child in self._children.get(row, ()))

    def is_own(self, row: Row) -> bool:
        """Whether a row belongs to the record, or leads to a row that does."""
        return row in self._leads_to_own

    def contradicted(self, row: Row) -> bool:
        """Whether the record's own rows contradict this row, or the line that continues it. Of the record's rows only
        those confirmed by another of them count."""
        return row in self._contradicted

    def whole_lines(self) -> Iterator[list[Row]]:
        """Every line that is proven from the first count to its end."""
        for row in sorted(self._whole, key=lambda row: (row.count, row.chain)):
            if not any(child in self._whole for child in self._children.get(row, ())):
                line = [row]
                while (parent := self._parent.get(line[-1])) is not None:
                    line.append(parent)
                yield line[::-1]
