"""Many pages of labels, drawn on every core: processes draw a page each, and the pages come back in order."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
from collections.abc import Iterable, Iterator
from itertools import chain
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from tracker.paper.label_page import PageLabels, draw_page
from tracker.paper.pdf import PackedPage, packed
from tracker.paper.sheets import Sheet

WORTH_IT = 24
"""So many pages are drawn before other processes are asked: starting one takes as long as drawing ten."""
MOST_WORKERS = 4


def drawn(page: PageLabels, sheet: Sheet, dpi: int) -> PackedPage:
    """One page, ready for the PDF."""
    return packed(draw_page(page, sheet, dpi), dpi)


def drawn_on_every_core(pages: Iterable[PageLabels], sheet: Sheet, dpi: int) -> Iterator[PackedPage]:
    """The same for many pages, in order. Raises OSError where no process can be started, or one is ended."""
    workers: list[tuple[BaseProcess, Connection]] = []
    first = next(waiting := iter(pages), None)
    if first is None:
        return
    waiting = chain([first], waiting)
    try:
        for _ in range(max(1, min(MOST_WORKERS, os.cpu_count() or 1))):
            workers.append(_worker(sheet, dpi))
        busy = [wire for _, wire in workers if _send_next(wire, waiting)]
        while busy:
            wire = busy.pop(0)
            yield wire.recv()
            if _send_next(wire, waiting):
                busy.append(wire)
    except EOFError:
        raise OSError("a process that draws labels was ended") from None
    finally:
        for process, wire in workers:
            wire.close()
            process.terminate()
            process.join()


def _send_next(wire: Connection, waiting: Iterator[PageLabels]) -> bool:
    page = next(waiting, None)
    if page is None:
        return False
    wire.send(page)
    return True


def _worker(sheet: Sheet, dpi: int) -> tuple[BaseProcess, Connection]:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_draw, args=(theirs, sheet, dpi), name="labels", daemon=True)
    process.start()
    theirs.close()
    return process, ours


def _draw(wire: Connection, sheet: Sheet, dpi: int) -> None:
    """A process's whole life; it ends when nobody sends pages any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the program's to answer
    with contextlib.suppress(EOFError, OSError):
        while True:
            wire.send(drawn(wire.recv(), sheet, dpi))
