"""Widgets below one another, without gaps for those that have no height at the moment."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from kivy.uix.boxlayout import BoxLayout


class Stack(BoxLayout):
    """A vertical BoxLayout in which a widget without height, as words that aren't there, takes no gap either."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(orientation="vertical", **kwargs)

    def _iterate_layout(self, sizes: Sequence[Any]) -> Iterator[tuple[int, float, float, float, float]]:
        """BoxLayout's places for what has height; everything else lies without height at the top."""
        shown = [at for at, ((_, height), (_, hint), *_) in enumerate(sizes) if hint is not None or height > 0]
        for at in sorted({*range(len(sizes))}.difference(shown)):
            yield at, self.x, self.top, self.width, 0
        if not shown:
            self.minimum_size = 0, 0
            return
        for index, x, y, width, height in super()._iterate_layout([sizes[at] for at in shown]):
            yield shown[index], x, y, width, height
