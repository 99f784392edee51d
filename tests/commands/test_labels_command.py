"""`kerfcard labels` as used by a person at a desk; the codes are read back by an independent reader."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from click.testing import CliRunner, Result
from PIL import Image

from tracker.cli.main import commands
from tracker.shop import read_build
from tracker.work.run import Run, start_run

STOOL = Path(__file__).parent.parent.parent / "sample_projects" / "stool.toml"
QR = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)


def labels(*words: str | Path, build: Path = STOOL) -> Result:
    return CliRunner().invoke(commands, ["labels", str(build), *(str(word) for word in words)])


@pytest.fixture
def run() -> Run:
    build = read_build(STOOL).build
    assert build is not None
    return start_run(build)


def codes_of(picture: Image.Image) -> list[tuple[str, float, float]]:
    """The codes on a page with their top left corners, as fractions of the page."""
    found = zxingcpp.read_barcodes(picture, formats=QR)
    corners = [(code.text, code.position.top_left) for code in found]
    return [(text, at.x / picture.width, at.y / picture.height) for text, at in corners]


def pages_of(pdf: Path) -> list[Image.Image]:
    document = pypdfium2.PdfDocument(pdf)
    pages = [page.render(scale=200 / 72, grayscale=True).to_pil() for page in document]
    document.close()
    return pages


def test_without_more_said_pieces_and_assemblies_and_with_boards_the_rack_too(run: Run, tmp_path: Path) -> None:
    for extra, keys in (((), set(run.items)), (("--boards",), set(run.codes))):
        result = labels("-o", tmp_path / "x.pdf", *extra)
        assert result.exit_code == 0, result.output
        printed = {text for page in pages_of(tmp_path / "x.pdf") for text, _, _ in codes_of(page)}
        assert printed == {run.codes[key] for key in keys}
        assert f"{len(keys)} labels on 2 pages" in result.stdout


def test_only_some_on_a_used_sheet(run: Run, tmp_path: Path) -> None:
    result = labels(
        "-o", tmp_path / "x.pdf", "--only", "leg:2", "--only", "rack/K1", "--start", "4", "--sheet", "a4-2x7"
    )
    assert result.exit_code == 0, result.output
    (page,) = pages_of(tmp_path / "x.pdf")
    where = {text: (x, y) for text, x, y in codes_of(page)}
    assert set(where) == {run.codes["leg:2"], run.codes["rack/K1"]}
    leg, board = where[run.codes["leg:2"]], where[run.codes["rack/K1"]]
    assert leg[0] > 0.5 > board[0], "place 4 is on the right, place 5 on the left"
    assert board[1] - leg[1] == pytest.approx(38.1 / 297, abs=0.002), "one row further down"


def test_pictures_of_the_pages_at_the_printers_own_dots(run: Run, tmp_path: Path) -> None:
    result = labels("--png", tmp_path / "pages", "--dpi", "203", "--sheet", "a4-2x7")
    assert result.exit_code == 0, result.output
    paths = [Path(line) for line in result.stdout.splitlines()]
    pictures = [Image.open(path) for path in paths]
    assert {picture.size for picture in pictures} == {(round(210 / 25.4 * 203), round(297 / 25.4 * 203))}
    assert [picture.info["dpi"][0] for picture in pictures] == pytest.approx([203, 203], abs=0.5)
    printed = {text for picture in pictures for text, _, _ in codes_of(picture.convert("L"))}
    assert printed == {run.codes[key] for key in run.items}


def test_a_measuring_page_has_no_codes(tmp_path: Path) -> None:
    result = labels("-o", tmp_path / "m.pdf", "--measuring-page")
    assert result.exit_code == 0, result.output
    (page,) = pages_of(tmp_path / "m.pdf")
    assert not codes_of(page)
    assert page.getextrema() == (0, 255), "but something is drawn"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--only", "leg:9"), "no leg:9"),
        (("--start", "15", "--sheet", "a4-2x7"), "places 1 to 14"),
        (("--start", "0"), "no place 0"),
        (("--dpi", "299"), "299 dots"),
    ],
)
def test_what_there_is_not_is_said_before_a_file_is_begun(words: tuple[str, ...], said: str, tmp_path: Path) -> None:
    result = labels("-o", tmp_path / "x.pdf", *words)
    assert result.exit_code == 1
    assert said in result.stderr
    assert not (tmp_path / "x.pdf").exists()


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    result = labels("-o", tmp_path / "none" / "x.pdf")
    assert result.exit_code == 1
    assert "No such file or directory" in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_a_machine_without_cups_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    result = labels("--printer", "bench")
    assert result.exit_code == 1
    assert "no CUPS" in result.stderr


def test_nowhere_to_print_to_is_a_wrong_command_line(tmp_path: Path) -> None:
    assert labels().exit_code == 2
    assert labels("--measuring-page", "--png", tmp_path).exit_code == 2


def test_a_sign_that_no_font_has_is_said(tmp_path: Path) -> None:
    build = tmp_path / "stool.toml"
    build.write_text(STOOL.read_text().replace('name = "Leg"', 'name = "Leg 脚"'))
    result = labels("-o", tmp_path / "x.pdf", build=build)
    assert result.exit_code == 0, result.output
    assert "No font here has 脚: a box prints instead." in result.stderr
    assert "No font" not in labels("-o", tmp_path / "y.pdf").stderr


def test_a_part_whose_labels_are_off_gets_none_and_the_rest_do(tmp_path: Path) -> None:
    build = tmp_path / "stool.toml"
    build.write_text(STOOL.read_text().replace('name = "Seat board"\n', 'name = "Seat board"\nlabels = false\n'))
    loaded = read_build(build).build
    assert loaded is not None
    run = start_run(loaded)
    result = labels("-o", tmp_path / "x.pdf", build=build)
    assert result.exit_code == 0, result.output
    printed = {text for page in pages_of(tmp_path / "x.pdf") for text, _, _ in codes_of(page)}
    wanted = {run.codes[key] for key, item in run.items.items() if item.id != "seat-board"}
    assert {text.rsplit(":")[-1].rsplit("/")[-1] for text in printed} == wanted or printed == wanted
