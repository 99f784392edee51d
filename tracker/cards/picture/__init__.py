"""A picture of placed pieces: what is seen of them from somewhere, as polygons from back to front."""

from tracker.cards.picture.picture import Picture, Role, picture_of, pulled_apart
from tracker.cards.picture.view import View
from tracker.cards.picture.visible_faces import Seen, SeenFace, seen_from

__all__ = ["Picture", "Role", "Seen", "SeenFace", "View", "picture_of", "pulled_apart", "seen_from"]
