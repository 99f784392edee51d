"""An invitation: what another tablet scans to join the shop.

    KERFHUB:1:5432:kerfcard:0F3A…:7QK2…:192.168.1.20

Version, port, database, login, secret and host, in signs that a QR symbol packs tightly (the alphanumeric mode of
ISO/IEC 18004). It can be used once, and for some minutes only: what is scanned later from a picture of it opens
nothing.
"""

from __future__ import annotations

import re

from msgspec import Struct

HEAD = "KERFHUB"
MINUTES = 10
"""How long it is good for unless said."""
ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Letters and digits that can't be mistaken for each other; 32 of them, so each carries five bits."""
SECRET_LETTERS = 32
_LOGIN = "kerf_"
_PARTS = re.compile(
    rf"{HEAD}:1:(?P<port>[0-9]{{1,5}}):(?P<database>[A-Za-z0-9_.$-]{{1,63}}):(?P<login>[0-9A-Fa-f]{{24}}):"
    rf"(?P<secret>[{ALPHABET}]{{{SECRET_LETTERS}}}):(?P<host>[A-Za-z0-9.:_%-]{{1,255}})",
    re.ASCII,
)


class Invitation(Struct, frozen=True):
    """Where the hub is, and a login with a secret that is good once."""

    host: str
    port: int
    database: str
    login: str
    secret: str

    def __repr__(self) -> str:
        return f"Invitation({self.host!r}, {self.port}, {self.database!r})"  # a secret isn't for logs

    @property
    def text(self) -> str:
        """What is in the QR symbol."""
        login = self.login.removeprefix(_LOGIN)
        return ":".join((HEAD, "1", str(self.port), self.database, login, self.secret, self.host)).upper()


def is_invitation(text: str) -> bool:
    """Whether a scanned text claims to be one."""
    return text.strip().upper().startswith(f"{HEAD}:")


def parse_invitation(text: str) -> Invitation | None:
    """The invitation in a scanned or typed text; None where it is none, or not whole."""
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
