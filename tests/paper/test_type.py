"""Words on paper are measured before they are set, and every character has a glyph."""

from __future__ import annotations

import importlib.util
import random
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from fontTools.ttLib import TTFont
from PIL import Image, ImageDraw, ImageFont

from tracker.fonts import BOLD, MONO, REGULAR, WIDE, font_path
from tracker.paper import type as setting

SIGNS = '0123456789°⁄″′×·–—−…"½ABCXYZabcxyzÄÖÜäöüßéèñçåøłŞğ \u2009\u00a0'


@pytest.mark.parametrize("weight", ["regular", "bold"])
def test_no_sign_of_a_label_is_a_box(weight: setting.Weight) -> None:
    for sign in SIGNS:
        assert setting.has_glyph(weight, sign), sign


def test_greek_and_cyrillic_have_glyphs_in_one_font_or_the_other() -> None:
    for sign in "ΑΩαωЖжЯя→↔▲":
        assert setting.has_glyph("bold", sign) or setting.has_glyph("wide", sign), sign


def test_a_sign_that_no_font_has_is_known_to_be_missing() -> None:
    assert not setting.has_glyph("bold", "中")
    assert not setting.has_glyph("wide", "中")


@pytest.mark.parametrize(
    ("text", "missing"),
    [("Leg 2 of 4", ""), ("Стол Ω", ""), ("桌 leg 桌子", "子桌"), ("23\u20095⁄8″ × 3″", ""), ("a\tb\u200b", "")],
)
def test_what_will_print_as_a_box_is_known_beforehand(text: str, missing: str) -> None:
    assert set(setting.missing(text)) == set(missing)


def test_paper_does_not_import_the_screens_library() -> None:
    assert "kivy" not in sys.modules or "tracker.screens" in sys.modules


def _ink(text: str, dots: int, weight: setting.Weight = "bold") -> tuple[int, int, int, int]:
    picture = Image.new("1", (2000, 200), 1)
    setting.put(ImageDraw.Draw(picture), 20, 150, text, weight, dots)
    rows, columns = np.nonzero(~np.asarray(picture))
    return int(columns.min()), int(rows.min()), int(columns.max()), int(rows.max())


@pytest.mark.parametrize("text", ["Leg 2 of 4", "23\u20095⁄8″ × 3″ × 13⁄64″", "1219 mm", "Jamb Äß", "Стол 1 of 2 →"])
@pytest.mark.parametrize("dots", [18, 40, 90])
def test_the_ink_is_no_wider_than_was_measured(text: str, dots: int) -> None:
    left, _, right, _ = _ink(text, dots)
    assert left >= 20 - dots * 0.06
    assert right <= 20 + setting.width(text, "bold", dots) + dots * 0.06


def test_a_fractions_figures_are_two_thirds_of_the_whole_numbers() -> None:
    dots = 100
    whole, fraction = _ink("8", dots), _ink("8⁄8", dots)
    assert setting.width("8", "bold", round(dots * setting.SMALL)) / setting.width("8", "bold", dots) >= 0.66
    # The numerator reaches up to where the whole number does, the denominator is on the line.
    assert abs(fraction[1] - whole[1]) <= 3
    assert abs(fraction[3] - whole[3]) <= 3


def test_capitals_are_as_high_as_the_layout_reckons() -> None:
    _, top, _, bottom = _ink("H", 100)
    assert (bottom - top + 1) / 100 == pytest.approx(setting.CAPITAL, abs=0.02)


def test_words_shrink_to_fit_and_only_then_are_cut_keeping_the_number() -> None:
    text = "Lower stretcher between the back legs 5 of 24"
    room = setting.width(text, "bold", 30)
    assert setting.fit(text, "bold", 60, 20, room) == (text, 30)
    words, dots = setting.fit(text, "bold", 60, 40, room)
    assert dots == 40
    assert words.endswith("… 5 of 24")
    assert setting.width(words, "bold", dots) <= room
    assert setting.fit("Wwwwwwwww", "bold", 40, 40, 60)[0].endswith("…")


