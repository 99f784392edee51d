"""The schema of the log's database, as migrations. A released migration is never edited: add another."""

from __future__ import annotations

import json
from hashlib import sha256

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

APPLICATION_ID = 0x4B657266
"""`Kerf` in ASCII, so that a foreign database is recognised before any of its tables is read."""
VERSION = 4
"""The last migration here, kept as the database's `user_version`: a database with a later one is read-only."""

PROOF_SINCE = 4
"""The version since which settings and heartbeats hold a proof of their contents."""

migrations = Migrations("kerfcard")


def proof_of(*words: object) -> str:
    """SHA-256 over a row's contents, written as one JSON array: it reveals a flipped bit."""
    return sha256(json.dumps(words, ensure_ascii=False).encode("utf-8", "surrogatepass")).hexdigest()


@migrations(name="0001 the log")
def _log(db: Database) -> None:
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.table("entries").create(
        {"tablet": str, "count": int, "seen": str, "at": str, "kind": str, "data": str, "chain": str},
        pk=("tablet", "count"),
        not_null={"tablet", "count", "seen", "at", "kind", "data", "chain"},
    )
    for what in ("UPDATE", "DELETE"):
        db.execute(
            f"CREATE TRIGGER entries_no_{what.lower()} BEFORE {what} ON entries "
            "BEGIN SELECT RAISE(ABORT, 'the log only grows'); END"
        )


@migrations(name="0002 settings of this tablet")
def _settings(db: Database) -> None:
    db.table("settings").create({"name": str, "value": str}, pk="name", not_null={"value"})


@migrations(name="0003 heartbeats")
def _heartbeats(db: Database) -> None:
    db.table("heartbeats").create(
        {"boot_id": str, "first_boot": float, "first_wall": str, "last_boot": float, "last_wall": str},
        pk="boot_id",
        not_null={"first_boot", "first_wall", "last_boot", "last_wall"},
    )
    db.execute("PRAGMA user_version = 3")


@migrations(name="0004 settings and heartbeats are proven")
def _proofs(db: Database) -> None:
    for table, key in (("settings", "name"), ("heartbeats", "boot_id")):
        db.execute(f"ALTER TABLE {table} ADD COLUMN proof TEXT NOT NULL DEFAULT ''")
        for row in db.execute(f"SELECT * FROM {table}").fetchall():
            db.execute(f"UPDATE {table} SET proof = ? WHERE {key} = ?", (proof_of(*row[:-1]), row[0]))
    db.execute("PRAGMA user_version = 4")
