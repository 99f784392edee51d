"""A PostgreSQL for the tests: no root, no service, no fixed port, removed at the end of the tests.

`initdb` refuses to run as root, so if the tests run as root, its programs run as `postgres` or `nobody`. With
`durable=False` it doesn't wait for the disk: only for tests without power cuts.
"""

from __future__ import annotations

import contextlib
import os
import pwd
import secrets
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from pathlib import Path
from types import TracebackType

import psycopg

HBA = """\
local all all scram-sha-256
local replication all scram-sha-256
hostssl all all 127.0.0.1/32 scram-sha-256
"""
CERTIFICATE = [
    *("req", "-new", "-x509", "-days", "3650", "-nodes", "-subj", "/CN=kerfcard-hub"),
    *("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256"),
]
MANY_SECONDS = 60.0


def programs() -> Path:
    """The program folder of the newest installed PostgreSQL."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[4]))
    elsewhere = shutil.which("initdb")
    assert found or elsewhere, "PostgreSQL isn't installed: `.ci/setup test` does it"
    return found[-1].parent if found else Path(elsewhere or "").resolve().parent


def free_port() -> int:
    with socket.socket() as there:
        there.bind(("127.0.0.1", 0))
        port: int = there.getsockname()[1]
        return port


class Cluster:
    """`with Cluster() as cluster: psycopg.connect(cluster.admin())`."""

    def __init__(self, folder: Path | None = None, durable: bool = True, settings: str = "", tls: bool = True) -> None:
        self.port, self.password = free_port(), secrets.token_hex(16)
        self._programs = programs()
        self._user = _whoever_may() if os.geteuid() == 0 else None
        self._own = folder is None
        self.folder = folder or Path(tempfile.mkdtemp(prefix="kerf-pg-"))
        self.folder.mkdir(exist_ok=True, parents=True)
        self.sock = Path(tempfile.mkdtemp(prefix="kerf-sock-"))  # a socket's path has at most 107 bytes
        self.data = self.folder / "data"
        for each in (self.folder, self.sock):
            self._give(each)
        self._process: subprocess.Popen[bytes] | None = None
        self._settings = (
            f"listen_addresses = '127.0.0.1'\nunix_socket_directories = '{self.sock}'\nmax_connections = 250\n"
            f"ssl = {'on' if tls else 'off'}\nlog_min_messages = warning\ntimezone = 'UTC'\nlc_messages = 'C'\n"
            + ("" if durable else "fsync = off\nsynchronous_commit = off\nfull_page_writes = off\n")
            + settings
        )

    def _give(self, path: Path) -> None:
        if self._user is not None:
            os.chown(path, self._user, -1)

    def own(self, *folders: Path) -> None:
        """Give folders with their contents to the user that runs the server."""
        for folder in folders:
            for path in (folder, *folder.rglob("*")):
                self._give(path)

    def command(self, program: str, *arguments: str) -> list[str]:
        """The command for a program of PostgreSQL, run as the allowed user; it ends with the tests."""
        setpriv = ["setpriv", "--pdeathsig", "QUIT"]
        if self._user is not None:
            setpriv += [f"--reuid={self._user}", f"--regid={pwd.getpwuid(self._user).pw_gid}", "--clear-groups"]
        return [*setpriv, str(self._programs / program), *arguments]

    def run(self, program: str, *arguments: str, **environment: str) -> None:
        """Run a program to its end."""
        done = subprocess.run(
            self.command(program, *arguments),
            capture_output=True,
            cwd="/",
            env={**os.environ, **environment},
            check=False,
        )
        assert done.returncode == 0, done.stderr.decode()

    def make(self) -> Cluster:
        """Make the cluster's files."""
        password = self.folder / "password"
        password.write_text(self.password)
        self._give(password)
        self.run("initdb", "-D", str(self.data), "-U", "admin", "-A", "scram-sha-256", f"--pwfile={password}",
                 "-E", "UTF8", "--locale=C", "--no-sync", "--data-checksums")  # fmt: skip
        password.unlink()
        key, certificate = self.data / "server.key", self.data / "server.crt"
        subprocess.run(
            ["openssl", *CERTIFICATE, "-out", str(certificate), "-keyout", str(key)], check=True, capture_output=True
        )
        key.chmod(0o600)
        for path in (key, certificate):
            self._give(path)
        (self.data / "postgresql.auto.conf").write_text(self._settings)
        (self.data / "pg_hba.conf").write_text(HBA)
        return self

    def start(self) -> Cluster:
        """Start the server; it answers when this returns."""
        with (self.folder / "log").open("ab") as log:
            self._process = subprocess.Popen(
                self.command("postgres", "-D", str(self.data), "-p", str(self.port)), stdout=log, stderr=log, cwd="/"
            )
        until = time.monotonic() + MANY_SECONDS
        while not self._answers():
            assert self._process.poll() is None, self.log()
            assert time.monotonic() < until, self.log()
            time.sleep(0.02)
        return self

    def log(self) -> str:
        """The end of the server's log."""
        return (self.folder / "log").read_text(errors="replace")[-3000:]

    def _answers(self) -> bool:
        with contextlib.suppress(psycopg.Error), psycopg.connect(self.admin("postgres"), connect_timeout=2) as db:
            return bool((db.execute("SELECT NOT pg_is_in_recovery()").fetchone() or (False,))[0])
        return False

    @property
    def is_up(self) -> bool:
        """Whether the server's first process exists."""
        return self._process is not None and self._process.poll() is None

    def processes(self) -> list[int]:
        """All processes of the server: those with this cluster's folder."""
        found = []
        for entry in Path("/proc").iterdir():
            with contextlib.suppress(OSError, IndexError):
                ours = entry.name.isdigit() and (entry / "cwd").readlink() == self.data
                if ours and (entry / "stat").read_text().rsplit(")", 1)[1].split()[0] != "Z":
                    found.append(int(entry.name))
        return found

    def seconds_used(self) -> float:
        """Processor time of the whole server so far."""
        total = 0
        for pid in self.processes():
            with contextlib.suppress(OSError):
                said = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
                total += sum(int(each) for each in said[11:15])
        return total / os.sysconf("SC_CLK_TCK")

    def kill(self) -> None:
        """kill -9 of every process of the server."""
        if self._process is None:
            return
        for pid in (self._process.pid, *self.processes()):
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        self._process.wait(MANY_SECONDS)
        self._process = None
        until = time.monotonic() + 10
        while self.processes() and time.monotonic() < until:
            time.sleep(0.005)

    def stop(self) -> None:
        """Stop the server at once, as in a power cut."""
        if self.is_up and self._process is not None:
            self._process.send_signal(signal.SIGQUIT)
            self._process.wait(MANY_SECONDS)
        self._process = None

    def admin(self, database: str = "kerfcard") -> str:
        """The connection string of the administrator."""
        return f"host={self.sock} port={self.port} user=admin password={self.password} dbname={database}"

    def make_database(self, database: str = "kerfcard") -> None:
        with psycopg.connect(self.admin("postgres"), autocommit=True) as db:
            db.execute(f"CREATE DATABASE {database}")

    def __enter__(self) -> Cluster:
        return self.make().start()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()
        shutil.rmtree(self.sock, ignore_errors=True)
        if self._own:
            shutil.rmtree(self.folder, ignore_errors=True)


def _whoever_may() -> int:
    for name in ("postgres", "nobody"):
        with contextlib.suppress(KeyError):
            return pwd.getpwnam(name).pw_uid
    raise AssertionError("there is nobody to run PostgreSQL as")
