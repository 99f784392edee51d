"""The membership of this tablet in a shop: the address of its hub, its login and its secret.

It is stored in a separate file beside the record, readable only by its owner. The record's database never contains it,
so no backup and no export does; a folder that was copied to another place or machine isn't a member, and has to be
invited again.
"""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path

import msgspec
from msgspec import Struct, field

from tracker.store import files
from tracker.store.identity import place_of
from tracker.together.invitation import ALPHABET, SECRET_LETTERS, Invitation

NAME = "hub.json"
MOST_BYTES = 100_000


class Membership(Struct, frozen=True, omit_defaults=True):
    """A login at a hub. While joining, `code` is the invitation's secret; afterwards it is empty."""

    host: str
    port: int
    database: str
    login: str
    secret: str
    word: str
    """What people call this tablet: Saw, Bench."""
    place: str = ""
    code: str = ""
    shop: str = ""
    keeper: bool = False
    removed: tuple[str, ...] = field(default=(), name="put_out")
    """Logins that this keeper knows to be removed; it removes them again from a restored hub."""

    def __repr__(self) -> str:
        return f"Membership({self.host!r}, {self.port}, {self.database!r}, {self.word!r})"  # a secret isn't for logs

    @property
    def where(self) -> str:
        """The hub in words."""
        return f"{self.host}:{self.port}/{self.database}"


def new_secret() -> str:
    """160 random bits, in letters that can be typed."""
    return "".join(secrets.choice(ALPHABET) for _ in range(SECRET_LETTERS))


def invited(invitation: Invitation, word: str) -> Membership:
    """What is stored on the disk before the hub hears of it: if the line breaks, one of the two secrets is valid."""
    return Membership(
        host=invitation.host,
        port=invitation.port,
        database=invitation.database,
        login=invitation.login,
        secret=new_secret(),
        word=word,
        code=invitation.secret,
    )


def read_membership(folder: Path) -> Membership | None:
    """The membership of the record in a folder; None where it has none, or where it was copied from elsewhere."""
    try:
        found = msgspec.json.decode(files.read(folder / NAME, MOST_BYTES), type=Membership)
    except (OSError, ValueError):  # msgspec's own errors are ValueErrors
        return None
    return found if found.place == place_of(folder) else None


def write_membership(folder: Path, membership: Membership) -> None:
    """Store it; on the disk, and readable by nobody else, when this returns. Raises OSError."""
    folder.mkdir(mode=files.OUR_FOLDER, parents=True, exist_ok=True)
    unfinished = folder / f"{NAME}.unfinished"
    unfinished.unlink(missing_ok=True)
    handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, files.OURS_ALONE)
    with os.fdopen(handle, "wb") as file:
        file.write(msgspec.json.encode(msgspec.structs.replace(membership, place=place_of(folder))))
    files.put_in_place(unfinished, folder / NAME)


def forget_membership(folder: Path) -> None:
    """Delete the membership with its secret."""
    with contextlib.suppress(OSError):
        (folder / NAME).unlink(missing_ok=True)
        files.sync_folder(folder)
