"""Three sounds for three things a clock has to say, made here once, and played away from the screen's thread.

All lies between 500 and 3000 Hz: what ear muffs let through and small loudspeakers can give. The screen is the alarm; a
sound only fetches the eye to it.
"""

from __future__ import annotations

import wave
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Protocol, cast

from tracker.whole_file import whole_file

if TYPE_CHECKING:  # loaded when a sound is first made, in its thread, and not before the first card
    import numpy as np
    from numpy.typing import NDArray

SoundName = Literal["soon", "late", "done"]
RATE = 44_100
"""Samples a second."""
_EDGE = 0.012
"""Seconds in which a beep swells and dies: without them it clicks, and a click has all frequencies."""
_OVERTONES = (1.0, 0.35)

# Seconds, and Hz (0 is silence).
_Note = tuple[float, float]
_SCORES: Mapping[SoundName, tuple[_Note, ...]] = {
    # Two short calls: it will be over soon.
    "soon": ((0.14, 1175), (0.08, 0), (0.14, 1175)),
    # High and low in turn, fast: too late, act now.
    "late": ((0.12, 1480), (0.12, 1047)) * 4,
    # Three steps up, unhurried: it is done, come when you like.
    "done": ((0.22, 784), (0.04, 0), (0.22, 988), (0.04, 0), (0.45, 1175)),
}
SOUNDS: tuple[SoundName, ...] = tuple(_SCORES)


def samples(name: SoundName) -> NDArray[np.float64]:
    """The sound as numbers from -1 to 1, `RATE` of them a second."""
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
    """The sound as a file in `folder`, written when it isn't there yet. Raises OSError when it can't be."""
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
    """What Kivy's loader gives: no length where there is nothing to play it on."""

    length: float

    def play(self) -> None: ...


def load_with_kivy(path: Path) -> Playable | None:
    """The file as a sound that this tablet can play."""
    from kivy.core.audio import SoundLoader

    return cast("Playable | None", SoundLoader.load(str(path)))


class Sounds:
    """Plays in a thread of its own. `settings["sound"]` is "on" (or missing) or "off".

    `trouble` is a sentence for the settings where this tablet can't sound: an alarm is then seen and not heard.
    """

    def __init__(
        self,
        folder: Path,
        settings: Mapping[str, str],
        load: Callable[[Path], Playable | None] = load_with_kivy,
    ) -> None:
        self.trouble = ""
        self.played = 0
        """How many sounds were begun."""
        self._folder, self._settings, self._load = folder, settings, load
        self._loaded: dict[SoundName, Playable | None] = {}
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="kerfcard-sound")

    @property
    def on(self) -> bool:
        return self._settings.get("sound", "on") != "off"

    def play(self, name: SoundName) -> None:
        """Begin a sound, soon; nothing happens where sound is off or there is no loudspeaker."""
        if self.on:
            self._thread.submit(self._play, name)

    def probe(self, done: Callable[[], None]) -> None:
        """Find out whether there is anything to play on; `done` is called in the thread once `trouble` says so."""
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
        """The sound, loaded; None and a `trouble` where it can't be played."""
        try:
            if name not in self._loaded:
                self._loaded[name] = self._load(sound_file(self._folder, name))
        except Exception as error:  # a driver's whim must not end the thread, nor a shift
            self.trouble = f"The sounds can't be played ({error}): alarms are seen, not heard."
            return None
        sound = self._loaded[name]
        if sound is None or sound.length <= 0:
            self.trouble = "This tablet has no loudspeaker: alarms are seen, not heard."
            return None
        self.trouble = ""
        return sound

    def wait(self) -> None:
        """Until all that was asked for has begun."""
        self._thread.submit(lambda: None).result()

    def close(self) -> None:
        self._thread.shutdown(wait=True, cancel_futures=True)
