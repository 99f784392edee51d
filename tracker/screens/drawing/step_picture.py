"""A maker's own picture, of a step or of a board on the rack: read outside the screen's thread, as carefully as any
stranger's file."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from kivy.graphics.texture import Texture
from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.image import Image

from tracker.cards.piece.own_step import StepPicture
from tracker.cards.rack.rack import BoardPhoto
from tracker.screens.desk import the_desk
from tracker.screens.toolkit.theme import current_theme
from tracker.screens.toolkit.widgets import Text
from tracker.words import say

LARGEST_SIDE = 1600
"""How many points of the picture are kept: as many as a screen shows."""


class Pixels(NamedTuple):
    """A picture as the screen takes it: rows of RGB from the top."""

    size: tuple[int, int]
    rgb: bytes


class StepPictureView(BoxLayout):
    """picture: of a step, of a board on the rack, or None. Says why it can't be shown."""

    picture: StepPicture | BoardPhoto | None = ObjectProperty(None, allownone=True)

    def on_picture(self, *_: object) -> None:
        self.clear_widgets()
        wanted = self.picture
        if wanted is None:
            return
        if isinstance(wanted, BoardPhoto):
            path = the_desk().shop.home / "pictures" / wanted.file
        else:
            file = the_desk().shop.library.file_of(wanted.run)
            if file is None:
                self._say(say("The picture {file} was beside a build file that is gone.", file=wanted.file))
                return
            path = file.path.parent / wanted.file
        the_desk().worker.submit(
            lambda: read_pixels(path),
            lambda pixels: self._show(wanted, pixels),
            lambda error: self._fail(wanted, error),
        )

    def _show(self, wanted: StepPicture | BoardPhoto, pixels: Pixels) -> None:
        if wanted != self.picture:
            return
        texture = Texture.create(size=pixels.size, colorfmt="rgb")
        texture.blit_buffer(pixels.rgb, colorfmt="rgb", bufferfmt="ubyte")
        texture.flip_vertical()
        self.clear_widgets()
        self.add_widget(Image(texture=texture, fit_mode="contain"))

    def _fail(self, wanted: StepPicture | BoardPhoto, error: BaseException) -> None:
        if not isinstance(error, ValueError):
            raise error
        if wanted == self.picture:
            self._say(f"{wanted.file}: {error}.")

    def _say(self, sentence: str) -> None:
        theme = current_theme()
        self.add_widget(Text(text=sentence, font_size=theme.note, lines=3, halign="center"))


def read_pixels(path: Path) -> Pixels:
    """A picture, no larger than a screen. Raises ValueError with a sentence for the user."""
    from tracker.scan.picture import open_picture

    image = open_picture(path).image.convert("RGB")
    image.thumbnail((LARGEST_SIDE, LARGEST_SIDE))
    return Pixels(image.size, image.tobytes())
