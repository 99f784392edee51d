"""The output of commands: a report as text or as JSON, a count in words, or one sentence and exit 1."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from typing import NoReturn

import click


def print_report(report: object, as_json: bool, lines: Callable[[], Iterable[str]]) -> None:
    """Print `report` as JSON, or the `lines` that give people the same."""
    if as_json:
        click.echo(json.dumps(report, ensure_ascii=False, indent=1))
    else:
        for line in lines():
            click.echo(line)


def stop(sentence: str) -> NoReturn:
    """Print what is wrong on standard error, and exit 1."""
    click.echo(sentence, err=True)
    sys.exit(1)


def counted(count: int, noun: str) -> str:
    """`1 page`, `2 pages`."""
    return f"{count} {noun}{'' if count == 1 else 's'}"
