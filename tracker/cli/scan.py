"""`kerfcard scan`: the codes in pictures of labels."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from tracker.cards.reports.scan import scan_lines, scan_report
from tracker.cli.arguments import JSON, load_or_exit
from tracker.cli.output import print_report
from tracker.scan import PictureReader
from tracker.work.run import start_run


@click.command()
@click.argument("pictures", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--live", type=click.Path(path_type=Path), help="A build file: its codes are read through more dirt.")
@JSON
def scan(pictures: tuple[Path, ...], live: Path | None, as_json: bool) -> None:
    """The codes found in pictures, and what they are."""
    run = start_run(load_or_exit(live)) if live else None
    report: list[dict[str, Any]] = []
    unread = False
    codes_of_run = tuple(run.codes.values()) if run else ()
    with PictureReader() as reader:
        for picture in pictures:
            try:
                looked = reader.look(picture, codes_of_run)
            except ValueError as error:
                click.echo(f"{picture}:0: {error} (give a PNG or JPEG picture)", err=True)
                unread = True
                continue
            codes = [(each.text, each.corners, each.valid) for each in looked.found]
            report.append(scan_report(str(picture), codes, looked.maybe, run))
    print_report(report, as_json, lambda: scan_lines(report))
    if unread:
        sys.exit(1)
