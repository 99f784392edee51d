"""Untrusted pictures: opened within bounds, or refused with a sentence."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.paper.shop_labels import LABELS, label_png
from tracker.paper.sheets import sheet_named
from tracker.scan import look_at_picture, open_picture
from tracker.scan.picture import MAX_BYTES

LABEL = label_png(LABELS[0], sheet_named("a4-2x7"))


def _saved(image: Image.Image, kind: str, **options: object) -> bytes:
    file = io.BytesIO()
    image.save(file, kind, **options)
    return file.getvalue()


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _png_that_claims(width: int, height: int) -> bytes:
    """A PNG of a few bytes whose header promises a huge picture."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    data = zlib.compress(bytes(1000))
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", header) + _chunk(b"IDAT", data) + _chunk(b"IEND", b"")


@pytest.mark.parametrize("size", [(3000, 3000), (15_000, 15_000), (60_000, 60_000)])
def test_a_png_that_would_take_the_memory_is_refused(size: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="pixels"):
        open_picture(_png_that_claims(*size))


@pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "WEBP", "PPM", "ICO"])
def test_only_png_and_jpeg_are_opened(kind: str) -> None:
    with pytest.raises(ValueError, match="neither a PNG nor a JPEG"):
        open_picture(_saved(Image.new("RGB", (32, 32)), kind))


@pytest.mark.parametrize(
    "data", [b"", b"\x89PNG\r\n\x1a\n", LABEL[:60], LABEL[: len(LABEL) // 2], b"%PDF-1.4", b"a" * 99]
)
def test_what_is_cut_short_or_no_picture_is_refused_with_a_sentence(data: bytes) -> None:
    with pytest.raises(ValueError, match="picture"):
        open_picture(data)


def test_a_file_that_is_too_large_or_missing_or_a_folder_is_refused(tmp_path: Path) -> None:
    huge = tmp_path / "huge.png"
    with huge.open("wb") as file:
        file.truncate(MAX_BYTES + 1)
    for path in (huge, tmp_path / "none.png", tmp_path):
        with pytest.raises(ValueError, match="picture"):
            open_picture(path)


@given(st.binary(max_size=200), st.integers(0, len(LABEL) - 1))
@settings(max_examples=150, deadline=None)
def test_a_damaged_file_is_a_picture_or_a_sentence(noise: bytes, at: int) -> None:
    data = LABEL[:at] + noise + LABEL[at + len(noise) :]
    try:
        picture = open_picture(data)
    except ValueError as problem:
        said = str(problem)
    else:
        said = "a picture" if picture.image.mode in ("L", "RGB") else picture.image.mode
    assert "picture" in said


@pytest.mark.parametrize("turn", range(1, 9))
def test_a_picture_is_turned_as_its_camera_says(turn: int) -> None:
    upright = Image.open(io.BytesIO(LABEL)).convert("L")
    undo = {1: None, 2: 0, 3: 3, 4: 1, 5: 5, 6: 2, 7: 6, 8: 4}[turn]
    stored = upright if undo is None else upright.transpose(Image.Transpose(undo))
    exif = Image.Exif()
    exif[274] = turn
    picture = open_picture(_saved(stored, "JPEG", exif=exif, quality=95))
    assert picture.image.size == upright.size
    (found,) = look_at_picture(_saved(stored, "JPEG", exif=exif, quality=95)).found
    (straight,) = look_at_picture(LABEL).found
    assert found.text == straight.text == LABELS[0].code
    for one, other in zip(found.corners, straight.corners, strict=True):
        assert one == pytest.approx(other, abs=3)


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGB", "RGBA", "LA", "I;16"])
def test_every_kind_of_png_reads(mode: str) -> None:
    label = Image.open(io.BytesIO(LABEL)).convert("L")
    if mode == "I;16":
        picture = Image.frombytes("I;16", label.size, b"".join(bytes((0, level)) for level in label.tobytes()))
    elif mode in ("RGBA", "LA"):  # ink on nothing at all
        picture = Image.new("RGBA", label.size, (0, 0, 0, 0))
        picture.putalpha(label.point(lambda level: 255 - level))
        picture = picture.convert(mode)
    else:
        picture = label.convert(mode)
    assert [found.text for found in look_at_picture(_saved(picture, "PNG")).found] == [LABELS[0].code]


def test_a_large_photograph_is_decoded_smaller_and_its_corners_are_the_files_own() -> None:
    label = Image.open(io.BytesIO(LABEL)).convert("L")
    photo = Image.new("L", (4800, 3600), 190)
    photo.paste(label.resize((label.width * 2, label.height * 2)), (1500, 1200))
    data = _saved(photo, "JPEG", quality=85)
    picture = open_picture(data)
    assert picture.image.width * picture.image.height <= 8_000_000
    (found,) = look_at_picture(data).found
    (straight,) = look_at_picture(LABEL).found
    assert found.text == LABELS[0].code
    for (x, y), (x0, y0) in zip(found.corners, straight.corners, strict=True):
        assert (x, y) == pytest.approx((1500 + 2 * x0, 1200 + 2 * y0), abs=6)


def test_a_path_reads_like_the_bytes_of_it(tmp_path: Path) -> None:
    (tmp_path / "label.png").write_bytes(LABEL)
    path = tmp_path / "label.png"
    assert look_at_picture(path) == look_at_picture(str(path)) == look_at_picture(LABEL)
