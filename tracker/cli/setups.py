"""`kerfcard setups`: the saw's settings."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cards.reports.setups import setups_lines, setups_report
from tracker.cli.arguments import FILE, JSON, load_or_exit
from tracker.cli.output import print_report
from tracker.plan.setups import piece_by_piece_resets, plan_setups


@click.command()
@FILE
@JSON
def setups(file: Path, as_json: bool) -> None:
    """The saw's settings in the order of work, with the cuts made at each."""
    build = load_or_exit(file)
    plan = plan_setups(build)
    report = setups_report(build, plan, piece_by_piece_resets(build))
    print_report(report, as_json, lambda: setups_lines(build, plan))
