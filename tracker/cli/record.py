"""The commands for this tablet's record: export and import it, back it up, restore a backup."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click
from platformdirs import user_data_path

from tracker.cards.settings.take_in import take_in_card, take_in_lines
from tracker.cli.arguments import JSON
from tracker.cli.output import counted, stop
from tracker.shop import Shop
from tracker.store.backups import Backup
from tracker.store.errors import CannotWriteError, DamagedLogError
from tracker.store.exchange import Offer


def home() -> Path:
    """The folder of this tablet's record."""
    return Path(os.environ.get("KERFCARD_HOME") or user_data_path("kerfcard", appauthor=False))


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
def export(file: Path) -> None:
    """Write this tablet's whole record to one file (JSON Lines)."""
    with opened_shop() as shop:
        count = shop.export_to(file)
    click.echo(f"{file}: {counted(count, 'fact')}.")


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Take it in without asking, also where it takes back what is done here.")
def import_(file: Path, yes: bool) -> None:
    """Take in a record that was exported; all of it, or nothing. Twice is harmless.

    First it says what would change, and asks. Where nobody can be asked, a record that only adds is taken in, and one
    that takes back what is done here needs --yes. A backup is made before.
    """
    with opened_shop() as shop:
        offer = shop.look_into(file)
        if offer.new:
            _agree_to(shop, offer, yes)
        taken = shop.take_in_offer(offer)
    for wrong in taken.problems:
        click.echo(f"{file}:{wrong.line}: {wrong.what} (nothing was taken in)", err=True)
    if taken.problems:
        sys.exit(1)
    click.echo(f"{file}: {counted(len(taken.new), 'fact')} that were new.")


def _agree_to(shop: Shop, offer: Offer, yes: bool) -> None:
    """Print what would change, and continue only after agreement."""
    card = take_in_card(shop.state, shop.state_with(offer), offer.new, shop.tablet)
    for line in take_in_lines(card):
        click.echo(line, err=True)
    if yes:
        return
    if sys.stdin.isatty():
        if not click.confirm("Take it in?", err=True):
            stop("Nothing was taken in.")
    elif card.undoes:
        stop("Nothing was taken in: it takes back what is done here. Add --yes to take it in all the same.")


@click.command()
def backup() -> None:
    """Make a backup of this tablet's record now."""
    with opened_shop() as shop:
        made = shop.back_up()
    click.echo(f"{made.name}: proven, in {made.parent}.")


@click.command()
@click.argument("name", required=False)
@JSON
def restore(name: str | None, as_json: bool) -> None:
    """Put a backup in the place of the record; without a name, list the backups.

    NAME is one of that list, or a file. The record as it is now is kept beside it, and the tablet gets a new name in
    the restored one, so that no fact is counted twice.
    """
    with opened_shop() as shop:
        kept = shop.backups()
        if name is None:
            _list(kept, as_json)
            return
        path = next((each.path for each in kept if _name(each.path) == name), Path(name))
        if not path.is_file():
            stop(f"{name}: there is no such backup. `kerfcard restore` lists them.")
        said = shop.restore(path)
    if not said.startswith("Restored"):
        stop(said)
    click.echo(json.dumps({"restored": path.name, "said": said}) if as_json else said)


def _name(path: Path) -> str:
    """A backup's own name; for a record that was replaced by a restored one, with its folder."""
    return path.name if path.parent.name == "backups" else f"{path.parent.name}/{path.name}"


def _list(kept: tuple[Backup, ...], as_json: bool) -> None:
    rows: list[dict[str, Any]] = [
        {"name": _name(each.path), "made": each.made.isoformat(), "why": each.why, "facts": each.facts()}
        for each in kept
    ]
    if as_json:
        click.echo(json.dumps(rows, indent=1))
        return
    for row in rows:
        click.echo(f"{row['name']}  {'unreadable' if row['facts'] is None else counted(row['facts'], 'fact')}")
    if not rows:
        click.echo("There is no backup yet.")


@contextmanager
def opened_shop() -> Iterator[Shop]:
    """This tablet's shop; a problem with its record is reported in one sentence."""
    try:
        shop = Shop(home())
    except OSError as error:
        stop(f"The record in {home()} can't be opened: {error}.")
    if shop.notice:
        click.echo(shop.notice, err=True)
    try:
        yield shop
    except (CannotWriteError, DamagedLogError) as error:
        stop(str(error))
    finally:
        shop.close()
