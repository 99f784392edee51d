"""`kerfcard wood`: what the wood of a build will do."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cards.reports.wood import wood_lines, wood_report
from tracker.cli.arguments import FILE, JSON, load_or_exit
from tracker.cli.output import print_report, stop
from tracker.plan.place import PlaceError, Placer


@click.command()
@FILE
@JSON
def wood(file: Path, as_json: bool) -> None:
    """Say how the wood moves with the seasons, what that opens, and what the piece weighs, carries and stands.

    By the air under [air] in the build file, or by defaults.
    """
    build = load_or_exit(file)
    try:
        report = wood_report(build, Placer(build))
    except PlaceError as wrong:
        stop(f"{file}:{wrong.line}: {wrong.what}{f' ({wrong.hint})' if wrong.hint else ''}")
    print_report(report, as_json, lambda: wood_lines(build, report))
