"""Printing a sheet from a screen: made as a PDF in the worker, then offered to the printers."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any, BinaryIO

from kivy.event import EventDispatcher
from kivy.properties import BooleanProperty

from tracker.design.model import Build
from tracker.paper.board_sheet import Paper
from tracker.paper.printing import PrintingError, printers, send_to_printer
from tracker.paper.sheets import DEFAULT_A4, DEFAULT_LETTER, sheet_named
from tracker.screens.desk import shown_path, the_desk
from tracker.screens.toolkit.prompts import Option
from tracker.whole_file import file_name, write_whole
from tracker.words import say

MOST_PRINTERS = 6
"""The most printers that a panel offers."""


class PrintsSheets(EventDispatcher):
    """For a screen that prints. `busy`: a sheet is being made or printed."""

    busy = BooleanProperty(False)

    def print_pdf(self, build: Build, what: str, write: Callable[[BinaryIO], object]) -> None:
        """Make a PDF, `board sheet` or `shopping list`, in the folder of boards; then offer the printers."""
        path = the_desk().shop.home / "boards" / f"{file_name(f'{build.name} {what}')}.pdf"

        def job() -> tuple[Path, tuple[str, ...]]:
            file = io.BytesIO()
            write(file)
            write_whole(path, file.getvalue())
            return path, printers()

        self._work(job, lambda made: self._made(build, what, *made))

    def _made(self, build: Build, what: str, path: Path, names: tuple[str, ...]) -> None:
        said = say("The {what} is in {path}.", what=what, path=shown_path(path))
        self._tell(said)
        if names and the_desk().shows(self):
            options = [Option(key=name, text=name) for name in names[:MOST_PRINTERS]]
            the_desk().ask(say("{said} Print it?", said=said), options, lambda name: self._send(build, path, name))

    def _send(self, build: Build, path: Path, printer: str) -> None:
        sheet = sheet_named(DEFAULT_LETTER if paper_of(build) == "letter" else DEFAULT_A4)

        def job() -> str:
            return send_to_printer(path.read_bytes(), sheet, printer=printer, title=path.stem)

        self._work(job, lambda name: self._tell(say("Sent to the printer: {name}.", name=name)))

    def _tell(self, said: str) -> None:
        the_desk().notify(said, "done", "done")

    def _work(self, job: Callable[[], Any], done: Callable[[Any], None]) -> None:
        """Run a job in the app's worker; its result, or the reason why there is none, comes back here."""
        self.busy = True

        def finished(answer: Any) -> None:
            self.busy = False
            done(answer)

        def failed(error: BaseException) -> None:
            self.busy = False
            if not isinstance(error, OSError | PrintingError):
                raise error
            why = (
                str(error)
                if isinstance(error, PrintingError)
                else say("the PDF can't be written: {error}", error=error.strerror)
            )
            the_desk().notify(f"{why[:1].upper()}{why[1:]}.", "refused")

        the_desk().worker.submit(job, finished, failed)


def paper_of(build: Build) -> Paper:
    """The usual paper size in the build's part of the world."""
    return "letter" if build.units == "in" else "a4"
