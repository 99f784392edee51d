"""The administrator's side: requirements for the server, the schema, and the first invitation of a shop."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any, Literal
from uuid import UUID

import psycopg
from msgspec import Struct
from psycopg import sql

from tracker.together.connection import verifier
from tracker.together.errors import HubError
from tracker.together.membership import new_secret

OLDEST_SERVER = 15
HUB, TABLET = "kerfcard_hub", "kerfcard_tablet"
FIRST_MINUTES = 60
"""How many minutes the invitation of a shop's first tablet is valid."""


class Finding(Struct, frozen=True):
    """A finding about the server's settings: `unsafe` refuses the server, a `note` is reported."""

    kind: Literal["unsafe", "note"]
    sentence: str


def prepare(url: str, force: bool = False) -> list[Finding]:
    """Prepare a database, or update it; repeating it is harmless. Nothing is created where anything is unsafe, unless
    tests `force` it. Raises HubError."""
    with _administrator(url) as db:
        found = list(check(db))
        if any(each.kind == "unsafe" for each in found) and not force:
            return found
        with db.transaction():
            db.execute("SELECT pg_advisory_xact_lock(hashtext('kerfcard hub init'))")
            _make_roles(db)
            found += _close(db)
            db.execute(f"SET LOCAL ROLE {HUB}")
            db.execute(files("tracker.together").joinpath("schema.sql").read_text("utf-8"))
        return found


def check(db: psycopg.Connection[Any]) -> Iterator[Finding]:
    """Settings of the server that would lose or leak something."""

    def setting(name: str) -> str:
        row = db.execute("SELECT current_setting(%s, true)", [name]).fetchone()
        return (row[0] if row else None) or ""

    if db.info.server_version < OLDEST_SERVER * 10_000:
        yield Finding(
            "unsafe", f"PostgreSQL {db.info.server_version // 10_000} is too old: it must be {OLDEST_SERVER} or later."
        )
    for name in ("fsync", "full_page_writes"):
        if setting(name) != "on":
            yield Finding("unsafe", f"{name} is off: a power cut could lose what tablets believe is kept.")
    if setting("synchronous_commit") == "off":
        yield Finding("unsafe", "synchronous_commit is off: a crash could lose what tablets believe is kept.")
    if setting("ssl") != "on":
        yield Finding("unsafe", "ssl is off: tablets speak to the hub over TLS only.")
    if setting("server_encoding") != "UTF8":
        yield Finding("unsafe", "the database isn't in UTF-8: make it with ENCODING 'UTF8'.")
    if setting("password_encryption") != "scram-sha-256":
        yield Finding("note", "password_encryption isn't scram-sha-256: tablets' own secrets are, whatever it says.")
    if setting("data_checksums") != "on":
        yield Finding("note", "data checksums are off: a bad disk is noticed late (pg_checksums --enable).")
    if setting("archive_mode") == "off":
        yield Finding(
            "note", "archive_mode is off: the hub can't be put back to a moment. Each tablet holds all that it has met."
        )
    yield from _doors(db)


def _doors(db: psycopg.Connection[Any]) -> Iterator[Finding]:
    """Whom pg_hba.conf lets in."""
    try:
        with db.transaction():
            rows = db.execute("SELECT type, auth_method, address FROM pg_hba_file_rules WHERE error IS NULL").fetchall()
    except psycopg.Error:  # a hosted server may not show it
        return
    for kind, method, address in rows:
        if kind in ("host", "hostnossl") and method != "reject" and address not in ("127.0.0.1", "::1"):
            yield Finding("note", f"pg_hba.conf lets somebody in without TLS ({kind} {address} {method}).")
        if method in ("trust", "password", "md5"):
            yield Finding("note", f"pg_hba.conf has a line with {method}: use scram-sha-256.")


