"""Making this computer the hub, on Debian and its derivatives: PostgreSQL from the distribution, in its own cluster.

Everything goes through the distribution's tools (postgresql-common), so updates, backups and the service work as for
any PostgreSQL there: `pg_lsclusters`, `pg_ctlcluster`, `pg_dropcluster`.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from tracker.together.errors import HubError

CLUSTER = "kerfcard"
"""The name of the server in the distribution's tools (`pg_lsclusters`)."""
DATABASE = "kerfcard"
SECONDS = 900
_NO_MAIN = Path("/etc/postgresql-common/createcluster.d/kerfcard.conf")
HBA = f"""\
# Kerfcard: tablets come over TLS with a secret each; root and postgres administer it on this computer.
local   all         postgres                    peer map=kerfcard
hostssl {DATABASE}    +kerfcard_tablet  all         scram-sha-256
"""
IDENT = """\
kerfcard root     postgres
kerfcard postgres postgres
"""
CONF = """\
listen_addresses = '*'
ssl = on
password_encryption = 'scram-sha-256'
fsync = on
full_page_writes = on
synchronous_commit = on
max_connections = 100
"""


def plan() -> Iterator[str]:
    """What `set_up` is going to do, line by line. Raises HubError where it isn't possible."""
    if not Path("/etc/debian_version").exists() or shutil.which("apt-get") is None:
        raise HubError("unsafe", "This is no Debian. Install PostgreSQL 15 or later, then run `kerfcard hub init URL`.")
    if os.geteuid() != 0:
        raise HubError("unsafe", "Only root may set up a server: sudo kerfcard hub serve-here")
    if not _installed():
        yield "It installs PostgreSQL from the distribution (apt-get install postgresql)."
    if _port() is None:
        yield f"It makes a database server of its own, called {CLUSTER}, that starts with this computer."
    yield f"Tablets of this network reach the database {DATABASE} over TLS, each with a secret of its own."


def set_up(say: Callable[[str], object]) -> str:
    """Set up the hub; repeating it is harmless. Returns the administrator's URL. Raises HubError."""
    if not _installed():
        say("Installing PostgreSQL...")
        _without_main_cluster()
        _run(["apt-get", "-o", "DPkg::Lock::Timeout=300", "update", "-qq"])
        _run(["apt-get", "-o", "DPkg::Lock::Timeout=300", "install", "-y", "-qq", "--no-install-recommends",
              "postgresql", "openssl"])  # fmt: skip
    version = _version()
    if _port() is None:
        say("Making the database server...")
        _run(["pg_createcluster", version, CLUSTER, "--", "--data-checksums", "--encoding=UTF8", "--locale=C.UTF-8"])
    _configure(Path("/etc/postgresql") / version / CLUSTER)
    port = _port()
    if port is None:
        raise HubError("unsafe", "The database server couldn't be made: pg_lsclusters says more.")
    _certify(Path("/var/lib/postgresql") / version / CLUSTER)
    say("Starting it...")
    _run(["pg_ctlcluster", version, CLUSTER, "restart"])
    url = f"host=/var/run/postgresql port={port} user=postgres dbname={DATABASE}"
    _prepare(url, say)
    return url


def own_address() -> str:
    """The address under which others on the network reach this computer. Nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as there:
        try:
            there.connect(("192.0.2.1", 9))  # a documentation address (RFC 5737): only the route is looked up
            address: str = there.getsockname()[0]
        except OSError:
            return socket.gethostname()
    return address


def _prepare(url: str, say: Callable[[str], object]) -> None:
    import psycopg

    from tracker.together import server

    try:
        with psycopg.connect(url.replace(f"dbname={DATABASE}", "dbname=postgres"), autocommit=True) as db:
            if db.execute("SELECT FROM pg_database WHERE datname = %s", [DATABASE]).fetchone() is None:
                db.execute(f"CREATE DATABASE {DATABASE}")
    except psycopg.Error as error:
        raise HubError("away", f"The server says: {str(error).strip().splitlines()[-1]}") from error
    for found in server.prepare(url):
        say(found.sentence)
        if found.kind == "unsafe":
            raise HubError("unsafe", found.sentence)


def _installed() -> bool:
    return bool(_versions()) and shutil.which("pg_createcluster") is not None


def _versions() -> list[str]:
    return sorted((path.parts[4] for path in Path("/usr/lib/postgresql").glob("*/bin/postgres")), key=float)


def _version() -> str:
    versions = _versions()
    if not versions or float(versions[-1]) < 15:
        raise HubError("unsafe", "This system has no PostgreSQL 15 or later.")
    made = [version for version in versions if (Path("/etc/postgresql") / version / CLUSTER).is_dir()]
    return (made or versions)[-1]


def _port() -> int | None:
    """The port of our cluster; None if there is none."""
    for version in _versions():
        conf = Path("/etc/postgresql") / version / CLUSTER / "postgresql.conf"
        if conf.exists():
            for line in conf.read_text("utf-8").splitlines():
                name, _, value = line.partition("=")
                if name.strip() == "port":
                    return int(value.split("#")[0].strip())
    return None


def _without_main_cluster() -> None:
    """Keep the package from starting a server that nobody asked for."""
    _NO_MAIN.parent.mkdir(parents=True, exist_ok=True)
    _NO_MAIN.write_text("create_main_cluster = false\n", "utf-8")


def _certify(data: Path) -> None:
    """A self-signed certificate for this server. Nobody has to trust it: tablets bind their secrets to it (RFC
    5929)."""
    certificate, key = data / "server.crt", data / "server.key"
    if certificate.exists() and key.exists():
        return
    _run(["openssl", "req", "-new", "-x509", "-days", "7300", "-nodes", "-newkey", "ec", "-pkeyopt",
          "ec_paramgen_curve:P-256", "-subj", "/CN=kerfcard-hub",
          "-out", str(certificate), "-keyout", str(key)])  # fmt: skip
    for path in (certificate, key):
        shutil.chown(path, "postgres", "postgres")
        path.chmod(0o600)


def _configure(folder: Path) -> None:
    """The cluster's settings; a person's own lines in conf.d come after ours and override them."""
    extra = folder / "conf.d" / "00-kerfcard.conf"
    extra.parent.mkdir(exist_ok=True)
    extra.write_text(CONF, "utf-8")
    for name, words in (("pg_hba.conf", HBA), ("pg_ident.conf", IDENT)):
        path = folder / name
        if words not in path.read_text("utf-8"):
            path.write_text(words, "utf-8")
            shutil.chown(path, "postgres", "postgres")
            path.chmod(0o640)


def _run(command: Sequence[str]) -> None:
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    try:
        done = subprocess.run(command, capture_output=True, text=True, env=environment, timeout=SECONDS, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise HubError("unsafe", f"{command[0]}: {error}") from error
    if done.returncode:
        said = (done.stderr or done.stdout).strip().splitlines()
        raise HubError("unsafe", f"{command[0]}: {said[-1] if said else done.returncode}")
