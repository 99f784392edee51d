"""`kerfcard screws`: every screw, dowel and bolt with its position and clearance."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cards.reports.screws import screws_lines, screws_report
from tracker.cli.arguments import FILE, JSON, load_or_exit
from tracker.cli.output import print_report


@click.command()
@FILE
@JSON
def screws(file: Path, as_json: bool) -> None:
    """Say where each screw, dowel and bolt is, how long it is, what it goes into and how near it comes to anything.

    What the build file leaves open (length, gauge, where a pocket's seat is) is common practice.
    """
    build = load_or_exit(file)
    report = screws_report(build)
    print_report(report, as_json, lambda: screws_lines(build))
