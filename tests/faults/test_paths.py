"""Anything in the place of a build file: it is reported in a sentence, nothing waits for it and nothing stops."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from faults.day import SAMPLES, HandClock

from tracker.shop import Shop, read_build


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _circle(path: Path) -> None:
    path.symlink_to(path)


def _nowhere(path: Path) -> None:
    path.symlink_to(path.with_name("gone"))


def _endless(path: Path) -> None:
    path.symlink_to("/dev/zero")


def _huge(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(1 << 40)


def _empty(path: Path) -> None:
    path.touch()


@pytest.mark.parametrize("stranger", [_pipe, _circle, _nowhere, _endless, _huge, _empty, Path.mkdir])
def test_what_is_no_build_file_is_told_in_a_sentence(tmp_path: Path, stranger: object) -> None:
    shop = Shop(tmp_path / "home", HandClock())
    path = shop.library.folder / "stranger.toml"
    stranger(path)  # type: ignore[operator]
    loaded = read_build(path)
    assert loaded.build is None
    assert [problem.what for problem in loaded.problems if problem.kind == "problem"]
    for file in shop.library.files():
        assert file.loaded.build is not None or file.path == path
    assert shop.open(path)
    assert shop.open(SAMPLES / "planter.toml") == ()
    shop.close()


def test_a_name_that_no_file_can_have_is_told(tmp_path: Path) -> None:
    for name in ("x" * 5000, "a\0b"):
        assert read_build(tmp_path / name).problems
