"""`kerfcard labels`: label sheets to a PDF, to pictures or to a printer."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cards.labels.labels_of_run import label_keys, labels_for
from tracker.cli.arguments import FILE, load_or_exit
from tracker.cli.output import counted, stop
from tracker.paper.labels import missing_signs
from tracker.paper.printing import PrintingError
from tracker.paper.printout import Printout
from tracker.paper.sheets import DEFAULT_A4, DEFAULT_LETTER, sheet_named
from tracker.whole_file import whole_file
from tracker.work.run import start_run


@click.command()
@FILE
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The PDF to write.")
@click.option("--png", "folder", type=click.Path(path_type=Path), help="A folder for the pages as PNG pictures.")
@click.option("--printer", metavar="NAME", help="The printer to send the pages to, through CUPS.")
@click.option("--sheet", "sheet_name", default="", help="The label sheet; else one that suits the units.")
@click.option("--dpi", type=int, default=300, show_default=True, help="The printer's dots to the inch.")
@click.option("--start", type=int, default=1, show_default=True, help="The first free label of a used sheet.")
@click.option("--only", multiple=True, metavar="KEY", help="Only this one, such as leg:2 or rack/K1; may be repeated.")
@click.option("--boards", "with_boards", is_flag=True, help="The boards on the rack as well.")
@click.option("--measuring-page", is_flag=True, help="Instead of labels, a page to measure with a ruler.")
def labels(
    file: Path,
    output: Path | None,
    folder: Path | None,
    printer: str | None,
    sheet_name: str,
    dpi: int,
    start: int,
    only: tuple[str, ...],
    with_boards: bool,
    measuring_page: bool,
) -> None:
    """Print label sheets to a PDF, to pictures or on a printer.

    This doesn't mark anything as labelled on the tablet: there, tap More, Labels, and `printed` among the other labels.
    """
    if output is None and folder is None and printer is None:
        raise click.UsageError("Say where to: -o FILE, --png FOLDER or --printer NAME.")
    if measuring_page and folder is not None:
        raise click.UsageError("The measuring page is a PDF: -o FILE or --printer NAME.")
    build = load_or_exit(file)
    run = start_run(build)
    keys = only or label_keys(run, boards=with_boards)
    if strangers := [key for key in keys if key not in run.codes]:
        stop(f"{file}: there is no {strangers[0]} in this build; there is {', '.join(run.codes)}")
    try:
        sheet = sheet_named(sheet_name or (DEFAULT_LETTER if build.units == "in" else DEFAULT_A4))
        made = None if measuring_page else tuple(labels_for(run, keys))
        printout = Printout(sheet=sheet, labels=made, title=build.name, dpi=dpi, start=start - 1)
    except ValueError as error:
        stop(str(error))
    subject = "the measuring page" if measuring_page else counted(len(keys), "label")
    _print_out(printout, subject, output, folder, printer)
    if made is not None and (missing := missing_signs(made)):
        click.echo(f"note: {missing}", err=True)


def _print_out(printout: Printout, subject: str, output: Path | None, folder: Path | None, printer: str | None) -> None:
    """Write and send what was requested, and report that; exit 1 where it can't be done."""
    try:
        if output is not None:
            with whole_file(output) as pdf:
                pages = printout.write(pdf)
            click.echo(f"{output}: {subject} on {counted(pages, 'page')} of {printout.sheet.words}. Print at 100 %.")
        if folder is not None:
            for picture in printout.write_pictures(folder):
                click.echo(picture)
        if printer is not None:
            click.echo(f"{printout.send(printer)}: {subject} on {printout.sheet.words}, sent to {printer}.")
    except PrintingError as error:
        stop(str(error))
    except OSError as error:
        stop(f"{error.filename or output}: {error.strerror or error}")
