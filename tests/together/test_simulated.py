"""A sample of the histories of `together.simulated`, and their model of the hub against the real hub."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import psycopg
from together.cluster import Cluster
from together.shops import shop_of
from together.simulated import SORTS, ModelHub, World, history

from tracker.store.rows import COLUMNS, Row
from tracker.together.connection import Connection
from tracker.together.exchange import End, Tails

SAMPLE = 60
WITH_DATABASE = 4
FOUND = {
    3642: "a log held two ends of one branch under the branch's name",
    5359: "the end of a branch was written before its beginning",
}
"""Seeds that once ended with faults, and the reasons."""


def test_a_sample_of_histories_ends_with_the_same_rows_everywhere() -> None:
    assert {seed: said for seed in range(SAMPLE) if (said := history(seed)[0])} == {}


def test_what_once_ended_wrong() -> None:
    assert {seed: said for seed in FOUND if (said := history(seed)[0])} == {}


class RealHub(ModelHub):
    """The real hub of one shop in place of its model."""

    def __init__(self, hub: Connection, db: psycopg.Connection[tuple[object, ...]]) -> None:
        self._hub, self._db = hub, db

    @property
    def rows(self) -> dict[str, list[Row]]:  # type: ignore[override]
        found: dict[str, list[Row]] = {}
        for row in sorted(self.all()):
            found.setdefault(row.tablet, []).append(row)
        return found

    def snapshot(self) -> dict[str, list[Row]]:
        return self.rows

    def all(self) -> set[Row]:
        question = f"SELECT {COLUMNS} FROM kerfcard.entries WHERE shop = %s"
        return {Row._make(row) for row in self._db.execute(question, [self._hub.shop])}  # type: ignore[call-overload]

    def put_back(self, snapshot: Mapping[str, Sequence[Row]]) -> None:
        with self._db.transaction():
            self._db.execute("ALTER TABLE kerfcard.entries DISABLE TRIGGER only_grows")
            self._db.execute("DELETE FROM kerfcard.entries WHERE shop = %s", [self._hub.shop])
            self._db.execute("ALTER TABLE kerfcard.entries ENABLE TRIGGER only_grows")
        if rows := [row for rows in snapshot.values() for row in rows]:
            assert self._hub.give(rows)

    def ends(self, tails: Tails) -> dict[str, End]:
        return self._hub.ends(tails)

    def between(self, tablet: str, first: int, last: int) -> list[Row]:
        return self._hub.between(tablet, first, last)

    def give(self, given: Sequence[Row]) -> bool:
        return self._hub.give(given)

    def take(self, tails: Tails, most: int) -> list[Row]:
        return self._hub.take(tails, most)


def test_the_model_keeps_what_the_hub_keeps(cluster: Cluster, tmp_path: Path) -> None:
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        for seed in range(WITH_DATABASE):
            [tablet] = shop_of(cluster, tmp_path / str(seed), ["Saw"])
            model, real = (World(seed, SORTS[seed % 4], hub) for hub in (None, RealHub(tablet.hub, db)))
            assert model.run(20) == real.run(20) == ""
            assert model.hub.all() == real.hub.all()
            tablet.close()
