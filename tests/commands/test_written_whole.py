"""A command writes a file completely or not at all; until then the earlier file stays."""

from __future__ import annotations

import os
import resource
import signal
import stat
import subprocess
import sys
import threading
import time
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from click.testing import CliRunner, Result

from tracker.cli.main import commands
from tracker.whole_file import whole_file, write_whole

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"
STOOL = SAMPLES / "stool.toml"


def kerfcard(*words: str | Path) -> Result:
    return CliRunner().invoke(commands, [str(word) for word in words])


def _fail_half_way(path: Path) -> None:
    with whole_file(path) as file:
        file.write(b"half")
        raise ZeroDivisionError


@pytest.mark.parametrize("before", [None, b"the sheet of yesterday"])
def test_a_block_that_fails_leaves_what_was_there(tmp_path: Path, before: bytes | None) -> None:
    path = tmp_path / "labels.pdf"
    if before is not None:
        path.write_bytes(before)
    with pytest.raises(ZeroDivisionError):
        _fail_half_way(path)
    assert (path.read_bytes() if path.exists() else None) == before
    assert [each.name for each in tmp_path.iterdir()] == ([path.name] if before is not None else [])


def test_a_file_keeps_its_permissions_and_a_link_its_target(tmp_path: Path) -> None:
    path, link = tmp_path / "labels.pdf", tmp_path / "link.pdf"
    path.write_bytes(b"old")
    path.chmod(0o640)
    link.symlink_to(path)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_new_file_is_as_readable_as_any_other(tmp_path: Path) -> None:
    write_whole(tmp_path / "ours", b"")
    (tmp_path / "any").write_bytes(b"")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "any").stat().st_mode


def test_a_pipe_is_written_to_directly(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    got: list[bytes] = []
    reader = threading.Thread(target=lambda: got.append(pipe.read_bytes()))
    reader.start()
    write_whole(pipe, b"label")
    reader.join(10)
    assert got == [b"label"]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


COMMANDS = (("labels", str(STOOL), "-o"), ("boards", str(STOOL), "-o"), ("labels", str(STOOL), "--png"))


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: f"{words[0]} {words[2]}")
def test_a_full_disk_leaves_the_old_file_and_says_so(words: tuple[str, ...], tmp_path: Path) -> None:
    """The system refuses to let any file grow past 2 kB (RLIMIT_FSIZE), as a full disk would."""
    output = tmp_path / ("pages" if words[2] == "--png" else "out.pdf")
    old = output / "labels-1.png" if words[2] == "--png" else output
    old.parent.mkdir(exist_ok=True)
    old.write_bytes(b"old")
    done = subprocess.run(
        [sys.executable, "-m", "tracker", *words, str(output)],
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=_no_file_over_2_kb,
    )
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert str(old if words[2] == "--png" else output) in done.stderr
    assert "too large" in done.stderr.lower()
    assert old.read_bytes() == b"old"
    assert [each.name for each in old.parent.iterdir()] == [old.name]


def _no_file_over_2_kb() -> None:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (2048, 2048))


def test_a_killed_command_leaves_the_old_file(tmp_path: Path) -> None:
    """Killed at twelve moments: the file is the old one or the complete new one."""
    path = tmp_path / "labels.pdf"
    program = (
        "import sys, time; from pathlib import Path; from tracker.whole_file import whole_file\n"
        "with whole_file(Path(sys.argv[1])) as file:\n"
        "    print('begun', flush=True)\n"
        "    for _ in range(200): file.write(b'x' * 4096); time.sleep(0.0005)\n"
    )
    for moment in range(12):
        path.write_bytes(b"old")
        work = subprocess.Popen([sys.executable, "-c", program, str(path)], stdout=subprocess.PIPE)
        assert work.stdout is not None
        work.stdout.readline()
        time.sleep(moment * 0.02)
        work.kill()
        work.wait()
        assert path.read_bytes() in (b"old", b"x" * 4096 * 200)


def test_a_sheet_that_was_there_gives_way_to_the_new_one(tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    path.write_bytes(b"old")
    assert kerfcard("labels", STOOL, "-o", path).exit_code == 0
    assert len(pdfium.PdfDocument(path)) >= 1
    assert [each.name for each in tmp_path.iterdir()] == ["labels.pdf"]
