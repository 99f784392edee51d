"""A print job, and its three outputs: a PDF, pictures of the pages, a printer."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from tracker.cards.labels.label import Label
from tracker.paper.labels import label_pages, label_sheet_pngs, measuring_page_pdf, write_label_pdf
from tracker.paper.printing import send_to_printer
from tracker.paper.sheets import Sheet
from tracker.whole_file import write_whole


class Printout(Struct, frozen=True, kw_only=True):
    """Labels on a sheet from place `start` (0 is the top left) on; without labels, the sheet's measuring page.

    Raises ValueError for a place that isn't on the sheet, or a resolution that no printer has.
    """

    sheet: Sheet
    labels: Sequence[Label] | None
    title: str
    dpi: int = 300
    start: int = 0

    def __post_init__(self) -> None:
        label_pages((), self.sheet, dpi=self.dpi, start=self.start)

    def write(self, file: BinaryIO) -> int:
        """Write the PDF to an open binary file; returns the number of pages."""
        if self.labels is None:
            file.write(measuring_page_pdf(self.sheet, dpi=self.dpi))
            return 1
        return write_label_pdf(file, self.labels, self.sheet, dpi=self.dpi, start=self.start, title=self.title)

    def write_pictures(self, folder: Path) -> Iterator[Path]:
        """Save each page of labels as a PNG file; yields the paths. The measuring page has none."""
        for number, png in enumerate(
            label_sheet_pngs(self.labels or (), self.sheet, dpi=self.dpi, start=self.start), 1
        ):
            path = folder / f"labels-{number}.png"
            write_whole(path, png)
            yield path

    def send(self, printer: str) -> str:
        """Print it; returns CUPS's name for the job. Raises PrintingError."""
        file = io.BytesIO()
        self.write(file)
        return send_to_printer(file.getvalue(), self.sheet, printer=printer, title=self.title)
