"""One PostgreSQL for all tests of a process, started for the first of them; a shop for each test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from together.cluster import Cluster
from together.shops import Tablet, prepared, shop_of


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    with Cluster(durable=False) as made:
        yield prepared(made, force=True)


@pytest.fixture
def shop(cluster: Cluster, tmp_path: Path) -> Iterator[list[Tablet]]:
    """Three tablets of a new shop; the first is its keeper."""
    tablets = shop_of(cluster, tmp_path, ("Saw", "Bench", "Desk"))
    yield tablets
    for each in tablets:
        each.close()
