"""`kerfcard export-list`: the cut list of a build for a spreadsheet."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cards.reports.cut_list import cut_list_csv
from tracker.cli.arguments import FILE, load_or_exit
from tracker.cli.output import stop
from tracker.whole_file import write_whole


@click.command()
@FILE
@click.option("-o", "--output", default="-", help="The .csv file to write; - (the default) prints it.")
@click.option("--as-written", is_flag=True, help="No apostrophe before what a spreadsheet would run as a formula.")
def export_list(file: Path, output: str, as_written: bool) -> None:
    """Write the cut list of a build as CSV. No cell of it runs in a spreadsheet."""
    text = cut_list_csv(load_or_exit(file), as_written=as_written)
    if output == "-":
        click.echo(text, nl=False)
        return
    try:
        write_whole(Path(output), text.encode("utf-8-sig"))  # so that spreadsheets recognise UTF-8
    except OSError as error:
        stop(f"{output}: {error.strerror}")
    click.echo(f"{output}: {len(text.splitlines()) - 1} lines")