@pytest.mark.parametrize(
    ("text", "room", "lines"),
    [
        ("Ring stave 4 of 12", 300, ["Ring stave", "4 of 12"]),
        ("1219.5 mm × 88.5 mm × 19 mm", 440, ["1219.5 mm ×", "88.5 mm ×", "19 mm"]),
        ("one", 10, ["one"]),
        ("", 10, [""]),
    ],
)
def test_lines_never_break_within_a_number(text: str, room: float, lines: list[str]) -> None:
    assert setting.wrap(text, "bold", 60, room) == lines


def shipped(file: str) -> Path:
    """Kivy's copy of a font, unchanged from its makers."""
    kivy = importlib.util.find_spec("kivy")
    assert kivy is not None
    assert kivy.origin is not None
    return Path(kivy.origin).parent / "data" / "fonts" / file


@pytest.mark.parametrize("file", [MONO, WIDE])
def test_our_fonts_are_those_that_kivy_ships_to_the_byte(file: str) -> None:
    assert font_path(file).read_bytes() == shipped(file).read_bytes()


@pytest.mark.parametrize("file", [REGULAR, BOLD])
def test_our_text_fonts_are_robotos_but_for_the_figures_of_fractions(file: str) -> None:
    """Every glyph of Roboto is there with its outline and width; new ones are small figures, 0.70 of a whole one."""
    ours, theirs = TTFont(font_path(file)), TTFont(shipped(file))
    count = theirs["maxp"].numGlyphs
    names = [ours.getGlyphName(number) for number in range(ours["maxp"].numGlyphs)]
    for number in range(count):
        one, other = ours.getGlyphName(number), theirs.getGlyphName(number)
        drawn = [font["glyf"][name].getCoordinates(font["glyf"]) for font, name in ((ours, one), (theirs, other))]
        assert [list(each) for each in drawn[0]] == [list(each) for each in drawn[1]]
        assert ours["hmtx"][one] == theirs["hmtx"][other]
    assert ours.getBestCmap().keys() == theirs.getBestCmap().keys()
    whole = TTFont(shipped(BOLD))["glyf"]["eight"]
    added = names[count:]
    assert len(added) == 20
    for name in added:
        small = ours["glyf"][name]
        if "eight" in name:
            assert (small.yMax - small.yMin) / (whole.yMax - whole.yMin) == pytest.approx(0.70, abs=0.005)


@pytest.mark.parametrize(
    ("licence", "words"),
    [("LICENSE-Roboto.txt", "Apache License"), ("LICENSE-DejaVu.txt", "Permission is hereby granted, free of charge")],
)
def test_each_font_has_its_licence_beside_it(licence: str, words: str) -> None:
    text = font_path(REGULAR).with_name(licence).read_text()
    assert words in text
    named = [file for file in (REGULAR, BOLD, MONO, WIDE) if file in text]
    assert named == ([WIDE] if "DejaVu" in licence else [REGULAR, BOLD, MONO])


def test_labels_are_drawn_where_kivy_and_its_files_are_not(tmp_path: Path) -> None:
    """A packed app keeps Kivy's files elsewhere, or has none."""
    sample = Path(__file__).parent.parent.parent / "sample_projects" / "stool.toml"
    program = "import sys; sys.modules['kivy'] = None; from tracker.cli.main import main; main()"
    words = [sys.executable, "-c", program, "labels", str(sample), "-o", str(tmp_path / "labels.pdf")]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(("weight", "file"), [("regular", REGULAR), ("bold", BOLD)])
def test_a_line_set_glyph_by_glyph_is_the_line_that_pillow_draws(weight: setting.Weight, file: str) -> None:
    chance = random.Random(1)
    signs = [*map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100))), *"″′×·–—−…½\u2009"]
    for _ in range(200):
        dots, text = chance.randint(12, 120), "".join(chance.choices(signs, k=chance.randint(1, 24)))
        font = ImageFont.truetype(str(font_path(file)), dots, layout_engine=ImageFont.Layout.BASIC)
        assert setting.width(text, weight, dots) == font.getlength(text, "1")
        theirs, ours = (Image.new("1", (3200, 300), 1) for _ in "ab")
        ImageDraw.Draw(theirs).text((50, 200), text, fill=0, font=font, anchor="ls")
        setting.put(ImageDraw.Draw(ours), 50, 200, text, weight, dots)
        assert ours.tobytes() == theirs.tobytes(), text
