"""`kerfcard check`: what is wrong with a build file."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cli.arguments import FILE, build_or_exit
from tracker.cli.output import counted
from tracker.design.load import Loaded
from tracker.plan.outline import outline_problems
from tracker.plan.place import place_problems
from tracker.plan.screws import screw_problems
from tracker.plan.wood import wood_problems
from tracker.shop import read_build


@click.command()
@FILE
def check(file: Path) -> None:
    """Say what is wrong with a build file."""
    loaded = read_build(file)
    build = build_or_exit(file, loaded)
    found = (*place_problems(build), *screw_problems(build), *outline_problems(build))
    build_or_exit(file, Loaded(None if any(each.kind == "problem" for each in found) else build, found))
    notes = (*loaded.notes, *(each for each in found if each.kind == "note"), *wood_problems(build))
    for note in sorted(notes):
        click.echo(f"note: {note.at(str(file))}")
    pieces = sum(part.quantity for part in build.parts)
    count = sum(assembly.quantity for assembly in build.assemblies)
    assemblies = "1 assembly" if count == 1 else f"{count} assemblies"
    click.echo(f"{file}: good. {build.name}: {counted(pieces, 'piece')}, {assemblies}.")
