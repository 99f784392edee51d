"""A label of another build is known for one, and every build file is read once for each version of it."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from tracker.codes_elsewhere import CodesElsewhere
from tracker.design.load import Loaded
from tracker.floor.rack import with_racked
from tracker.shop import Shop, read_build
from tracker.work.decide.decide import Rack
from tracker.work.run import start_run

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))


class Reader:
    """Reads build files, and counts."""

    def __init__(self) -> None:
        self.read: list[str] = []

    def __call__(self, path: Path) -> Loaded:
        self.read.append(path.name)
        return read_build(path)


def codes_of(path: Path) -> dict[str, str]:
    build = read_build(path).build
    assert build is not None
    return dict(start_run(build).codes)


def test_every_item_and_every_rack_board_of_every_build_is_found() -> None:
    index = CodesElsewhere(read_build)
    boards = 0
    for path in SAMPLES:
        for key, code in codes_of(path).items():
            assert index.find(code, SAMPLES) == (path, key)
            boards += key.startswith("rack/")
    assert boards


def test_a_file_is_read_once_for_every_version_of_it(tmp_path: Path) -> None:
    path = Path(shutil.copy(SAMPLES[0], tmp_path))
    reader = Reader()
    index = CodesElsewhere(reader)
    code = next(iter(codes_of(path).values()))
    assert not index.fresh([path])
    for _ in range(3):
        assert index.find(code, [path]) is not None
    assert index.fresh([path])
    assert reader.read == [path.name]
    path.write_text(path.read_text().replace('name = "', 'name = "Another ', 1))
    os.utime(path, ns=(1, 1))
    assert not index.fresh([path])
    assert index.find(code, [path]) is None
    assert reader.read == [path.name] * 2


def test_a_broken_file_and_one_that_is_gone_have_no_codes(tmp_path: Path) -> None:
    broken, gone = tmp_path / "broken.toml", tmp_path / "gone.toml"
    broken.write_text("no build at all")
    index = CodesElsewhere(read_build)
    assert index.find(next(iter(codes_of(SAMPLES[0]).values())), [broken, gone, SAMPLES[0]]) is not None
    index.learn([broken, gone])
    assert index.fresh([broken, gone])


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
    found = shop.run_of_code(code)
    assert found is not None
    assert (found[0].name, found[1]) == (first.name, "rack/Z9")
    shop.close()


def _racked_code(shop: Shop) -> str:
    assert shop.run is not None
    return with_racked(shop.run, shop.state).codes["rack/Z9"]


@pytest.mark.parametrize("code", ["", "0000000000", "nonsense"])
def test_a_code_that_nobody_knows_is_nobodys(code: str) -> None:
    assert CodesElsewhere(read_build).find(code, SAMPLES) is None
