"""An invitation: what another tablet scans to join the shop.

KERFHUB:1:5432:kerfcard:0F3A…:7QK2…:192.168.1.20

Version, port, database, login, secret and host, in characters that a QR symbol packs tightly (the alphanumeric mode of
ISO/IEC 18004). It can be used once, and only for some minutes: a later scan of a picture of it is useless.
"""

from __future__ import annotations

import re

from msgspec import Struct

HEAD = "KERFHUB"
MINUTES = 10
"""How many minutes it is valid by default."""
ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Letters and digits that can't be confused with each other; 32 of them, so each carries five bits."""
SECRET_LETTERS = 32
_LOGIN = "kerf_"
_PARTS = re.compile(
    rf"{HEAD}:1:(?P<port>[0-9]{{1,5}}):(?P<database>[A-Za-z0-9_.$-]{{1,63}}):(?P<login>[0-9A-Fa-f]{{24}}):"
    rf"(?P<secret>[{ALPHABET}]{{{SECRET_LETTERS}}}):(?P<host>[A-Za-z0-9.:_%-]{{1,255}})",
    re.ASCII,
)


class Invitation(Struct, frozen=True):
    """The address of the hub, and a login with a secret that can be used once."""

    host: str
    port: int
    database: str
    login: str
    secret: str

    def __repr__(self) -> str:
        return f"Invitation({self.host!r}, {self.port}, {self.database!r})"  # a secret isn't for logs

    @property
    def text(self) -> str:
        """The text in the QR symbol."""
        login = self.login.removeprefix(_LOGIN)
        return ":".join((HEAD, "1", str(self.port), self.database, login, self.secret, self.host)).upper()


def is_invitation(text: str) -> bool:
    """Whether a scanned text claims to be one."""
    return text.strip().upper().startswith(f"{HEAD}:")


def parse_invitation(text: str) -> Invitation | None:
    """The invitation in a scanned or typed text; None when it isn't one, or isn't complete."""
    found = _PARTS.fullmatch(text.strip().upper())
    if found is None or not 0 < int(found["port"]) < 65536:
        return None
    return Invitation(
        host=found["host"].lower(),
        port=int(found["port"]),
        database=found["database"].lower(),
        login=_LOGIN + found["login"].lower(),
        secret=found["secret"],
    )
