"""`kerfcard hub`: several tablets and computers as one, through a PostgreSQL server."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tracker.cards.together.together import member_words
from tracker.cli.arguments import JSON
from tracker.cli.output import counted, stop
from tracker.cli.record import home, opened_shop
from tracker.together.errors import MISSING, HubError
from tracker.together.invitation import MINUTES, Invitation, parse_invitation
from tracker.together.membership import Membership, forget_membership, read_membership

if TYPE_CHECKING:
    from tracker.together.connection import Connection
    from tracker.together.server import Finding

NAME_LENGTH = 40


@contextlib.contextmanager
def _said() -> Iterator[None]:
    """Report an error in one sentence and exit 1."""
    try:
        yield
    except HubError as error:
        stop(str(error))
    except ImportError as error:
        if (error.name or "").partition(".")[0] != "psycopg":
            raise
        stop(MISSING)


@click.group()
def hub() -> None:
    """Work together with other tablets and computers.

    A PostgreSQL server on a desk computer, a small box or a rented server, the hub, carries the facts between them.
    Each works alone whenever it has to. `serve-here` sets one up on this computer; `init` prepares one that is there.
    """


# -- the server ------------------------------------------------------------------------------------------------------


@hub.command()
@click.argument("url")
@click.option(
    "--shop",
    metavar="NAME",
    help="Make a shop of this name, or take the one that is there; print the code of a tablet that may invite others.",
)
@click.option("--host", metavar="HOST", help="The name or address by which tablets reach the server.")
@click.option("-o", "--output", type=click.Path(path_type=Path, dir_okay=False), help="The code as a picture (PNG).")
@JSON
def init(url: str, shop: str | None, host: str | None, output: Path | None, as_json: bool) -> None:
    """Prepare a database of a PostgreSQL server, or bring it up to date.

    URL is an administrator's, as postgresql://postgres@192.168.1.20/kerfcard. A server that could lose or leak facts is
    refused. To do it twice is harmless.
    """
    with _said():
        from tracker.together import server

        found = server.prepare(url)
        unsafe = any(each.kind == "unsafe" for each in found)
        invitation = None
        if not unsafe:
            invitation = _first_invitation(url, shop, host) if shop else None
    if as_json:
        click.echo(json.dumps(_init_report(found, invitation), indent=1))
    else:
        for each in found:
            click.echo(f"{'Unsafe' if each.kind == 'unsafe' else 'Note'}: {each.sentence}", err=True)
    if unsafe:
        stop("Nothing was made. Put that right first.")
    if not as_json:
        click.echo("The hub is ready.")
        if invitation is not None:
            _show(invitation, f"the first tablet of {shop}", server.FIRST_MINUTES, output)


def _first_invitation(url: str, shop: str, host: str | None) -> Invitation:
    from tracker.together import server

    there, port, database = server.address(url)
    if not host and there.startswith("/"):
        raise HubError("unsafe", "Say with --host under which name or address tablets reach this server.")
    if database != database.lower():
        raise HubError("unsafe", f"A code can't name the database {database}: call it in small letters.")
    login, secret = server.invite_keeper(url, shop)
    return Invitation(host or there, port, database, login, secret)


def _init_report(found: list[Finding], invitation: Invitation | None) -> dict[str, object]:
    return {
        "findings": [{"kind": each.kind, "sentence": each.sentence} for each in found],
        "code": invitation.text if invitation else None,
    }


@hub.command("serve-here")
@click.option("--shop", metavar="NAME", default="My shop", show_default=True, help="What the shop is called.")
@click.option(
    "--host", metavar="HOST", help="This computer's name or address in the shop's network; found unless said."
)
@click.option("--yes", is_flag=True, help="Do it without asking.")
@click.option("-o", "--output", type=click.Path(path_type=Path, dir_okay=False), help="The code as a picture (PNG).")
def serve_here(shop: str, host: str | None, yes: bool, output: Path | None) -> None:
    """Make this computer the hub (Debian and its relatives): install PostgreSQL, set it up, print the first code."""
    from tracker.together import here

    with _said():
        for line in here.plan():
            click.echo(line)
        if not yes and not click.confirm("Go ahead?"):
            stop("Nothing was done.")
        url = here.set_up(click.echo)
        invitation = _first_invitation(url, shop, host or here.own_address())
        _show(invitation, f"the first tablet of {shop}", 60, output)


# -- this tablet -----------------------------------------------------------------------------------------------------


@hub.command()
@click.argument("code")
@click.option("--as", "word", required=True, metavar="NAME", help="What people call this tablet: Saw, Bench, Desk.")
@click.option("--yes", is_flag=True, help="Join without asking, also with facts of this tablet's own.")
def join(code: str, word: str, yes: bool) -> None:
    """Join a shop by the CODE that another tablet shows."""
    invitation = parse_invitation(code)
    if invitation is None:
        stop("That is no code of a hub, or it isn't whole. It begins with KERFHUB.")
    with opened_shop() as shop, _said():
        from tracker.shop.together import Together

        together = Together(shop, lambda call: call())
        if together.membership is not None:
            stop("This tablet belongs to a shop already. `kerfcard hub leave` leaves it.")
        count = len(shop.entries())
        if count and not yes:
            click.echo(f"{counted(count, 'fact')} of this tablet will belong to that shop for ever.", err=True)
            if not click.confirm("Join?", err=True):
                stop("Not joined.")
        joined = together.join(invitation, word[:NAME_LENGTH])
    click.echo(f"{joined.word} belongs to {joined.shop}. The facts go to and fro whenever Kerfcard is open.")


@hub.command()
@JSON
def status(as_json: bool) -> None:
    """Say who else belongs to the shop, and when each was met last."""
    membership = read_membership(home())
    if membership is None or membership.code:
        _print_status({"joined": False}, ["This tablet belongs to no hub."], as_json)
        return
    report: dict[str, object] = {
        "joined": True,
        "shop": membership.shop,
        "name": membership.word,
        "keeper": membership.keeper,
        "hub": membership.where,
    }
    lines = [f"{membership.word} of {membership.shop}, at {membership.where}."]
    try:
        with _reached(membership) as there:
            tablets = there.members()
            report |= {"reached": True, "tablets": [
                {"name": each.word, "met_seconds_ago": each.ago, "app": each.app, "keeper": each.keeper,
                 "out": each.revoked, "this": each.mine, "copied": each.copied} for each in tablets]}  # fmt: skip
            lines += [
                f"  {member_words(each.word, each.ago, each.mine, each.revoked, each.keeper)}" for each in tablets
            ]
    except HubError as error:
        report |= {"reached": False, "why": str(error)}
        lines.append(str(error))
    _print_status(report, lines, as_json)


def _print_status(report: dict[str, object], lines: list[str], as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(report, ensure_ascii=False, indent=1))
    else:
        for line in lines:
            click.echo(line)


@hub.command()
@JSON
def meet(as_json: bool) -> None:
    """Give and take everything once. The app does it by itself while it is open."""
    with opened_shop() as shop, _said():
        from tracker.shop.exchange_once import exchange_once

        met = exchange_once(shop)
    if as_json:
        click.echo(json.dumps({"given": met.given, "taken": met.taken, "stuck": met.stuck, "doubted": met.doubted}))
        return
    click.echo(f"{counted(met.given, 'fact')} given, {counted(met.taken, 'fact')} taken.")
    for fork in met.forks:
        click.echo(f"{counted(fork.count, 'fact')} of {fork.tablet} go on under the name {fork.renamed}.")
    for tablet, words in (*met.stuck.items(), *met.doubted.items()):
        click.echo(f"{tablet}: {words}", err=True)


@hub.command()
@click.argument("name")
@click.option("--keeper", is_flag=True, help="It may itself invite others and take them out.")
@click.option("--minutes", default=MINUTES, show_default=True, help="How long the code is good.")
@click.option("-o", "--output", type=click.Path(path_type=Path, dir_okay=False), help="The code as a picture (PNG).")
def invite(name: str, keeper: bool, minutes: int, output: Path | None) -> None:
    """Print and show a QR code that joins one more tablet, called NAME."""
    with _said(), _reached(mine := _member()) as there:
        login, secret = there.invite(name[:NAME_LENGTH], minutes, keeper)
        invitation = Invitation(mine.host, mine.port, mine.database, login, secret)
    _show(invitation, name, minutes, output)


@hub.command()
@click.argument("name")
@click.option("--since", "hours", default=0, metavar="HOURS", help="Take out whom it invited in these last hours, too.")
def revoke(name: str, hours: int) -> None:
    """Take the lost tablet NAME out of the shop. Its earlier facts stay."""
    with _said(), _reached(_member()) as there:
        found = [each for each in there.members() if each.word.casefold() == name.casefold() and not each.revoked]
        if len(found) != 1:
            stop(f"There is no tablet {name} in the shop." if not found else f"{len(found)} tablets are called {name}.")
        gone = there.revoke(found[0].login, hours)
    click.echo(f"Out: {', '.join(gone)}." if gone else "Nobody was taken out.")


@hub.command()
@click.option(
    "--forget", is_flag=True, help="Also where the hub can't be reached: only this tablet's login is removed."
)
def leave(forget: bool) -> None:
    """Leave the shop. The facts stay, here and there."""
    if not forget:
        with _said():
            try:
                with _reached(_member()) as there:
                    there.leave()
            except HubError as error:
                if error.why != "refused":  # a tablet that isn't let in has already left
                    raise
    forget_membership(home())
    click.echo("Left. What was marked until now stays on this tablet and at the hub.")


def _member() -> Membership:
    membership = read_membership(home())
    if membership is None or membership.code:
        raise HubError("refused", "This tablet belongs to no hub: `kerfcard hub join CODE` joins one.")
    return membership


@contextlib.contextmanager
def _reached(membership: Membership) -> Iterator[Connection]:
    from tracker.together.connection import Connection

    with contextlib.closing(Connection(membership)) as there:
        yield there


def _show(invitation: Invitation, whom: str, minutes: int, output: Path | None) -> None:
    """Print the code, as characters and as a picture in the terminal, and write it to a file if one is named."""
    from tracker.paper.hub_code import terminal_code, write_code

    click.echo(f"Scan this with {whom}, or type it there. It is good once, for {minutes} minutes:")
    click.echo(terminal_code(invitation.text))
    click.echo(invitation.text)
    if output is not None:
        write_code(invitation.text, output)
        click.echo(f"{output}: the code as a picture. Remove it once it is scanned.")
