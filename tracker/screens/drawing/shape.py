"""The shape on a card: the piece as it lies on the saw if that is the next step, otherwise the piece itself."""

from __future__ import annotations

from typing import Any

from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.piece.feature_view import FeatureView
from tracker.cards.piece.milled import ResawView
from tracker.cards.piece.own_step import StepPicture
from tracker.cards.piece.saw_view import SawView
from tracker.screens.drawing.saw import SawDrawing


class ShapeView(BoxLayout):
    """shape: a SawView, a ResawView, a Drawing, a FeatureView or a StepPicture of tracker.cards.piece, or None."""

    shape = ObjectProperty(None, allownone=True)

    def on_shape(self, *_: object) -> None:
        if self.shape is None:
            self.clear_widgets()
        elif isinstance(self.shape, SawView):
            self._held(SawDrawing).view = self.shape
        elif isinstance(self.shape, ResawView):
            from tracker.screens.drawing.resaw import ResawDrawing

            self._held(ResawDrawing).view = self.shape
        elif isinstance(self.shape, StepPicture):
            from tracker.screens.drawing.step_picture import StepPictureView

            self._held(StepPictureView).picture = self.shape
        elif isinstance(self.shape, FeatureView):
            from tracker.screens.drawing.features import FeatureDrawing

            self._held(FeatureDrawing).view = self.shape
        else:
            from tracker.screens.drawing.piece import PieceDrawing

            self._held(PieceDrawing).drawing = self.shape

    def _held(self, kind: type[Any]) -> Any:
        """The single drawing inside, of the requested kind."""
        if not (self.children and isinstance(self.children[0], kind)):
            self.clear_widgets()
            self.add_widget(kind())
        return self.children[0]
