"""The clocks' three sounds, synthesised here once, and played outside the screen's thread.

All frequencies are between 500 and 3000 Hz: ear muffs let these through, and small loudspeakers can play them. The
screen is the alarm; the sound only draws attention to it.
"""

from __future__ import annotations

import wave
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Protocol, cast

from tracker.whole_file import whole_file
from tracker.words import say

if TYPE_CHECKING:  # imported when a sound is first made, in its thread, and not before the first card
    import numpy as np
    from numpy.typing import NDArray

SoundName = Literal["soon", "late", "done"]
RATE = 44_100
"""Samples a second."""
_EDGE = 0.012
"""Seconds of fading in and out: without them a beep clicks, and a click has all frequencies."""
_OVERTONES = (1.0, 0.35)

# Seconds, and Hz (0 is silence).
_Note = tuple[float, float]
_SCORES: Mapping[SoundName, tuple[_Note, ...]] = {
    # Two short calls: it will end soon.
    "soon": ((0.14, 1175), (0.08, 0), (0.14, 1175)),
    # High and low in turn, fast: too late, act now.
    "late": ((0.12, 1480), (0.12, 1047)) * 4,
    # Three steps up, slowly: it is done, come when you like.
    "done": ((0.22, 784), (0.04, 0), (0.22, 988), (0.04, 0), (0.45, 1175)),
}
SOUNDS: tuple[SoundName, ...] = tuple(_SCORES)


def samples(name: SoundName) -> NDArray[np.float64]:
    """The sound as numbers from -1 to 1, `RATE` of them per second."""
    import numpy as np

    return np.concatenate([_note(seconds, pitch) for seconds, pitch in _SCORES[name]])


def _note(seconds: float, pitch: float) -> NDArray[np.float64]:
    import numpy as np

    at = np.arange(round(seconds * RATE)) / RATE
    if not pitch:
        return np.zeros_like(at)
    swell = np.minimum(1.0, np.minimum(at, seconds - at) / _EDGE)
    beep: NDArray[np.float64] = sum(
        (share * np.sin(2 * np.pi * pitch * (k + 1) * at) for k, share in enumerate(_OVERTONES)), np.zeros_like(at)
    )
    return swell * beep * (0.95 / np.max(np.abs(beep)))


def sound_file(folder: Path, name: SoundName) -> Path:
    """The sound as a file in `folder`, written if it doesn't exist yet. Raises OSError when that isn't possible."""
    path = folder / f"{name}.wav"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        with whole_file(path) as whole, wave.open(whole, "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(RATE)
            file.writeframes((samples(name) * 32_767).astype("<i2").tobytes())
    return path


class Playable(Protocol):
    """The result of Kivy's loader: without a length if it can't be played."""

    length: float

    def play(self) -> None: ...


def load_with_kivy(path: Path) -> Playable | None:
    """The file as a sound that this tablet can play."""
    from kivy.core.audio import SoundLoader

    return cast("Playable | None", SoundLoader.load(str(path)))


class Sounds:
    """Plays in its own thread. `settings["sound"]` is "on" (or missing) or "off".

    `trouble` is a sentence for the settings if this tablet can't play sounds: alarms are then visible only.
    """

    def __init__(
        self,
        folder: Path,
        settings: Mapping[str, str],
        load: Callable[[Path], Playable | None] = load_with_kivy,
    ) -> None:
        self.trouble = ""
        self.played = 0
        """How many sounds were started."""
        self._folder, self._settings, self._load = folder, settings, load
        self._loaded: dict[SoundName, Playable | None] = {}
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="kerfcard-sound")

    @property
    def on(self) -> bool:
        return self._settings.get("sound", "on") != "off"

    def play(self, name: SoundName) -> None:
        """Start a sound soon; nothing happens if sound is off or there is no loudspeaker."""
        if self.on:
            self._thread.submit(self._play, name)

    def probe(self, done: Callable[[], None]) -> None:
        """Find out whether sounds can be played; `done` is called in the thread when `trouble` is known."""
        self._thread.submit(self._probe, done)

    def _probe(self, done: Callable[[], None]) -> None:
        self._ready("done")
        done()

    def _play(self, name: SoundName) -> None:
        sound = self._ready(name)
        if sound is not None:
            sound.play()
            self.played += 1

    def _ready(self, name: SoundName) -> Playable | None:
        """The loaded sound; None, with `trouble` set, where it can't be played."""
        try:
            if name not in self._loaded:
                self._loaded[name] = self._load(sound_file(self._folder, name))
        except Exception as error:  # a driver's error must end neither the thread nor a shift
            self.trouble = say("The sounds can't be played ({error}): alarms are seen, not heard.", error=error)
            return None
        sound = self._loaded[name]
        if sound is None or sound.length <= 0:
            self.trouble = say("This tablet has no loudspeaker: alarms are seen, not heard.")
            return None
        self.trouble = ""
        return sound

    def wait(self) -> None:
        """Wait until all requested sounds have started."""
        self._thread.submit(lambda: None).result()

    def close(self) -> None:
        self._thread.shutdown(wait=True, cancel_futures=True)
