"""The catalogue of translations that this process uses: found from the environment, read once."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gettext import GNUTranslations

DOMAIN = "kerfcard"
LOCALE = Path(__file__).with_name("locale")
"""`locale/<language>/LC_MESSAGES/kerfcard.mo`, gettext's layout."""
ASKED = ("KERFCARD_LANGUAGE", "LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")
"""Variables that may name a language, in gettext's order; the first one that is set counts. `KERFCARD_LANGUAGE` may be
the path of a catalogue file instead, for translators."""
_ENGLISH = ("en", "C", "POSIX")


def chosen() -> GNUTranslations | None:
    """The catalogue of the requested language; None for English and for a language without one."""
    asked = next((value for name in ASKED if (value := os.environ.get(name))), "")
    for language in asked.split(":") if not asked.endswith(".mo") else (asked,):
        if language.partition(".")[0].partition("_")[0] in _ENGLISH:
            return None
        path = _file(language)
        if path is not None:
            return _read(path)
    return None


def _file(language: str) -> Path | None:
    """`de_AT.UTF-8` is looked up as `de_AT`, then as `de`."""
    if language.endswith(".mo"):
        return Path(language)
    region = language.partition(".")[0].partition("@")[0]
    for name in dict.fromkeys((region, region.partition("_")[0])):
        path = LOCALE / name / "LC_MESSAGES" / f"{DOMAIN}.mo"
        if name.replace("_", "").isalnum() and path.is_file():
            return path
    return None


def _read(path: Path) -> GNUTranslations | None:
    """A catalogue that can't be read doesn't stop the app: it starts in English."""
    from gettext import GNUTranslations

    try:
        with path.open("rb") as file:
            return GNUTranslations(file)
    except (OSError, ValueError, UnicodeDecodeError):
        return None
