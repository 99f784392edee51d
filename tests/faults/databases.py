"""Databases from strangers: good copies of a record with an altered schema, rows or bytes."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

_COLUMNS = "tablet TEXT, count INTEGER, seen TEXT, at TEXT, kind TEXT, data TEXT, chain TEXT"
_HEAVY = "(WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 1000000000) SELECT count(*) FROM n)"
SCHEMES: tuple[tuple[str, ...], ...] = (
    (  # marks look done, but none is written
        "CREATE TRIGGER swallow BEFORE INSERT ON entries BEGIN SELECT RAISE(IGNORE); END",
    ),
    ("CREATE TRIGGER emptied AFTER INSERT ON entries BEGIN DELETE FROM settings; END",),
    (f"CREATE TRIGGER slow BEFORE INSERT ON entries BEGIN SELECT {_HEAVY}; END",),
    ("ALTER TABLE entries RENAME TO hidden", "CREATE VIEW entries AS SELECT * FROM hidden"),
    (
        "ALTER TABLE entries RENAME TO hidden",
        "CREATE VIEW entries AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
        "SELECT hidden.* FROM hidden, n",
    ),
    (
        "ALTER TABLE entries RENAME TO hidden",
        "CREATE TABLE entries(tablet TEXT, count INTEGER, seen TEXT, at TEXT, kind TEXT, chain TEXT, "
        "data TEXT AS (replace(hex(zeroblob(5000000)), '00', kind)))",
        "INSERT INTO entries SELECT tablet, count, seen, at, kind, chain FROM hidden",
    ),
    (
        "ALTER TABLE entries RENAME TO hidden",
        f"CREATE TABLE entries({_COLUMNS}, CHECK (length(hex(zeroblob(2000000))) > 1))",
        "INSERT INTO entries SELECT * FROM hidden",
    ),
    ("CREATE INDEX dear ON entries(length(hex(zeroblob(1000000))))",),
    ("ALTER TABLE entries RENAME TO hidden", f"CREATE VIRTUAL TABLE entries USING fts5({'a, b, c, d, e, f, g'})"),
    ("ALTER TABLE entries ADD COLUMN more TEXT",),
    ("ALTER TABLE entries RENAME COLUMN data TO facts",),
    ("PRAGMA application_id = 7",),
    ("PRAGMA user_version = 99",),
    ("DROP TABLE settings", "CREATE VIEW settings AS SELECT 'kerf' AS name, '9 mm' AS value, '' AS proof"),
    ("DROP TABLE settings",),
    ("INSERT OR REPLACE INTO settings (name, value) VALUES ('tablet', 'mine'), ('kerf', '30 mm')",),
    ("DROP TRIGGER entries_no_update", "UPDATE entries SET data = replace(data, 'cut', 'out') WHERE count = 3"),
    ("DROP TRIGGER entries_no_update", "UPDATE entries SET data = zeroblob(100) WHERE count = 3"),
    ("DROP TRIGGER entries_no_delete", "DELETE FROM entries WHERE count = 3"),
    ("DROP TRIGGER entries_no_update", "UPDATE entries SET data = '[' || replace(hex(zeroblob(90000)), '00', '[')"),
)


def stranger(path: Path, good: bytes, chance: random.Random) -> str:
    """Write a database that isn't what it seems; returns what was done to it."""
    path.write_bytes(good)
    how = chance.random()
    if how < 0.6:
        done = []
        for scheme in chance.sample(SCHEMES, chance.choice((1, 1, 1, 2))):
            with sqlite3.connect(path, isolation_level=None) as connection:
                for statement in scheme:
                    try:
                        connection.execute(statement)
                    except sqlite3.Error:  # an SQLite without it, or two changes that exclude each other
                        break
                    done.append(statement)
            connection.close()
        return "; ".join(done)
    data = bytearray(good)
    for _ in range(chance.choice((1, 2, 8, 40))):
        at = chance.randrange(len(data))
        if how < 0.9:
            data[at] = chance.randrange(256)
        else:
            data[at : at + 100] = chance.randbytes(chance.choice((0, 10, 100, 4096)))
    path.write_bytes(data)
    return "bytes"
