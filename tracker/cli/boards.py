"""`kerfcard boards`: the board plan as text, as JSON or as a printed sheet."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from tracker.cards.reports.boards import boards_lines, boards_report, plan_proof_words
from tracker.cli.arguments import FILE, JSON, load_or_exit
from tracker.cli.output import counted, print_report, stop
from tracker.design.model import Build
from tracker.plan.boards import BoardPlan, board_plans
from tracker.search_process import SearchError, SearchProcess
from tracker.whole_file import whole_file

THINK_SECONDS = 3.0
"""Seconds to look for a better plan before reporting how good the best one is."""


@click.command()
@FILE
@JSON
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write the printed sheet to this PDF instead.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), help="The sheet's paper; else one that suits the units.")
def boards(file: Path, as_json: bool, output: Path | None, paper: Literal["letter", "a4"] | None) -> None:
    """Which pieces come from which board, cut by cut, and what to buy."""
    build = load_or_exit(file)
    try:
        *_, plan = SearchProcess(board_plans, build, seconds=THINK_SECONDS).answers()
    except SearchError as error:
        stop(f"{file}: the boards can't be planned: {error}")
    if output is not None:
        _write_sheet(build, plan, output, paper or ("letter" if build.units == "in" else "a4"))
        return
    print_report(boards_report(build, plan), as_json, lambda: boards_lines(build, plan))


def _write_sheet(build: Build, plan: BoardPlan, output: Path, paper: Literal["letter", "a4"]) -> None:
    from tracker.cards.boards.sheet import board_sheet
    from tracker.floor.boards import laid_out
    from tracker.paper.board_sheet import write_board_sheet
    from tracker.work.run import start_run

    standing = plan_proof_words(plan)
    sheet = board_sheet(start_run(build), laid_out(plan), f"{standing[:1].upper()}{standing[1:]}.")
    try:
        with whole_file(output) as pdf:
            pages = write_board_sheet(pdf, sheet, paper)
    except OSError as error:
        stop(f"{output}: {error.strerror or error}")
    click.echo(f"{output}: {counted(len(sheet.boards), 'board')} and the shopping list on {counted(pages, 'page')}.")
