"""Which tablet this is: a random name, and the place of the record that has it.

Two tablets with one name would write the same counts. So a name belongs to one folder on one machine: a record that was
copied elsewhere gets a new one. Backups and recovered or restored records have none.
"""

from __future__ import annotations

import contextlib
import uuid
from collections.abc import MutableMapping
from hashlib import sha256
from pathlib import Path

TABLET, PLACE = "tablet", "place"
NAMES = (TABLET, PLACE)
"""The settings that identify a record as this tablet's: never copied to another record."""
COPIED = "This record was copied from another place: what is marked here goes on under a new name of the tablet."
_MACHINE_IDS = (Path("/etc/machine-id"), Path("/var/lib/dbus/machine-id"))
"""https://www.freedesktop.org/software/systemd/man/latest/machine-id.html; elsewhere only the folder identifies it."""


def machine_id() -> str:
    """An id of this machine; empty where there is none."""
    for path in _MACHINE_IDS:
        with contextlib.suppress(OSError, UnicodeDecodeError):
            if found := path.read_text("ascii").strip():
                return found
    return ""


def place_of(folder: Path) -> str:
    """A hash that identifies the folder and the machine: a machine's id is private."""
    return sha256(f"kerfcard\0{machine_id()}\0{folder.resolve()}".encode("utf-8", "surrogateescape")).hexdigest()[:32]


def new_name() -> str:
    """A random name for a tablet."""
    return uuid.uuid4().hex[:8]


def take_name(settings: MutableMapping[str, str], folder: Path) -> bool:
    """Make sure that the record in `folder` has a name of its own; returns whether it was renewed because the record
    was copied. A record older than this check keeps its name."""
    here = place_of(folder)
    copied = TABLET in settings and settings.get(PLACE, here) != here
    if copied or TABLET not in settings:
        settings[TABLET] = new_name()
    settings[PLACE] = here
    return copied
