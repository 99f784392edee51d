"""What several commands take from the command line: a build file, and whether to print JSON."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from tracker.design.load import Loaded
from tracker.design.model import Build
from tracker.shop import read_build

FILE = click.argument("file", type=click.Path(path_type=Path))
JSON = click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")


def load_or_exit(file: Path) -> Build:
    """The build of a file; exit 1 with every problem on standard error where it has any."""
    return build_or_exit(file, read_build(file))


def build_or_exit(file: Path, loaded: Loaded) -> Build:
    """The build of what was read from `file`; exit 1 with every problem on standard error where it has any."""
    for problem in loaded.problems:
        if problem.kind == "problem":
            click.echo(problem.at(str(file)), err=True)
    if loaded.build is None:
        sys.exit(1)
    return loaded.build
