"""Sending label sheets to a printer through CUPS, at exact scale, if this machine has it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess

from tracker.paper.sheets import Sheet
from tracker.words import say

PATIENCE = 20.0
"""Seconds that CUPS may take to answer."""
NO_CUPS = say("this machine has no CUPS to print through; print the PDF from another program, at 100 %")
NO_PRINTER = say("no printer is set up on this machine; print the PDF from another program, at 100 %")

_JOB = re.compile(r"request id is (\S+)")
_DEFAULT = re.compile(r"system default destination: (\S+)")


class PrintingError(Exception):
    """Nothing was printed; the message says why in a sentence for the user."""


def printers() -> tuple[str, ...]:
    """The names of the printers, the default one first; empty without CUPS or a printer."""
    try:
        names = _run("lpstat", "-e").split()
        usual = _DEFAULT.search(_run("lpstat", "-d"))
    except PrintingError:
        return ()
    return tuple(sorted(names, key=lambda name: (usual is None or name != usual[1], name)))


def send_to_printer(pdf: bytes, sheet: Sheet, *, printer: str | None = None, title: str = say("Labels")) -> str:
    """Print a PDF of `sheet` on `printer`, or on the default one; returns CUPS's name for the job. Raises
    PrintingError."""
    return send_pages(pdf, media(sheet), printer=printer, title=title)


def send_pages(pdf: bytes, paper: str, *, printer: str | None = None, title: str = say("Pages")) -> str:
    """Print a PDF on the paper with this CUPS name, on `printer` or on the default one; returns CUPS's name for the
    job.

    Requests no scaling and no rotation. Raises PrintingError.
    """
    if shutil.which("lp") is None or shutil.which("lpstat") is None:
        raise PrintingError(NO_CUPS)
    names = printers()
    if not names:
        raise PrintingError(NO_PRINTER)
    chosen = printer or names[0]
    if chosen not in names:
        raise PrintingError(
            say("there is no printer {chosen!r}; there is {names}", chosen=chosen, names=", ".join(names))
        )
    words = "".join(character for character in title if character.isprintable())[:80] or say("Pages")
    asked = (f"media={paper}", "print-scaling=none", "fit-to-page=false", "nopdfAutoRotate")
    options = [part for option in asked for part in ("-o", option)]
    said = _run("lp", "-d", chosen, "-t", words, *options, "-", data=pdf)
    job = _JOB.search(said)
    return job[1] if job else chosen


def media(sheet: Sheet) -> str:
    """The paper's name in CUPS: `Letter`, `A4` or a custom size."""
    if sheet.name.startswith("letter"):
        return "Letter"
    if sheet.name.startswith("a4"):
        return "A4"
    return f"Custom.{sheet.page[0]:g}x{sheet.page[1]:g}mm"


def _run(command: str, *arguments: str, data: bytes | None = None) -> str:
    """The output of a CUPS command, in English on a machine of any language."""
    try:
        done = subprocess.run(
            [command, *arguments],
            input=b"" if data is None else data,
            capture_output=True,
            timeout=PATIENCE,
            env={**os.environ, "LC_ALL": "C", "LANG": "C"},
            check=False,
        )
    except FileNotFoundError:
        raise PrintingError(NO_CUPS) from None
    except subprocess.TimeoutExpired:
        raise PrintingError(say("the print system does not answer; print the PDF from another program")) from None
    except OSError as problem:
        raise PrintingError(say("can't reach the print system: {error}", error=problem.strerror)) from None
    if done.returncode != 0:
        why = done.stderr.decode(errors="replace").strip().splitlines()
        raise PrintingError(
            say("the printer refused: {why}", why=why[-1]) if why else say("the printer refused: it does not say why")
        )
    return done.stdout.decode(errors="replace")
