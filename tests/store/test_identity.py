"""Which tablet a record is, how its settings are proven, and how far it has come."""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tracker.store import identity, watermark
from tracker.store.identity import PLACE, TABLET, machine_id, new_name, place_of, take_name
from tracker.store.schema import proof_of
from tracker.store.watermark import Watermark, read_mark

ID = "0123456789abcdef0123456789abcdef"


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path]:
    first, second = tmp_path / "etc", tmp_path / "var"
    monkeypatch.setattr(identity, "_MACHINE_IDS", (first, second))
    return first, second


def test_the_machine_is_the_first_that_says_which_it_is(machine: tuple[Path, Path]) -> None:
    first, second = machine
    assert machine_id() == ""
    second.write_text(f"{ID}\n")
    assert machine_id() == ID
    first.write_bytes(b"\xff\xfe")
    assert machine_id() == ID
    first.write_text(" \n")
    assert machine_id() == ID
    first.write_text("f" * 32)
    assert machine_id() == "f" * 32


def test_a_place_is_a_folder_on_a_machine_and_tells_nothing_of_either(
    tmp_path: Path, machine: tuple[Path, Path]
) -> None:
    here = place_of(tmp_path)
    assert re.fullmatch("[0-9a-f]{32}", here)
    assert place_of(tmp_path / "x" / "..") == here
    assert place_of(tmp_path / "x") != here
    machine[0].write_text(ID)
    assert place_of(tmp_path) != here


def test_names_are_short_and_never_the_same() -> None:
    names = {new_name() for _ in range(50)}
    assert len(names) == 50
    assert all(re.fullmatch("[0-9a-f]{8}", name) for name in names)


@pytest.mark.parametrize(
    ("before", "renewed", "copied"),
    [({}, True, False), ({TABLET: "a"}, False, False), ({TABLET: "a", PLACE: "here"}, False, False),
     ({TABLET: "a", PLACE: "elsewhere"}, True, True), ({PLACE: "elsewhere"}, True, False)],
)  # fmt: skip
def test_a_name_is_kept_in_its_place_and_renewed_elsewhere(
    tmp_path: Path, before: dict[str, str], renewed: bool, copied: bool
) -> None:
    settings = {name: place_of(tmp_path) if value == "here" else value for name, value in before.items()}
    assert take_name(settings, tmp_path) is copied
    assert (settings[TABLET] != before.get(TABLET)) is renewed
    assert settings[PLACE] == place_of(tmp_path)
    again = dict(settings)
    assert take_name(settings, tmp_path) is False
    assert settings == again


def test_a_proof_is_the_hash_of_a_json_array() -> None:
    words = json.dumps(["kerf", "⅛ in"], ensure_ascii=False).encode()
    assert proof_of("kerf", "⅛ in") == hashlib.sha256(words).hexdigest()
    assert len({proof_of("a", "b"), proof_of("ab"), proof_of("a", "b", None), proof_of("a", None)}) == 4


def test_the_mark_of_a_record_that_is_closed_or_cannot_be_written_says_nothing(tmp_path: Path) -> None:
    path = tmp_path / "mark"
    mark = Watermark(path, {"saw": (1, "a")})
    assert path.stat().st_mode & 0o777 == 0o600
    mark.note({"saw": (2, "b")})
    assert path.read_bytes().count(b"\n\n") == 1, "a line cut short by a full disk would be ended"
    mark.close()
    mark.close()
    mark.note({"saw": (3, "c")})
    assert read_mark(path) == {"saw": (2, "b")}
    assert not (tmp_path / "mark.unfinished").exists()
    nowhere = Watermark(tmp_path / "none" / "mark", {"saw": (1, "a")})
    nowhere.note({"saw": (2, "b")})
    nowhere.close()
    assert read_mark(tmp_path / "none" / "mark") == {}
    Watermark(path, {"bench": (7, "d")}).close()
    assert read_mark(path) == {"bench": (7, "d")}, "the lines of one session are enough"


def test_lines_of_a_mark_that_make_no_sense_are_skipped(tmp_path: Path) -> None:
    def line(words: str) -> bytes:
        return words.encode() + b" " + watermark._check(words.encode()) + b"\n"

    good = line('["saw", 3, "c"]')
    (tmp_path / "mark").write_bytes(
        b"rust\n" + good + line("rust") + line("[1]") + line('["bench", 2]') + line("7") + line('["saw", 4, "d"]')[:-2]
    )
    assert read_mark(tmp_path / "mark") == {"saw": (3, "c")}


def test_the_record_is_opened_without_the_libraries_that_are_slow_to_load() -> None:
    """They are only held back while sqlite-utils is loaded."""
    code = (
        "import re, sys; compile = re.compile; import tracker.store; "
        "held = [name for name in ('numpy', 'pandas') if name in sys.modules]; "
        "assert held == [], held; assert re.compile is compile; import numpy; "
        "from sqlite_utils import db; late = [v for v in vars(db).values() if type(v).__name__ == '_LatePattern']; "
        "assert late; assert all(hasattr(each, 'match') for each in late); assert type(re.compile('a')) is re.Pattern"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
