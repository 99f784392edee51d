"""Labels by touch: all, only new ones, one again; a used sheet; a printer, several or none."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from kit import boxes, walk
from kit.driver import Driver
from kit.story import Maker, new_app

from tracker.screens.toolkit.buttons import BigButton
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES
from tracker.work.decide.intents import Do, Rack, Spoil

QR = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    """A maker at the labels of the stool: 11 pieces, 5 assemblies and 2 boards on the rack."""
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    maker.open("Kitchen stool")
    maker.go("labels")
    return maker


def tap(maker: Maker, words: str) -> None:
    """Tap a button and wait for the work that it started."""
    maker.driver.tap_text(words)
    maker.driver.until_thread(lambda: not maker.app.root.screen.busy)
    maker.driver.run_for(0.4, 0.05)


def other(maker: Maker, words: str) -> None:
    """Choose one of the rarer actions."""
    tap(maker, "Other labels")
    tap(maker, words)


@pytest.mark.parametrize("size", SCREEN_SIZES)
def test_whatever_it_says_fits_on_both_screens(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path / "nowhere"))
    monkeypatch.setenv("HOME", str(tmp_path))  # paths read as in a person's own folder
    width, height, dpi = SCREEN_SIZES[size]
    app = new_app(tmp_path / "kerfcard", hand_time)
    maker = Maker(run_app(app, (width, height), dpi))
    maker.open("Kitchen stool")
    guide = Guide(app, maker.driver)
    for frame in ("frame:1", "frame:2"):  # as many clocks as a screen shows
        guide.work(frame, until="unclamp")
    maker.scan("stretcher:2")
    maker.go("labels")
    app.shop.settings["label sheet"] = "a4-2x4"
    app.root.screen.draw()
    wrong = []

    def judge(where: str) -> None:
        wrong.extend(f"{where}: {violation}" for violation in maker.driver.judge(*walk.ALL_RULES))

    tap(maker, "Skip a row")
    judge("a used sheet")
    for words in ("Test page", "Just one label", "Send to printer", "Make labels", "Send to printer"):
        if words in ("Test page", "Just one label"):
            tap(maker, "Other labels")
            judge("Other labels")
        tap(maker, words)
        maker.driver.until_thread(lambda: not app.root.screen.busy)
        judge(words)
    maker.driver.tap_text(app.root.screen.sheet_words)
    judge("the sheets there are")
    maker.driver.tap_text("Other sheets")
    judge("the other sheets")
    tap(maker, "Letter, 10 labels")
    assert app.root.screen.sheet.name == "letter-2x5"
    judge("another sheet")
    assert not wrong, "\n".join(wrong)


def codes_on(pdf: Path) -> list[list[tuple[str, float, float]]]:
    """The codes of each page with their places (fractions of the page from its top left), by an independent reader."""
    pages = []
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        picture = page.render(scale=200 / 72, grayscale=True).to_pil()
        found = zxingcpp.read_barcodes(picture, formats=QR)
        corners = [(code.text, code.position.top_left) for code in found]
        pages.append([(text, at.x / picture.width, at.y / picture.height) for text, at in corners])
    document.close()
    return pages


def printed(pdf: Path) -> set[str]:
    return {text for page in codes_on(pdf) for text, _, _ in page}


def test_all_are_labelled_and_then_nothing_is_new(maker: Maker, tmp_path: Path) -> None:
    run = maker.app.shop.run
    tap(maker, "Make labels")
    pdf = tmp_path / "labels" / "Kitchen stool new labels.pdf"
    assert printed(pdf) == set(run.codes.values()), "every piece, assembly and board"
    assert maker.app.shop.state.labelled(run) == set(run.codes)
    assert maker.driver.find_text("Send to printer").sub_text == pdf.stem, "the next thing"
    maker.app.root.screen.start_further(1)
    maker.driver.run_for(0.4, 0.05)
    button = maker.driver.find_text("Make labels")
    assert button.disabled
    assert button.sub_text == "all have a label"
    assert [path.name for path in (tmp_path / "labels").iterdir()] == [pdf.name], "nothing half written lies about"


def test_new_are_those_without_a_label_also_after_a_restart_and_undo_takes_a_sheet_back(
    maker: Maker, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    run = maker.app.shop.run
    maker.scan("leg:2")
    maker.go("labels")
    other(maker, "Just one label")
    assert printed(tmp_path / "labels" / "Kitchen stool Leg 2 of 4.pdf") == {run.codes["leg:2"]}
    maker.driver.stop()

    again = Maker(run_app(new_app(tmp_path, hand_time)))
    again.go("labels")
    assert again.driver.find_text("Make labels").sub_text == f"{len(run.codes) - 1} without a label"
    tap(again, "Make labels")
    pdf = tmp_path / "labels" / "Kitchen stool new labels.pdf"
    assert printed(pdf) == set(run.codes.values()) - {run.codes["leg:2"]}
    tap(again, "Undo")
    assert again.app.shop.state.labelled(run) == {"leg:2"}
    tap(again, "Undo")
    assert not again.app.shop.state.labelled(run)
    assert again.driver.find_text("Undo").disabled


def test_a_used_sheet_is_begun_at_its_first_free_place(maker: Maker, tmp_path: Path) -> None:
    for words in ("Skip a row", "Skip a row", "Skip one"):  # A4, 2 across and 7 down: the 6th place
        tap(maker, words)
    assert "First free label: 6 of 14" in maker.driver.texts()
    maker.scan("leg:2")
    maker.go("labels")
    other(maker, "Just one label")
    ((_, across, down),) = codes_on(tmp_path / "labels" / "Kitchen stool Leg 2 of 4.pdf")[0]
    assert across > 0.5, "in the second column"
    third_row = (15.15 + 2 * 38.1) / 297
    assert third_row < down < third_row + 38.1 / 297
    for _ in range(6):
        tap(maker, "Skip a row")
    assert "First free label: 4 of 14" in maker.driver.texts(), "after the last place comes the first"


def test_the_measuring_page_is_one_click_and_labels_nothing(maker: Maker, tmp_path: Path) -> None:
    other(maker, "Test page")
    (page,) = (tmp_path / "labels").glob("*.pdf")
    document = pypdfium2.PdfDocument(page)
    assert [side / 72 * 25.4 for side in document[0].get_size()] == pytest.approx([210, 297], abs=0.1)
    document.close()
    assert "Hall bench#1" not in maker.app.shop.state.sheets


def test_without_a_printer_one_sentence_says_so(maker: Maker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert maker.driver.find_text("Make labels"), "there is nothing to send yet"
    other(maker, "Make all")
    monkeypatch.setenv("PATH", str(tmp_path / "nowhere"))
    tap(maker, "Send to printer")
    maker.driver.until_thread(lambda: not maker.app.root.screen.busy)
    assert maker.app.root.screen.said == (
        "This machine has no CUPS to print through; print the PDF from another program, at 100 %."
    )


def print_system(folder: Path, *names: str) -> None:
    """A simulated print system with the usual commands: everything sent to it is in `folder`."""
    folder.mkdir()
    lines = "".join(f"{name}\\n" for name in names)
    scripts = {
        "lpstat": f"#!/bin/sh\n[ \"$1\" = -e ] && printf '{lines}' || echo 'no system default destination'\n",
        "lp": f'#!/bin/sh\n/bin/cat > "{folder}/$2.pdf"\necho "request id is $2-7 (1 file(s))"\n',
    }
    for name, script in scripts.items():
        (folder / name).write_text(script)
        (folder / name).chmod(0o755)


def test_the_one_printer_gets_what_was_made(maker: Maker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    print_system(tmp_path / "system", "bench")
    monkeypatch.setenv("PATH", str(tmp_path / "system"))
    other(maker, "Make all")
    tap(maker, "Send to printer")
    assert maker.app.root.screen.said == "Sent to the printer: bench-7. Check one label with a ruler."
    made = (tmp_path / "labels" / "Kitchen stool labels.pdf").read_bytes()
    assert (tmp_path / "system" / "bench.pdf").read_bytes() == made


def test_of_several_printers_one_is_chosen(maker: Maker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    print_system(tmp_path / "system", "bench", "office")
    monkeypatch.setenv("PATH", str(tmp_path / "system"))
    other(maker, "Make all")
    tap(maker, "Send to printer")
    tap(maker, "office")
    assert (tmp_path / "system" / "office.pdf").exists()
    assert not (tmp_path / "system" / "bench.pdf").exists()


def test_a_folder_that_cannot_be_written_is_said_and_nothing_counts_as_labelled(maker: Maker, tmp_path: Path) -> None:
    (tmp_path / "labels").write_text("a file where the folder should be")
    other(maker, "Make all")
    assert maker.app.root.screen.said.startswith("The PDF can't be written")
    assert "Hall bench#1" not in maker.app.shop.state.sheets
    assert not maker.driver.find_text("Make labels").disabled


def test_labels_that_are_ready_after_another_build_was_opened_are_not_counted_there(maker: Maker) -> None:
    screen = maker.app.root.screen
    screen.make_all()
    maker.open("Hall bench")
    maker.driver.until_thread(lambda: not screen.busy)
    assert "Hall bench#1" not in maker.app.shop.state.sheets


def test_scanning_a_board_says_what_of_it_is_clear(maker: Maker) -> None:
    maker.go("scan")
    maker.scan("rack/K1")
    # The file says 815 mm of 100 × 27 mm, split up to 40 and a knot from 512 to 540; the shop trims 20 mm off an end.
    assert maker.app.root.screen.said == (
        "Board K1 on the rack: white ash, 815 mm × 100 mm × 27 mm, clear: 472 mm + 255 mm."
    )


def test_the_label_of_one_board_is_printed_alone_and_again(maker: Maker, tmp_path: Path) -> None:
    run = maker.app.shop.run
    for _ in range(2):
        other(maker, "A rack board")
        assert "Which board?" in maker.driver.texts()
        tap(maker, "Board K2")
        assert printed(tmp_path / "labels" / "Kitchen stool Board K2.pdf") == {run.codes["rack/K2"]}
        assert maker.app.shop.state.labelled(run) == {"rack/K2"}
    other(maker, "A rack board")
    said = [text for text in maker.driver.texts() if text.endswith(("has a label", "no label yet"))]
    assert [text.rpartition(", ")[2] for text in said if "ash" in text] == ["no label yet", "has a label"]


def test_an_offcut_that_went_to_the_rack_is_labelled_and_found(maker: Maker, tmp_path: Path) -> None:
    app = maker.app
    wood = app.shop.run.build.woods[0].id
    assert app.shop.do(Rack("N7", wood, 320 * 410, f"{wood}/1")) is None
    maker.driver.run_for(0.4, 0.05)
    code = app.floor().run.codes["rack/N7"]
    other(maker, "A rack board")
    tap(maker, "Board N7")
    assert printed(tmp_path / "labels" / "Kitchen stool Board N7.pdf") == {code}
    maker.driver.scan(code)
    assert app.root.said.startswith("Board N7 on the rack: ")
    assert "410 mm" in app.root.said


def test_what_was_printed_elsewhere_is_counted_and_that_can_be_undone(maker: Maker, tmp_path: Path) -> None:
    run = maker.app.shop.run
    other(maker, "Already printed")
    assert maker.app.shop.state.labelled(run) == set(run.codes)
    assert not (tmp_path / "labels").exists()
    assert maker.driver.find_text("Make labels").disabled
    tap(maker, "Other labels")
    assert "Already printed" not in maker.driver.texts()
    tap(maker, "Back")
    tap(maker, "Undo")
    assert not maker.app.shop.state.labelled(run)


def test_a_piece_that_is_made_again_is_printed_with_what_is_new(
    maker: Maker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path / "nowhere"))
    app, run = maker.app, maker.app.shop.run
    other(maker, "Make all")
    assert app.shop.do(Do("leg:2", run.items["leg:2"].route[0].id)) is None
    assert app.shop.do(Spoil("leg:2", "split")) is None
    maker.driver.run_for(0.4, 0.05)
    tap(maker, "Send to printer")
    maker.driver.until_thread(lambda: not app.root.screen.busy)
    assert maker.driver.find_text("Make labels").sub_text == "1 without a label", "sent or not, what is new comes next"
    tap(maker, "Make labels")
    assert printed(tmp_path / "labels" / "Kitchen stool new labels.pdf") == {run.codes["leg:2"]}
    assert app.shop.state.labelled(run) == set(run.codes)


def test_what_is_next_is_the_one_large_thing_among_few(maker: Maker) -> None:
    """At most 7 blocks of words, one of them large: first to make, then to send."""
    screen = maker.app.root.screen
    for said in ("Make labels", "Send to printer"):
        maker.driver.run_for(0.4, 0.05)
        blocks = [child for side in screen.children for child in side.children if boxes.words(child)]
        assert len(blocks) <= 7, [[each.text for each in boxes.words(block)] for block in blocks]
        (large,) = maker.driver.find(BigButton)
        assert large.text == said
        assert not large.disabled
        if said == "Make labels":
            tap(maker, said)
