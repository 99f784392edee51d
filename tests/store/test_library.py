"""The builds that a tablet knows: the owner of a label, one read for each version of a file, files that appear and
disappear."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from tracker.floor.rack import with_racked
from tracker.shop import Library, Shop, library, read_build
from tracker.work.decide.decide import Rack
from tracker.work.run import start_run

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))


def codes_of(path: Path) -> dict[str, str]:
    build = read_build(path).build
    assert build is not None
    return dict(start_run(build).codes)


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the files that were read, in order."""
    names: list[str] = []

    def reading(path: Path, *rest: object) -> object:
        names.append(path.name)
        return read_build(path, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(library, "read_build", reading)
    return names


def test_every_item_and_every_rack_board_of_every_build_is_found(tmp_path: Path) -> None:
    known = Library(tmp_path, {})
    boards = 0
    for path in SAMPLES:
        for key, code in codes_of(path).items():
            found = known.find_code(code)
            assert found is not None
            assert (found[0].path, found[1]) == (path, key)
            boards += key.startswith("rack/")
    assert boards


def test_a_file_is_read_once_for_every_version_of_it(tmp_path: Path, reads: list[str]) -> None:
    known = Library(tmp_path, {})
    path = Path(shutil.copy(SAMPLES[0], known.folder / "mine.toml"))
    code = next(iter(codes_of(path).values()))
    assert path in known.unread()
    for _ in range(3):
        assert known.find_code(code) is not None
    known.learn()
    assert not known.unread()
    assert reads.count("mine.toml") == 1
    path.write_text(path.read_text().replace('name = "', 'name = "Another ', 1))
    os.utime(path, ns=(1, 1))
    assert known.unread() == (path,)
    assert known.known(path) is None
    assert known.read(path).name.startswith("Another ")
    assert reads.count("mine.toml") == 2


def test_a_broken_file_has_no_codes_and_is_not_read_again(tmp_path: Path, reads: list[str]) -> None:
    known = Library(tmp_path, {})
    (known.folder / "broken.toml").write_text("no build at all")
    for _ in range(2):
        assert known.find_code(next(iter(codes_of(SAMPLES[-1]).values()))) is not None
    assert reads.count("broken.toml") == 1


def test_a_file_that_was_opened_from_elsewhere_stays_listed_until_it_is_gone(tmp_path: Path) -> None:
    settings: dict[str, str] = {}
    known, path = Library(tmp_path, settings), Path(shutil.copy(SAMPLES[0], tmp_path / "elsewhere.toml"))
    file = known.read(path)
    assert file.run is not None
    known.remember(file.run.name, path)
    again = Library(tmp_path, settings)
    assert again.paths()[0] == path
    assert again.file_of(file.run.name) is None
    assert again.unread_for(file.run.name) == (path,)
    again.learn([path])
    assert again.file_of(file.run.name) is not None
    path.unlink()
    assert path not in again.paths()
    assert again.opened_at(file.run.name) == path


def test_two_files_of_one_build_are_both_known_and_the_one_opened_last_is_its_file(tmp_path: Path) -> None:
    known = Library(tmp_path, {})
    first, second = (Path(shutil.copy(SAMPLES[0], tmp_path / f"{name}.toml")) for name in "ab")
    for path in (first, second, first):
        file = known.read(path)
        assert file.run is not None
        known.remember(file.run.name, path)
    found = known.file_of(file.run.name)
    assert found is not None
    assert found.path == first
    assert known.paths()[:2] == (first, second)


@pytest.mark.parametrize("written", ["", "[", "{}", "3", "[1]", '[["a"]]', "null"])
def test_a_setting_that_is_no_list_of_builds_is_none(written: str, tmp_path: Path) -> None:
    known = Library(tmp_path, {"builds opened": written})
    assert known.opened() == ()
    assert known.paths()


def test_an_offcut_that_went_to_the_rack_of_another_build_is_found(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    first, other = SAMPLES[0], SAMPLES[1]
    assert not [problem for problem in shop.open(first) if problem.kind == "problem"]
    assert shop.run is not None
    wood = shop.run.build.woods[0].id
    refusal = shop.do(Rack(name="Z9", wood=wood, length=320 * 400, board=f"{wood}/1"))
    assert refusal is None
    code = _racked_code(shop)
    shop.open(other)
    found = shop.known.owner_of(code)
    assert found is not None
    assert found.path is not None
    assert (found.path.name, found.key) == (first.name, "rack/Z9")
    shop.close()


def _racked_code(shop: Shop) -> str:
    assert shop.run is not None
    return with_racked(shop.run, shop.state).codes["rack/Z9"]


@pytest.mark.parametrize("code", ["", "0000000000", "nonsense"])
def test_a_code_that_nobody_knows_is_nobodys(code: str, tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    assert shop.known.owner_of(code) is None
    shop.close()
