"""Crash reports: a bug in a callback doesn't end the shift."""

from __future__ import annotations

import contextlib
import logging
import platform
import sys
import traceback
from datetime import UTC, datetime
from pathlib import Path

from kivy.base import ExceptionHandler, ExceptionManager

from tracker.screens.desk import Desk, shown_path
from tracker.words import say

REPORT, OLDER = "errors.log", "errors.1.log"
MOST_BYTES = 256 * 1024
"""A report of this length is kept as the older one, and a new one is begun: what can be shared stays small."""
MOST_LINES = 60
log = logging.getLogger("kerfcard")


class Keeper(ExceptionHandler):
    """Writes errors to a file that can be shared, shows one sentence, and folds the log again."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._last = ""

    def handle_exception(self, error: BaseException) -> int:
        """Kivy's hook for an error: continue, unless it is one that ends programs."""
        if not isinstance(error, Exception):
            return int(ExceptionManager.RAISE)
        log.error("in a callback", exc_info=error)
        report = self._desk.shop.home / REPORT
        words = traceback.format_exception(error)
        again = "".join(words) == self._last
        self._last = "".join(words)
        kept = again or _write(report, words)
        if not again:
            with contextlib.suppress(Exception):  # the log itself may have failed
                self._desk.shop.refold()
        where = (
            say("The report is in {path}.", path=shown_path(report)) if kept else say("There is no room for a report.")
        )
        self._desk.notify(say("Something went wrong; nothing you ticked is lost. {where}", where=where), "fault")
        return int(ExceptionManager.PASS)


def _write(report: Path, words: list[str]) -> bool:
    """Append to the report; returns whether that was possible. The paths in it are those of the program's own files."""
    release = "?"
    with contextlib.suppress(Exception):  # nothing here may fail: it would end the app
        from importlib.metadata import version  # imports half of `email`, which a start doesn't need

        release = version("kerfcard")
    lines = "".join(words).splitlines()
    if len(lines) > MOST_LINES:
        lines = [*lines[: MOST_LINES // 2], "...", *lines[-MOST_LINES // 2 :]]
    about = say(
        "Kerfcard {release}, Python {split}, {system}",
        release=release,
        split=sys.version.split()[0],
        system=platform.system(),
    )
    try:
        if report.exists() and report.stat().st_size > MOST_BYTES:
            report.replace(report.with_name(OLDER))
        with report.open("a", encoding="utf-8", errors="backslashreplace") as file:
            file.write(f"{datetime.now(UTC).isoformat(timespec='seconds')} {about}\n" + "\n".join(lines) + "\n\n")
    except OSError:
        return False
    return True
