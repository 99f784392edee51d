"""A picture of placed pieces: what is visible of them from a viewpoint, as polygons from back to front."""

from tracker.cards.picture.page import dashed, edges_of, fitted
from tracker.cards.picture.picture import Picture, Role, picture_of, pulled_apart
from tracker.cards.picture.view import Flat, View
from tracker.cards.picture.visible_faces import Seen, SeenFace, seen_from

__all__ = [
    "Flat",
    "Picture",
    "Role",
    "Seen",
    "SeenFace",
    "View",
    "dashed",
    "edges_of",
    "fitted",
    "picture_of",
    "pulled_apart",
    "seen_from",
]
