"""The PDFs of the labels' place, made outside the screen's thread: labels with a preview, and the measuring page."""

from __future__ import annotations

import io
from pathlib import Path

from msgspec import Struct

from tracker.cards.labels.labels_of_run import labels_for
from tracker.paper.labels import label_pages, measuring_page_pdf, missing_signs, write_label_pdf
from tracker.paper.sheets import Sheet
from tracker.screens.desk import shown_path
from tracker.whole_file import write_whole
from tracker.words import say, say_many
from tracker.work.run import Run

SHOWN_DPI, SHRUNK = 203, 2
"""A page is previewed by drawing it for a coarse printer and shrinking it, its dots averaged to greys: small type stays
readable."""


class Made(Struct, frozen=True, kw_only=True):
    """A PDF in the folder. `keys` are those of its labels; empty for the measuring page."""

    path: Path
    sheet: Sheet
    run: str
    keys: tuple[str, ...] = ()
    said: str
    picture: bytes = b""


def make_labels(run: Run, keys: tuple[str, ...], sheet: Sheet, start: int, path: Path) -> Made:
    """Write the labels to a PDF, completely or not at all. Raises OSError."""
    file = io.BytesIO()
    pages = write_label_pdf(file, labels_for(run, keys), sheet, start=start, title=run.build.name)
    write_whole(path, file.getvalue())
    first = next(label_pages(labels_for(run, keys[: sheet.places - start]), sheet, dpi=SHOWN_DPI, start=start))
    picture = io.BytesIO()
    first.convert("L").reduce(SHRUNK).save(picture, "PNG")
    last = (start + len(keys) - 1) % sheet.places + 1
    used = say(" The last page is used up to label {last}.", last=last) if last < sheet.places else ""
    missing = missing_signs(labels_for(run, keys))
    boxes = f" {missing}" if missing else ""
    return Made(
        path=path,
        sheet=sheet,
        run=run.name,
        keys=keys,
        said=say_many(
            "{count} page in {path}. Print at 100 %.{boxes}",
            "{count} pages in {path}. Print at 100 %.{boxes}",
            pages,
            path=shown_path(path.parent),
            boxes=boxes or used,
        ),
        picture=picture.getvalue(),
    )


def make_measuring_page(run: Run, sheet: Sheet, path: Path) -> Made:
    """Write the page to measure with a rule. Raises OSError."""
    write_whole(path, measuring_page_pdf(sheet))
    where = shown_path(path.parent)
    said = say(
        "A page in {where}. Print it at 100 % on plain paper, measure the square, hold it over a sheet.", where=where
    )
    return Made(path=path, sheet=sheet, run=run.name, said=said)
