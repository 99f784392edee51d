from __future__ import annotations

from kivy.properties import ObjectProperty
from kivy.uix.widget import Widget

from tracker.screens.theme import Themed


class PieceDrawing(Themed, Widget):
    drawing = ObjectProperty(None, allownone=True)
