"""The sounds of the clocks: few, of our own, in the band that ear muffs and small loudspeakers let through."""

from __future__ import annotations

import threading
import wave
from pathlib import Path

import numpy as np
import pytest

from tracker.screens.device.sound import RATE, SOUNDS, Sounds, samples, sound_file


@pytest.mark.parametrize("name", SOUNDS)
def test_nearly_all_of_a_sound_lies_between_500_and_3000_hz(name: str, tmp_path: Path) -> None:
    """Goal T10: at least 80 % of the energy, by the Fourier transform of the file that is played."""
    with wave.open(str(sound_file(tmp_path, name)), "rb") as file:
        assert file.getframerate() == RATE
        heard = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(float)
    energy = np.abs(np.fft.rfft(heard)) ** 2
    pitch = np.fft.rfftfreq(len(heard), 1 / RATE)
    assert energy[(pitch >= 500) & (pitch <= 3000)].sum() / energy.sum() >= 0.8
    assert 0.5 < np.abs(heard).max() / 32_767 < 1, "loud, and not clipped"
    assert len(heard) / RATE < 1.5, "it is heard again soon enough"


def test_there_are_four_sounds_at_most_and_no_two_alike() -> None:
    assert len(SOUNDS) <= 4
    length = max(len(samples(name)) for name in SOUNDS)
    shapes = [np.abs(np.fft.rfft(samples(name), length)) for name in SOUNDS]
    alike = [
        float(one @ other / np.linalg.norm(one) / np.linalg.norm(other))
        for at, one in enumerate(shapes)
        for other in shapes[:at]
    ]
    assert max(alike) < 0.9


class Loudspeaker:
    """A sound as from Kivy's loader, with a record of what was played, and where."""

    def __init__(self, length: float = 1.0) -> None:
        self.length = length
        self.calls: list[str] = []

    def play(self) -> None:
        self.calls.append(threading.current_thread().name)


def test_a_sound_is_loaded_once_and_played_away_from_the_screen_s_thread(tmp_path: Path) -> None:
    loudspeaker, loaded = Loudspeaker(), []
    sounds = Sounds(tmp_path, {}, lambda path: loaded.append(path) or loudspeaker)
    for _ in range(3):
        sounds.play("done")
    sounds.wait()
    assert (len(loudspeaker.calls), sounds.played) == (3, 3)
    assert loaded == [tmp_path / "done.wav"]
    assert threading.current_thread().name not in loudspeaker.calls
    sounds.close()


def test_sound_can_be_switched_off_and_on(tmp_path: Path) -> None:
    loudspeaker, settings = Loudspeaker(), {"sound": "off"}
    sounds = Sounds(tmp_path, settings, lambda path: loudspeaker)
    sounds.play("late")
    settings["sound"] = "on"
    sounds.play("late")
    sounds.wait()
    assert sounds.played == 1
    sounds.close()


@pytest.mark.parametrize("loaded", [None, Loudspeaker(0.0)], ids=["no loader", "no device"])
def test_where_there_is_no_loudspeaker_it_is_said_and_nothing_breaks(loaded: object, tmp_path: Path) -> None:
    """Kivy gives a sound of length zero if no device could be opened."""
    sounds = Sounds(tmp_path, {}, lambda path: loaded)
    assert sounds.trouble == ""
    sounds.play("done")
    sounds.wait()
    assert "no loudspeaker" in sounds.trouble
    assert sounds.played == 0
    sounds.close()


def test_a_folder_that_can_t_be_written_is_said_too(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    sounds = Sounds(tmp_path / "file" / "sounds", {})
    sounds.play("done")
    sounds.wait()
    assert "can't be played" in sounds.trouble
    sounds.close()


def test_kivy_s_own_player_plays_them(kivy_window: object, tmp_path: Path) -> None:
    sounds = Sounds(tmp_path, {})
    for name in SOUNDS:
        sounds.play(name)
    sounds.wait()
    assert (sounds.played, sounds.trouble) == (len(SOUNDS), "")
    sounds.close()