def _make_roles(db: psycopg.Connection[Any]) -> None:
    for role, rights in ((HUB, "NOLOGIN CREATEROLE"), (TABLET, "NOLOGIN")):
        if db.execute("SELECT FROM pg_roles WHERE rolname = %s", [role]).fetchone() is None:
            db.execute(f"CREATE ROLE {role} {rights}")
    db.execute(f"GRANT {HUB} TO CURRENT_USER")
    for grant in (f"GRANT pg_signal_backend TO {HUB}", f"GRANT {TABLET} TO {HUB} WITH ADMIN OPTION"):
        with contextlib.suppress(psycopg.Error), db.transaction():
            db.execute(grant)


def _close(db: psycopg.Connection[Any]) -> list[Finding]:
    """Revoke what PostgreSQL grants to everybody."""
    name = sql.Identifier(db.info.dbname)
    db.execute(sql.SQL("REVOKE ALL ON DATABASE {} FROM PUBLIC").format(name))
    db.execute(sql.SQL("GRANT CONNECT ON DATABASE {} TO kerfcard_tablet").format(name))
    db.execute(sql.SQL("GRANT CREATE ON DATABASE {} TO kerfcard_hub").format(name))
    db.execute("REVOKE ALL ON SCHEMA public FROM PUBLIC")
    try:  # large objects are the only thing that anybody may write by default
        with db.transaction():
            db.execute(
                "REVOKE EXECUTE ON FUNCTION lo_create(oid), lo_creat(integer), lo_from_bytea(oid, bytea) FROM PUBLIC"
            )
    except psycopg.Error:
        return [Finding("note", "a tablet could fill the disk with large objects: only a superuser can forbid that.")]
    return []


def new_shop(url: str, name: str, word: str = "First", minutes: int = FIRST_MINUTES) -> tuple[str, str]:
    """Create a shop; returns the login and the secret that invite its first tablet, a keeper. Raises HubError."""
    with _owner(url) as db:
        return _invite_keeper(db, _made(db, name), word, minutes)


def invite_keeper(url: str, name: str, word: str = "First", minutes: int = FIRST_MINUTES) -> tuple[str, str]:
    """The same for an existing shop of this name: the server's administrator can let a keeper in again after the last
    one was lost. Raises HubError."""
    with _owner(url) as db:
        known = db.execute("SELECT shop FROM kerfcard.shops WHERE name = %s ORDER BY made LIMIT 1", [name]).fetchone()
        return _invite_keeper(db, known[0] if known else _made(db, name), word, minutes)


@contextlib.contextmanager
def _owner(url: str) -> Iterator[psycopg.Connection[Any]]:
    with _administrator(url) as db, db.transaction():
        db.execute(f"SET LOCAL ROLE {HUB}")
        yield db


def _made(db: psycopg.Connection[Any], name: str) -> UUID:
    row = db.execute("INSERT INTO kerfcard.shops (name) VALUES (%s) RETURNING shop", [name]).fetchone()
    assert row is not None
    return row[0]  # type: ignore[no-any-return]


def _invite_keeper(db: psycopg.Connection[Any], shop: UUID, word: str, minutes: int) -> tuple[str, str]:
    secret = new_secret()
    made = db.execute(
        "SELECT kerfcard.make_login(%s, %s, %s, clock_timestamp() + make_interval(mins => %s), true, NULL)",
        [shop, word, verifier(db, secret), minutes],
    ).fetchone()
    assert made is not None
    return made[0], secret


def address(url: str) -> tuple[str, int, str]:
    """The host, port and database of a server, as it was reached. Raises HubError."""
    with _administrator(url) as db:
        return db.info.host, db.info.port, db.info.dbname


@contextlib.contextmanager
def _administrator(url: str) -> Iterator[psycopg.Connection[Any]]:
    try:
        with psycopg.connect(url, connect_timeout=10, autocommit=True) as db:
            yield db
    except psycopg.Error as error:
        words = str(error).strip().splitlines()
        raise HubError("away", f"The server says: {words[-1] if words else type(error).__name__}") from error
