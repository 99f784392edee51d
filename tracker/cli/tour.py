"""`kerfcard tour`: a picture of every screen."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cli.output import stop


@click.command()
@click.option("-o", "--output", type=click.Path(path_type=Path), required=True, help="The folder for the pictures.")
@click.option("--few", is_flag=True, help="Two looks of each screen, not all the lights, hands and screen sizes.")
def tour(output: Path, few: bool) -> None:
    """Drive the real app through a sample build and save a picture of every screen; needs no display."""
    from tracker.screens.display import CANVAS, NoDisplayError, prepare

    try:
        prepare(display="offscreen", size=CANVAS, dpi=224)
    except NoDisplayError as missing:
        stop(str(missing))
    from tracker.tour.looks import FEW, LOOKS
    from tracker.tour.pictures import take_tour

    for picture in take_tour(output, FEW if few else LOOKS):
        click.echo(picture)
