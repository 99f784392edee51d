"""What makes this tablet one of a shop: where its hub is, its login and its secret.

They lie in a file of their own beside the record, for its owner's eyes alone. The record's database never holds them,
so that no backup and no export does; a folder that was copied to another place or machine is no member, and has to be
invited again.
"""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path

import msgspec
from msgspec import Struct

from tracker.store import files
from tracker.store.identity import place_of
from tracker.together.invitation import ALPHABET, SECRET_LETTERS, Invitation

NAME = "hub.json"
MOST_BYTES = 100_000


class Membership(Struct, frozen=True, omit_defaults=True):
    """A login at a hub. While joining, `code` is the invitation's secret; it is empty from then on."""

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
    put_out: tuple[str, ...] = ()
    """Logins that were taken out, as far as this keeper has heard: a hub that was put back hears of them again."""

    def __repr__(self) -> str:
        return f"Membership({self.host!r}, {self.port}, {self.database!r}, {self.word!r})"  # a secret isn't for logs

    @property
    def where(self) -> str:
        """The hub in words."""
        return f"{self.host}:{self.port}/{self.database}"


def new_secret() -> str:
    """160 bits, in letters that can be typed."""
    return "".join(secrets.choice(ALPHABET) for _ in range(SECRET_LETTERS))


def invited(invitation: Invitation, word: str) -> Membership:
    """What is put on the disk before the hub hears of it: should the line break, one of the two secrets is good."""
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
    """The membership of the record in a folder; None where it has none, or one that was copied from elsewhere."""
    try:
        found = msgspec.json.decode(files.read(folder / NAME, MOST_BYTES), type=Membership)
    except (OSError, ValueError):  # msgspec's own errors are ValueErrors
        return None
    return found if found.place == place_of(folder) else None


def write_membership(folder: Path, membership: Membership) -> None:
    """Keep it; on the disk, and nobody else's to read, when this returns. Raises OSError."""
    folder.mkdir(mode=files.OUR_FOLDER, parents=True, exist_ok=True)
    unfinished = folder / f"{NAME}.unfinished"
    unfinished.unlink(missing_ok=True)
    handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, files.OURS_ALONE)
    with os.fdopen(handle, "wb") as file:
        file.write(msgspec.json.encode(msgspec.structs.replace(membership, place=place_of(folder))))
    files.put_in_place(unfinished, folder / NAME)


def forget_membership(folder: Path) -> None:
    """Leave no secret behind."""
    with contextlib.suppress(OSError):
        (folder / NAME).unlink(missing_ok=True)
        files.sync_folder(folder)
