"""Build files of earlier versions keep their meaning: sizes, angles, routes, boards, prices and the codes of labels.

The stored reports beside the files were written by the version of 2026-11-26; later additions to the reports aren't
compared.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.work.run import start_run

FOLDER = Path(__file__).parent / "earlier"
FILES = sorted(FOLDER.glob("*.toml"))


def differences(was: Any, now: Any, path: str = "") -> list[str]:
    """The places where a report differs from the stored one; trims count as one word of a route."""
    if isinstance(was, dict):
        return [each for key in was for each in differences(was[key], now.get(key), f"{path}.{key}")]
    if isinstance(was, list):
        if len(was) != len(now):
            return [f"{path}: {len(was)} became {len(now)}"]
        return [each for at, one in enumerate(was) for each in differences(one, now[at], f"{path}[{at}]")]
    if isinstance(was, float):
        return [] if now == pytest.approx(was, abs=1e-6) else [f"{path}: {was} became {now}"]
    return [] if was == now else [f"{path}: {was} became {now}"]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
@pytest.mark.parametrize("command", ["cards", "boards"])
def test_what_the_commands_said_of_it_holds(file: Path, command: str) -> None:
    kept = json.loads(file.with_suffix(".json").read_text(encoding="utf-8"))
    result = CliRunner().invoke(commands, [command, str(file), "--json"])
    assert result.exit_code == 0
    assert differences(kept[command], json.loads(result.stdout)) == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_its_labels_are_read_as_before(file: Path) -> None:
    kept = json.loads(file.with_suffix(".json").read_text(encoding="utf-8"))
    build = load_build(file.read_bytes()).build
    assert build is not None
    assert dict(start_run(build).codes) == kept["codes"]


def test_there_are_files_of_earlier_versions() -> None:
    assert len(FILES) == 3
