"""Scanning: a handheld scanner that types, the camera, a picture of a label, or its ten characters typed by hand."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Line, Rectangle
from kivy.graphics.texture import Texture
from kivy.properties import BooleanProperty, ObjectProperty, StringProperty
from kivy.uix.widget import Widget

from tracker.cards.scan.titles import titles_of
from tracker.scan import Looked, PictureReader
from tracker.screens.base import CardScreen
from tracker.screens.desk import shown_path, the_desk
from tracker.screens.device.camera import Camera, Sight
from tracker.screens.device.exposure import Torch, find_torch
from tracker.screens.toolkit.prompts import Option, Panel
from tracker.screens.toolkit.theme import Themed
from tracker.shop.pictures import newest_pictures
from tracker.words import say
from tracker.work.codes import Code

LOOKS = 1 / 20
"""Seconds between two checks of what the camera has seen."""
FORGET = 2.0
"""Seconds after which a label that stays in view counts as shown again."""
AIM = say("Hold the label close to the camera.")
DARK_WITH_TORCH = say("It is too dark here: turn the torch on.")
DARK_WITHOUT = say("It is too dark here, and there is no torch: more light helps.")


class Viewfinder(Themed, Widget):
    """The camera's picture, as large as fits, with a box around each code: `sight` is the newest frame."""

    sight = ObjectProperty(None, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        self._texture: Texture | None = None
        super().__init__(**kwargs)
        for name in ("pos", "size", "sight", "palette", "mm"):
            self.fbind(name, self._draw)

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        sight: Sight | None = self.sight
        if sight is None:
            return
        scale = min(self.width / sight.width, self.height / sight.height)
        width, height = sight.width * scale, sight.height * scale
        left, low = self.center_x - width / 2, self.center_y - height / 2
        with self.canvas:
            Color(1, 1, 1, 1)
            Rectangle(texture=self._filled(sight), pos=(left, low), size=(width, height))
            for box in sight.boxes:
                Color(*self.palette.colour("done" if box.ours else "caution"))
                points = [value for x, y in box.corners for value in (left + x * width, low + (1 - y) * height)]
                Line(points=points, close=True, width=max(1.0, 0.7 * self.mm))

    def _filled(self, sight: Sight) -> Texture:
        """One texture for as long as the camera is running."""
        if self._texture is None or tuple(self._texture.size) != (sight.width, sight.height):
            self._texture = Texture.create(size=(sight.width, sight.height), colorfmt="rgb")
            self._texture.flip_vertical()
        self._texture.blit_buffer(sight.pixels, colorfmt="rgb", bufferfmt="ubyte")
        return self._texture


class ScanScreen(Themed, CardScreen):
    """Brings up a card for anything that shows its code."""

    needs_run = False
    said = StringProperty("")
    watching = BooleanProperty(False)
    """Whether the camera is running; its picture takes the keypad's place."""
    torch_words = StringProperty("")
    """The text of its button; empty where there is no torch, and no button."""

    def __init__(self, **kwargs: Any) -> None:
        self._camera: Camera | None = None
        self._reader: PictureReader | None = None
        self._torch: Torch | None = None
        self._handed: tuple[str, float] = ("", 0.0)
        self._label: tuple[object, ...] = ()
        self._asked: set[frozenset[Code]] = set()
        self._looks = Clock.schedule_interval(self._look, LOOKS)
        self._looks.cancel()
        super().__init__(**kwargs)

    def on_kv_post(self, base_widget: object) -> None:
        self._keypad, self._finder = self.ids.keypad.__self__, Viewfinder()

    def draw(self) -> None:
        self.card = None
        desk = the_desk()
        if desk.shop.library.unread():
            desk.learn()
        self._show_label()

    def _show_label(self) -> None:
        """A label of this build beside the keypad's button, to see where its code is."""
        desk = the_desk()
        if not desk.shop.run:
            self._keypad.texture = None
            return
        run, colours = desk.floor().run, (self.palette.ink, self.palette.ground)
        key = desk.item_key if desk.item_key in run.items else next(iter(run.items), "")
        if not key or (run.name, key, colours) == self._label:
            return
        self._label = (run.name, key, colours)

        def job() -> bytes:
            from tracker.screens.drawing.label_picture import label_picture

            return label_picture(run, key, *colours)

        def show(png: bytes) -> None:
            from tracker.screens.drawing.label_picture import texture_of

            self._keypad.texture = texture_of(png)

        desk.worker.submit(job, show)

    def says(self, sentence: str) -> bool:
        self.said = sentence
        return True

    def leave(self) -> None:
        self._stop_camera()
        self._stop_reader()
        self._keypad.clear()
        self.said = ""

    def turn_camera(self) -> None:
        """Start the camera, or stop it."""
        if self.watching:
            self._stop_camera()
            self.said = ""
            return
        self._handed, self._asked, self.said = ("", 0.0), set(), say("Starting the camera ...")
        source = the_desk().shop.settings.get("camera", "0")
        self._camera = Camera(source, self._live())
        self._torch = find_torch(source)
        self.torch_words = say("torch") if self._torch else ""
        self.watching = True
        self._looks()

    def turn_torch(self) -> None:
        """Switch the torch on or off."""
        on = self.torch_words == "torch"
        if self._torch is not None and self._torch.light(on):
            self.torch_words, self.said = say("torch off") if on else say("torch"), AIM
        else:
            self.said = say("The torch doesn't answer.")

    def _stop_camera(self) -> None:
        self._looks.cancel()
        if self._torch is not None:
            self._torch.close()
            self._torch = None
        self.torch_words = ""
        if self._camera is not None:
            self._camera.close()
            self._camera = None
        self.watching = False
        self._finder.sight = None

    def _stop_reader(self) -> None:
        if self._reader is not None:
            self._reader.close()
            self._reader = None

    def on_watching(self, *_: object) -> None:
        self.ids.place.clear_widgets()
        self.ids.place.add_widget(self._finder if self.watching else self._keypad)

    def _look(self, _seconds: float) -> None:
        """Process what the camera has seen since the last check."""
        camera = self._camera
        if camera is None:
            return
        sight = camera.latest()
        if sight is None:
            if trouble := camera.trouble:
                self._stop_camera()
                self.said = trouble
            return
        if self._finder.sight is None:
            self.said = AIM
        self._finder.sight = sight
        if any(isinstance(child, Panel) for child in the_desk().root.children):
            return  # a question is open: one at a time
        if sight.codes:
            self._hand_on(sight.codes)
        elif sight.maybe and frozenset(sight.maybe) not in self._asked:
            self._asked.add(frozenset(sight.maybe))
            self._ask(say("Can't tell: which one is it?"), sight.maybe)
        elif sight.boxes:
            self.said = say("That code is not a Kerfcard label.")
        elif sight.dark and self.torch_words != "torch off":
            self.said = DARK_WITH_TORCH if self._torch else DARK_WITHOUT

    def _hand_on(self, codes: Sequence[Code]) -> None:
        """Pass on a label that stays in view only once."""
        shown, now = " ".join(codes), Clock.time()
        last, at = self._handed
        self._handed = (shown, now)
        if shown != last or now - at > FORGET:
            self._bring_up(codes)

    def typed(self, code: str) -> None:
        """Ten characters were typed on the keypad."""
        self._keypad.clear()
        the_desk().scanned(code)

    @property
    def folder(self) -> Path:
        """The folder with pictures of labels."""
        folder = the_desk().shop.home / "pictures"
        folder.mkdir(exist_ok=True)
        return folder

    def choose_picture(self) -> None:
        """Offer the newest pictures."""
        pictures = newest_pictures(self.folder)
        if not pictures:
            self.said = say(
                "No picture yet: put PNG or JPEG pictures of labels into {path}",
                path=shown_path(self.folder),
            )
            return
        the_desk().ask(say("Which picture?"), [Option(key=path, text=path.name) for path in pictures], self.read)

    def read(self, path: Path) -> None:
        """Read a picture outside the screen's thread."""
        self.said = say("Reading {path} ...", path=path.name)
        desk, live = the_desk(), self._live()
        reader = self._reader = self._reader or PictureReader()
        desk.worker.submit(lambda: reader.look(path, live), lambda looked: self._looked(looked, path), self._unread)

    def _live(self) -> tuple[Code, ...]:
        """The codes that a label here may have: those of the current build."""
        desk = the_desk()
        return tuple(desk.floor().run.codes.values()) if desk.shop.run else ()

    def _looked(self, looked: Looked, path: Path) -> None:
        codes = [code.text for code in looked.found if code.ours]
        if codes:
            self.said = ""
            self._bring_up(codes)
        elif looked.maybe:
            self.said = say("The label in {path} can't be read for sure.", path=path.name)
            self._ask(say("Can't tell: which one is it?"), looked.maybe)
        else:
            self.said = say("No Kerfcard label can be read in {path}: nearer, or wipe the dust off.", path=path.name)

    def _bring_up(self, codes: Sequence[Code]) -> None:
        """Show the card of the one label that was read; if there are several, ask which."""
        if len(codes) == 1 or not self._ask(say("Several labels: which one?"), codes):
            the_desk().scanned(codes[0])

    def _ask(self, question: str, codes: Sequence[Code]) -> bool:
        """Ask the person which of the codes is meant; False when none is of the current build."""
        desk = the_desk()
        titles = titles_of(desk.floor().run if desk.shop.run else None, codes)[:6]
        if not titles:
            return False
        the_desk().ask(question, [Option(key=code, text=title) for title, code in titles], the_desk().scanned)
        return True

    def _unread(self, error: BaseException) -> None:
        if not isinstance(error, ValueError):
            raise error
        if the_desk().shows(self):  # otherwise the person went elsewhere, which ended the reading
            self.said = say("That picture can't be read: {error}.", error=error)
