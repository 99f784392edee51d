"""Broken build files; a second file beside each lists its problems with their lines and words of their sentences.

`broken/NAME.toml` is the file, `broken/NAME.expected` one line for each problem: `18: words of the sentence`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tracker.design import load_build

FOLDER = Path(__file__).parent / "broken"
FILES = sorted(FOLDER.glob("*.toml"))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_mistake_is_told_at_its_line_and_nothing_else(file: Path) -> None:
    loaded = load_build(file.read_bytes())
    told = [each.at("file").removeprefix("file:") for each in loaded.problems if each.kind == "problem"]
    expected = file.with_suffix(".expected").read_text("utf-8").splitlines()
    assert loaded.build is None
    assert len(told) == len(expected), told
    for sentence, wanted in zip(told, expected, strict=True):
        line, words = wanted.split(": ", 1)
        assert sentence.startswith(f"{line}: "), told
        assert words in sentence


def test_the_file_they_were_made_from_is_good() -> None:
    """Only the mistakes are reported because there is nothing else to report."""
    good = (FOLDER / "key_twice.toml").read_text("utf-8").replace("quantity = 3\n", "")
    assert load_build(good).problems == ()


def test_there_are_many_of_them() -> None:
    assert len(FILES) >= 20
