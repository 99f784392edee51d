"""Kerfcard's dependencies: their versions are bounded, and their licences are on one page."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]


def test_every_dependency_has_an_upper_bound() -> None:
    """The next major release of anything may break a tablet that is set up after it (PEP 440: `<`, `==`)."""
    groups = (PROJECT["dependencies"], *PROJECT["optional-dependencies"].values())
    for text in (each for group in groups for each in group):
        requirement = Requirement(text)
        assert any(part.operator in ("<", "<=", "==", "~=") for part in requirement.specifier), text
        assert any(part.operator in (">=", "==", "~=") for part in requirement.specifier), text


def test_the_page_of_licences_names_all_that_is_installed_to_run() -> None:
    done = subprocess.run(
        [sys.executable, ROOT / ".ci" / "licences", "--check"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    rows = [line for line in (ROOT / ".docs" / "licences.md").read_text().splitlines() if " | to run | " in line]
    assert len(rows) >= len(PROJECT["dependencies"])
    assert not [row for row in rows if "not stated" in row]
