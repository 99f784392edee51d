"""Rendered photographs: the codes read, their places, and that no code is invented."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image

from tests.bench.scan_wrong import KINDS, look
from tests.scan.frames import Damage, Frame, corners, dusty, empty, frame, label, photographed, placed, wood
from tracker.scan import FrameReader, Looked, look_at
from tracker.scan.damaged_label import SURE_SCORE, _judged, _Laid, read_patiently
from tracker.scan.decode import likeliest_of, likeliest_of_all
from tracker.scan.symbol import data_bits, data_places
from tracker.work.codes import code_for, is_code

CODE = code_for("stool", "leg:2")
OTHERS = tuple(code_for("stool", f"part:{number}") for number in range(200))

DAMAGES = {
    "clean": Damage(),
    "fine dust": Damage(fine=0.25),
    "thick dust": Damage(fine=0.40),
    "chips": Damage(coarse=0.20),
    "strokes": Damage(strokes=2),
    "a finder torn": Damage(fine=0.15, torn=True),
    "steep": Damage(tilt=(60.0, 60.0), module=(3.0, 8.0)),
}


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("name", DAMAGES)
def test_a_label_is_read_through_what_the_shop_does_to_it(name: str, seed: int) -> None:
    picture = frame(CODE, 40 + seed, DAMAGES[name])
    assert {found.text for found in look_at(picture).found} == {CODE}


@pytest.mark.parametrize("name", ["clean", "thick dust", "steep"])
def test_the_corners_are_where_the_code_is(name: str) -> None:
    chance = np.random.default_rng(7)
    paper, bench = dusty(label(CODE, chance), chance, DAMAGES[name]), wood(chance)
    seat = placed(chance, DAMAGES[name])
    picture = photographed(bench, paper, seat, chance)
    reading = read_patiently(np.ascontiguousarray(picture[..., 0]))
    assert reading is not None
    assert reading.code == CODE
    module = np.sqrt(cv2.contourArea(corners(seat).astype(np.float32))) / 21
    assert np.abs(np.array(reading.corners) - corners(seat)).max() < module


def test_grey_colour_and_pillow_pictures_read_alike() -> None:
    picture = frame(CODE, 50, DAMAGES["fine dust"])
    grey = np.asarray(cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY), np.uint8)
    pictures: list[Frame | Image.Image] = [
        picture,
        grey,
        Image.fromarray(picture[..., ::-1].copy()),
        Image.fromarray(grey),
    ]
    for image in pictures:
        assert {found.text for found in look_at(image).found} == {CODE}


def test_a_bench_without_a_label_gives_nothing() -> None:
    for seed in range(6):
        assert look_at(empty(seed), OTHERS) == Looked()


@pytest.mark.parametrize("shape", [(1, 1), (2, 40), (17, 17), (60, 90), (720, 3)])
def test_a_picture_of_any_size_can_be_looked_at(shape: tuple[int, int]) -> None:
    for level in (0, 255):
        assert look_at(np.full(shape, level, np.uint8), OTHERS) == Looked()
    assert look_at(np.random.default_rng(1).integers(0, 255, shape).astype(np.uint8), OTHERS) == Looked()


def test_somebody_elses_code_is_found_and_not_valid() -> None:
    encoder = cv2.QRCodeEncoder.create()
    symbol = np.pad(
        np.kron(encoder.encode("https://example.org/a"), np.ones((6, 6), np.uint8)), 60, constant_values=255
    )
    (found,) = look_at(symbol).found
    assert found.text == "https://example.org/a"
    assert not found.valid


def _soft(code: str, wrong: int, seed: int) -> np.ndarray:
    """The soft bits of a code, noisy, `wrong` of them on the wrong side."""
    chance = np.random.default_rng(seed)
    bits = (data_bits(code) * 2.0 - 1.0) * np.abs(chance.normal(0.8, 0.25, 208))
    spoilt = chance.choice(208, wrong, replace=False)
    bits[spoilt] *= -0.5
    return bits.astype(np.float32)


def test_bits_that_reed_solomon_gives_up_on_are_read() -> None:
    # Level H of version 1 puts right 8 of 26 words (ISO/IEC 18004, table 9); here some 20 words are wrong.
    for seed in range(20):
        best = likeliest_of_all(_soft(CODE, 30, seed))
        assert best is not None
        assert best.text == CODE
        assert best.lead > 0.14


def _struck(code: str, seed: int) -> np.ndarray:
    """The soft bits of a code with a thick pencil line across three columns, which read as surely dark."""
    soft = _soft(code, 10, seed)
    _, columns = data_places()
    first = 1 + 7 * (seed % 3)
    soft[(columns >= first) & (columns < first + 3)] = 1.3
    return soft


def test_bits_that_are_sure_and_wrong_in_one_place_are_left_out_of_the_choice() -> None:
    plain = [likeliest_of_all(_struck(CODE, seed)) for seed in range(24)]
    persistent = [likeliest_of_all(_struck(CODE, seed), persistent=True) for seed in range(24)]
    assert [guess.text for guess in persistent if guess] == [CODE] * 24
    assert sum(guess is None or guess.text != CODE for guess in plain) >= 4


def test_being_persistent_makes_nothing_up() -> None:
    chance = np.random.default_rng(6)
    for _ in range(20):
        best = likeliest_of_all(chance.normal(0, 0.6, 208).astype(np.float32), persistent=True)
        assert best is None or best.score < SURE_SCORE


def test_where_the_decoder_read_somebody_elses_code_nothing_is_looked_for() -> None:
    picture = frame(CODE, 44)
    grey = np.ascontiguousarray(picture[..., 0])
    reading = read_patiently(grey)
    assert reading is not None
    assert reading.code == CODE
    assert read_patiently(grey, others=[reading.corners]) is None


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_read_wrongly_in_a_few_frames_of_every_kind(kind: str) -> None:
    # The long count: python -m tests.bench.scan_wrong
    assert not any(look(kind, number)["wrong"] for number in range(1, 5))


def test_among_live_codes_a_ruined_one_is_told_and_a_stranger_is_not() -> None:
    for seed in range(20):
        best, second = likeliest_of(_soft(CODE, 55, seed), (*OTHERS, CODE))
        assert best.text == CODE
        assert best.score > 0.2 + second.score
        stranger = likeliest_of(_soft(CODE, 55, seed), OTHERS)[0]
        assert stranger.score < 0.45
    assert likeliest_of(_soft(CODE, 0, 1), ()) == []
    assert [guess.text for guess in likeliest_of(_soft(CODE, 0, 1), (CODE,))] == [CODE]


def test_pure_noise_is_never_a_code() -> None:
    chance = np.random.default_rng(5)
    for _ in range(200):
        best = likeliest_of_all(chance.normal(0, 0.6, 208).astype(np.float32))
        assert best is None or best.lead < 0.14 or not is_code(best.text)


def _ruined(seed: int) -> Frame:
    return frame(CODE, seed, Damage(fine=0.55, coarse=0.3, strokes=3, module=(4.0, 7.0)))


def test_a_label_that_cannot_be_told_asks_with_two_live_codes_or_keeps_silent() -> None:
    """A few; `python -m tests.bench.scan_wrong` counts thousands."""
    for seed in range(60, 64):
        looked = look_at(_ruined(seed), (*OTHERS, CODE))
        assert {found.text for found in looked.found} <= {CODE}
        assert looked.maybe == () or not looked.found
        assert set(looked.maybe) <= {*OTHERS, CODE}
        assert {found.text for found in look_at(_ruined(seed), OTHERS).found} <= {CODE}


def test_a_camera_reads_a_clean_label_at_once_and_a_dusty_one_within_its_rhythm() -> None:
    assert [found.text for found in FrameReader().look(frame(CODE, 44)).found] == [CODE]
    watch = FrameReader(OTHERS)
    chance = np.random.default_rng(90)
    damage = Damage(coarse=0.2, module=(4.0, 6.0), tilt=(0.0, 25.0))
    paper, bench, seat = dusty(label(CODE, chance), chance, damage), wood(chance), placed(chance, damage)
    read = []
    for number in range(15):
        looked = watch.look(photographed(bench, paper, seat, chance))
        assert {found.text for found in looked.found} <= {CODE}
        if looked.found:
            read.append(number)
    assert read
    assert read[0] <= 8


def test_what_the_patient_reader_sees_in_a_single_frame_does_not_count_yet() -> None:
    watch = FrameReader()
    dusty_frame = frame(CODE, 40, DAMAGES["chips"])
    bench = empty(3)
    for number in range(12):  # the label shows in one of the patient reader's turns only
        looked = watch.look(dusty_frame if number == 5 else bench)
        assert not any(found.valid for found in looked.found)


@pytest.mark.parametrize(("lead", "sure"), [(0.15, False), (0.25, True)])
def test_a_live_code_counts_only_when_it_is_well_ahead_of_the_next(lead: float, sure: bool) -> None:
    """Two live labels whose bits are mixed and noisy: at a lead under 0.2 the person is asked."""
    one, other = (np.array(data_bits(code), np.float32) * 2 - 1 for code in (CODE, OTHERS[0]))
    for seed in range(20):
        soft = _mixed(one, other, lead, np.random.default_rng(seed))
        best, second = likeliest_of(soft, (CODE, OTHERS[0]))
        assert best.score - second.score == pytest.approx(lead, abs=0.02)
        assert best.score >= 0.45
        told = _judged(_Laid(HERE, 0.8, soft), (CODE, OTHERS[0]))
        assert (told.code, told.maybe) == ((CODE, ()) if sure else (None, (CODE, OTHERS[0])))


def _mixed(one: Any, other: Any, lead: float, chance: np.random.Generator) -> Any:
    """Soft bits for which `one` is likelier than `other` by `lead`, and with which it agrees in half."""
    noise = chance.normal(0, 1, one.size).astype(np.float32)
    for code in (one, other):
        noise -= code * (noise @ code) / one.size
    for share in np.linspace(0.5, 1.0, 501):
        mixed = share * one + (1 - share) * other
        soft = mixed / np.linalg.norm(mixed) + 1.5 * noise / np.linalg.norm(noise)
        if (one - other) @ soft / (np.linalg.norm(soft) * np.sqrt(one.size)) >= lead:
            return soft.astype(np.float32)
    raise AssertionError("no such mixture")


HERE = np.diag([8.0, 8.0, 1.0])
"""A code straight on, eight pixels a module."""
