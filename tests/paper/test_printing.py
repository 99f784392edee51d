"""Printing through a real CUPS with a PDF printer, set up and removed by the tests; and a clear message without
CUPS."""

from __future__ import annotations

import grp
import os
import pwd
import shutil
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pytest
import zxingcpp

from tests.paper.shop_labels import LABELS, sheet_pdf
from tracker.paper import printing
from tracker.paper.printing import PrintingError, media, printers, send_to_printer
from tracker.paper.sheets import INCH, sheet_named

DRIVER = Path("/usr/share/ppd/cupsfilters/Generic-PDF_Printer-PDF.ppd")
CUPSD = shutil.which("cupsd", path=f"{os.environ.get('PATH', '')}:/usr/sbin")
LPADMIN = shutil.which("lpadmin", path=f"{os.environ.get('PATH', '')}:/usr/sbin")
SCHEDULER = """
LogLevel warn
Listen {folder}/socket
Browsing Off
WebInterface No
DefaultAuthType None
<Location />
  Order allow,deny
  Allow all
</Location>
<Policy default>
  <Limit All>
    Order deny,allow
  </Limit>
</Policy>
"""
FILES = """
ServerRoot {folder}/root
RequestRoot {folder}/spool
CacheDir {folder}/cache
StateDir {folder}/state
TempDir {folder}/temporary
AccessLog {folder}/access
ErrorLog {folder}/error
PageLog {folder}/page
FileDevice Yes
SystemGroup {group}
"""


def _waited(ready: object, what: str) -> None:
    """Wait until `ready()` is true; CUPS works in its own processes."""
    pause = threading.Event()
    for _ in range(300):
        if ready():  # type: ignore[operator]
            return
        pause.wait(0.1)
    raise AssertionError(f"{what} never came")


@pytest.fixture
def cups(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder of a CUPS scheduler of the tests, without a printer."""
    folder = Path("/tmp") / f"kerfcard-cups-{os.getpid()}-{tmp_path_factory.mktemp('cups').name}"
    for name in ("root", "spool", "cache", "state", "temporary", "out"):
        (folder / name).mkdir(parents=True)
    (folder / "out").chmod(0o777)
    (folder / "root/cupsd.conf").write_text(SCHEDULER.format(folder=folder))
    group = grp.getgrgid(os.getgid()).gr_name
    own = "" if os.geteuid() == 0 else f"User {pwd.getpwuid(os.getuid()).pw_name}\nGroup {group}\n"
    (folder / "root/cups-files.conf").write_text(FILES.format(folder=folder, group=group) + own)
    assert CUPSD, "apt-get install cups-daemon cups-client cups-filters"
    assert DRIVER.exists(), "apt-get install cups-filters"
    scheduler = subprocess.Popen(
        [CUPSD, "-f", "-c", str(folder / "root/cupsd.conf"), "-s", str(folder / "root/cups-files.conf")],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    monkeypatch.setenv("CUPS_SERVER", str(folder / "socket"))
    try:
        _waited(lambda: subprocess.run(["lpstat", "-r"], capture_output=True).returncode == 0, "the scheduler")
        yield folder
    finally:
        scheduler.terminate()
        scheduler.wait(20)
        shutil.rmtree(folder)


def _pdf_printer(folder: Path, name: str) -> Path:
    """Add a printer that writes PDF; returns the path of its output."""
    printed = folder / "out" / f"{name}.pdf"
    assert LPADMIN
    add = [LPADMIN, "-p", name, "-E", "-v", f"file:{printed}", "-P", str(DRIVER)]
    _waited(lambda: subprocess.run(add, capture_output=True).returncode == 0, "the printer")
    return printed


@pytest.mark.parametrize("name", ["a4-3x8", "letter-2x7", "roll-62x40"])
def test_what_the_printer_gets_is_at_exact_scale_and_reads(cups: Path, name: str) -> None:
    printed, sheet = _pdf_printer(cups, "bench"), sheet_named(name)
    assert printers() == ("bench",)
    job = send_to_printer(sheet_pdf(LABELS, sheet), sheet, title="Füße --for\nthe stool")
    assert job.startswith("bench-")
    _waited(lambda: "bench" not in subprocess.run(["lpstat", "-o"], capture_output=True, text=True).stdout, "the job")
    document = pdfium.PdfDocument(printed)
    seen: list[str] = []
    fine = 600
    for page in document:
        picture = page.render(scale=fine / 72, grayscale=True).to_pil()
        codes = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode))
        seen += [code.text for code in codes]
        at = codes[0].position.top_left
        row = np.asarray(picture)[at.y + 12, max(0, at.x - 30) : at.x + round(sheet.code_side(300) / INCH * fine) + 30]
        (dark,) = np.nonzero(row < 128)
        assert (dark[-1] - dark[0] + 1) / fine * INCH == pytest.approx(sheet.code_side(300), abs=0.1)
        if not name.startswith("roll"):  # the generic driver knows no rolls, and puts the label on Letter
            assert [side / 72 * INCH for side in page.get_size()] == pytest.approx(sheet.page, abs=0.5)
    assert sorted(seen) == sorted(label.code for label in LABELS)


def test_a_machine_without_a_printer_says_so(cups: Path) -> None:
    sheet = sheet_named("a4-3x8")
    assert printers() == ()
    with pytest.raises(PrintingError, match="no printer is set up"):
        send_to_printer(sheet_pdf(LABELS, sheet), sheet)


def test_a_printer_that_does_not_exist_is_refused_by_name(cups: Path) -> None:
    _pdf_printer(cups, "bench")
    sheet = sheet_named("a4-3x8")
    with pytest.raises(PrintingError, match="no printer 'hall'; there is bench"):
        send_to_printer(sheet_pdf(LABELS, sheet), sheet, printer="hall")


def test_a_machine_without_cups_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    sheet = sheet_named("a4-3x8")
    assert printers() == ()
    with pytest.raises(PrintingError, match="no CUPS"):
        send_to_printer(b"%PDF-1.4", sheet)


def test_a_print_system_that_hangs_is_given_up_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("lp", "lpstat"):
        script = tmp_path / name
        script.write_text("#!/bin/sh\nexec /bin/cat /dev/zero > /dev/null\n")
        script.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(printing, "PATIENCE", 0.2)
    assert printers() == ()


def test_paper_is_asked_for_by_its_name_or_its_size() -> None:
    assert media(sheet_named("letter-3x10")) == "Letter"
    assert media(sheet_named("a4-2x4")) == "A4"
    assert media(sheet_named("roll-102x51")) == "Custom.102x51mm"
