"""`[[hardware]]`: what is bought by the piece."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.design import values
from tracker.design.model import Hardware
from tracker.design.toml.table import Table

MOST_HARDWARE = 500
MOST_OF_ONE = 100_000


def read_hardware(tables: Sequence[Table]) -> tuple[Hardware, ...]:
    """Every line of hardware, in the order of the file."""
    return tuple(_hardware(table) for table in tables)


def _hardware(table: Table) -> Hardware:
    found = Hardware(
        name=table.read("name", values.name, required=True) or "",
        quantity=table.read("quantity", values.count_within(1, MOST_OF_ONE)) or 1,
        price=table.read("price", values.money),
        line=table.line(),
    )
    table.close()
    return found
