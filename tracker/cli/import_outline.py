"""`kerfcard import-outline`: a drawing as an outline of a build file."""

from __future__ import annotations

import re
from pathlib import Path

import click

from tracker.cli.output import stop
from tracker.intake.drawings import outline_text, read_drawing
from tracker.intake.drawings.drawing import MOST_BYTES
from tracker.intake.errors import IntakeError
from tracker.measure import Units
from tracker.whole_file import write_whole


@click.command()
@click.argument("drawing", type=click.Path(path_type=Path))
@click.option("-o", "--output", default="-", help="The file to write; - (the default) prints it.")
@click.option("--id", "id_", help="What the outline is called; else the drawing's name.")
@click.option("--of", default="panel", show_default=True, help="The part or assembly that it is sawn from.")
@click.option("--units", type=click.Choice(["mm", "in"]), default="mm", show_default=True, help="Those of the build.")
def import_outline(drawing: Path, output: str, id_: str | None, of: str, units: Units) -> None:
    """Read the largest closed curve of an .svg or .dxf file, and print it as a table to paste into a build file.

    Curves inside it become cutouts. What was left out is said in remarks.
    """
    try:
        if not drawing.is_file():
            raise IntakeError("there is no such file")
        with drawing.open("rb") as file:
            found = read_drawing(file.read(MOST_BYTES + 1), drawing.name)
    except OSError as error:
        stop(f"{drawing}: the file can't be read: {error.strerror}")
    except IntakeError as wrong:
        stop(f"{drawing}: {wrong}")
    name = _identifier(id_ or drawing.stem)
    text = outline_text(found, name, _identifier(of), units)
    if output == "-":
        click.echo(text, nl=False)
        return
    try:
        write_whole(Path(output), text.encode())
    except OSError as error:
        stop(f"{output}: {error.strerror}")
    click.echo(f"{output}: the outline {name}. Look at every remark in it.")


def _identifier(text: str) -> str:
    return re.sub(r"[^A-Za-z0-9_-]+", "-", text).strip("-")[:32] or "outline"
