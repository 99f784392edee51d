"""Commands with bad luck: the disk is full where they write, or where their output is redirected."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

import pytest
from faults.day import SAMPLES

KERFCARD = Path(sys.executable).with_name("kerfcard")
BUILD = SAMPLES / "stool.toml"


def limited() -> None:
    """No file of this process can grow beyond 2 kB, as on a full disk."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (2048, 2048))


@pytest.mark.parametrize(
    "words",
    [("labels",), ("boards",), ("picture",), ("setups",)],
    ids=lambda words: words[0],
)
def test_without_room_a_command_leaves_nothing_half_written_and_says_so(words: tuple[str, ...], tmp_path: Path) -> None:
    old = tmp_path / "sheet.pdf"
    old.write_bytes(b"the sheet of yesterday")
    to_file = () if words == ("setups",) else ("-o", str(old))
    with (tmp_path / "answer.txt").open("wb") as answer:
        ran = subprocess.run(
            [KERFCARD, *words, BUILD, *to_file], stdout=answer, stderr=subprocess.PIPE, preexec_fn=limited, check=False
        )
    said = ran.stderr.decode()
    assert ran.returncode == 1
    assert "File too large" in said
    assert said.count("\n") == 1, said
    assert old.read_bytes() == b"the sheet of yesterday"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["answer.txt", "sheet.pdf"]


def test_an_answer_that_the_disk_has_no_room_for_is_one_sentence() -> None:
    with Path("/dev/full").open("wb") as full:
        ran = subprocess.run([KERFCARD, "cards", BUILD], stdout=full, stderr=subprocess.PIPE, check=False)
    assert (ran.returncode, ran.stderr.decode()) == (1, "The answer can't be written: No space left on device.\n")
