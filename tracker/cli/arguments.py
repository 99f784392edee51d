"""Arguments that several commands share: a build file, and whether to print JSON."""

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
    """The build in a file; if it has problems, print all of them on standard error and exit 1."""
    return build_or_exit(file, read_build(file))


def build_or_exit(file: Path, loaded: Loaded) -> Build:
    """The build that was read from `file`; if it has problems, print all of them on standard error and exit 1."""
    for problem in loaded.problems:
        if problem.kind == "problem":
            click.echo(problem.at(str(file)), err=True)
    if loaded.build is None:
        sys.exit(1)
    return loaded.build
