"""Walkers over a screen: each returns a list of problems, in words, which is empty when all is well.

They check only what is in view.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from typing import Any, TypeAlias

from kivy.core.text import LabelBase
from kivy.core.window import Window
from kivy.uix.label import Label
from kivy.uix.scrollview import ScrollView
from kivy.uix.widget import Widget
from PIL import Image, ImageFont

from kit.boxes import (
    SLACK,
    box_of,
    clip_of,
    everything,
    in_view,
    layer,
    name_of,
    per_mm,
    quoted,
    targets,
    words,
)
from kit.colour import apca, contrast, contrast_in_glare
from tracker.screens.toolkit.theme import GAP, GAP_DANGER, SCALE, SMALL
from tracker.screens.toolkit.touch import Holdable

Violation: TypeAlias = str


def small_targets(root: Widget) -> list[Violation]:
    """Targets smaller than their least side (`least_mm`, or 15 mm)."""
    wrong = []
    for widget in targets(root):
        least = getattr(widget, "least_mm", SMALL)
        width, height = (side / per_mm() for side in widget.size)
        if min(width, height) < least - SLACK:
            wrong.append(f"{name_of(widget)} is {width:.1f} × {height:.1f} mm; it needs {least:g}")
    return wrong


def close_targets(root: Widget) -> list[Violation]:
    """Targets closer than 3 mm, or 6 mm beside a destructive one."""
    wrong = []
    seen = [(widget, box_of(widget).meet(clip_of(widget))) for widget in targets(root)]
    for (one, here), (other, there) in combinations(seen, 2):
        least = GAP_DANGER if isinstance(one, Holdable) or isinstance(other, Holdable) else GAP
        gap = here.gap(there) / per_mm()
        if gap < least - SLACK and not _related(one, other):
            wrong.append(f"{name_of(one)} and {name_of(other)} are {gap:.1f} mm apart; they need {least:g}")
    return wrong


def small_text(root: Widget) -> list[Violation]:
    """Text with capitals under 3.5 mm."""
    least = min(SCALE.values())
    return [f"{quoted(each.text)} is {each.cap:.2f} mm high" for each in words(root) if each.cap < least - SLACK]


def truncated(root: Widget) -> list[Violation]:
    """Text that was cut, broken inside a word, or is larger than its box."""
    wrong = []
    for widget in everything(layer(root)):
        if not in_view(widget):
            continue
        if getattr(widget, "truncated", False):
            wrong.append(f"{quoted(getattr(widget, 'text', ''))} is cut short in {name_of(widget)}")
        elif getattr(widget, "broken", False):
            wrong.append(f"a word of {quoted(widget.text)} is broken")
        elif isinstance(widget, Label) and widget.text.strip():
            width, height = widget.texture_size
            if width > widget.width + 1 or height > widget.height + 0.12 * widget.font_size:
                wrong.append(f"{quoted(widget.text)} is larger than its box")
    return wrong


def cut_words(root: Widget) -> list[Violation]:
    """Words cut by the edge of a scroll view: half a line looks like a fault."""
    wrong = []
    for each in words(root):
        seen = each.ink.meet(clip_of(each.widget))
        cut = max(each.ink.width - seen.width, each.ink.height - seen.height) / per_mm()
        if cut > 0.3 and seen.height > 0:
            wrong.append(f"{quoted(each.text)} is cut by its list's edge by {cut:.1f} mm")
    return wrong


def overlaps(root: Widget) -> list[Violation]:
    """Texts whose glyphs overlap, and targets that overlap."""
    wrong = []
    inks = [(each, each.ink.meet(clip_of(each.widget))) for each in words(root)]
    for (one, here), (other, there) in combinations(inks, 2):
        gap = here.gap(there)
        if gap < -0.5 * per_mm():
            wrong.append(f"{quoted(one.text)} and {quoted(other.text)} overlap by {-gap / per_mm():.1f} mm")
    seen = [(widget, box_of(widget).meet(clip_of(widget))) for widget in targets(root)]
    for (first, mine), (second, its) in combinations(seen, 2):
        if mine.gap(its) < -1 and not _related(first, second):
            wrong.append(f"{name_of(first)} and {name_of(second)} lie on each other")
    return wrong


def off_screen(root: Widget) -> list[Violation]:
    """Targets and texts that extend outside the window (except those that a list has scrolled away)."""
    wrong = []
    for label, box, widget in [
        *((name_of(widget), box_of(widget), widget) for widget in targets(root)),
        *((quoted(each.text), each.ink, each.widget) for each in words(root)),
    ]:
        if _scrolls(widget):
            continue
        width, height = Window.size
        out = max(-box.left, -box.low, box.right - width, box.high - height)
        if out > 1:
            wrong.append(f"{label} reaches {out / per_mm():.1f} mm out of the window")
    return wrong


def missing_glyphs(root: Widget) -> list[Violation]:
    """Characters that the text's font lacks, which Kivy silently draws as a box."""
    wrong = []
    for each in words(root):
        lacking = {sign for sign in each.text if not sign.isspace() and not has_glyph(each.font, sign)}
        if lacking:
            wrong.append(f"{each.font} lacks {' '.join(sorted(lacking))} of {quoted(each.text)}")
    return wrong


def faint_text(root: Widget, picture: Image.Image, least: float = 7.0) -> list[Violation]:
    """Text with less contrast than `least` to the commonest colour around it on the picture of the window; less than an
    |Lc| of 75, or than 4.5 where a bright room is mirrored in the screen, will not do either. On what is disabled 4.5
    is enough."""
    wrong = []
    for each in words(root):
        seen = each.ink.meet(clip_of(each.widget))
        rim = 0.8 * per_mm()  # a single bold letter has more ink than paper
        area = (
            max(0, int(seen.left - rim)),
            max(0, int(picture.height - seen.high - rim)),
            int(seen.right + rim) + 1,
            int(picture.height - seen.low + rim) + 1,
        )
        if seen.width < 2 or seen.height < 2:
            continue
        patch = picture.crop(area)
        shades: list[Any] = list(patch.getcolors(patch.width * patch.height) or [(0, (0, 0, 0))])
        _, ground = max(shades)
        paper = tuple(value / 255 for value in ground)
        ratio, score = contrast(each.colour, paper), apca(each.colour, paper)
        glare = contrast_in_glare(each.colour, paper)
        if each.widget.disabled:
            ratio, score = ratio + least - 4.5, 75
        if ratio < least or score < 75 or glare < 4.5:
            wrong.append(f"{quoted(each.text)} has a contrast of {ratio:.1f}, |Lc| {score:.0f}, {glare:.1f} in glare")
    return wrong


ALL_RULES = (small_targets, close_targets, small_text, truncated, cut_words, overlaps, off_screen, missing_glyphs)
"""The rules for every screen, at every size, in both themes."""


@cache
def has_glyph(font: str, sign: str) -> bool:
    """Whether the file behind a Kivy font name has a glyph for `sign` other than its box for missing ones."""
    face = _face(font)
    return bytes(face.getmask(sign)) != bytes(face.getmask("\U000f1234"))


@cache
def _face(font: str) -> ImageFont.FreeTypeFont:
    from kivy.resources import resource_find

    known = LabelBase._fonts.get(font)
    path = known[0] if known else resource_find(font) or resource_find(f"{font}.ttf") or font
    return ImageFont.truetype(str(path), 40)


def _related(one: Widget, other: Widget) -> bool:
    """Whether one is inside the other, or both are in the same scroll view."""
    return one in everything(other) or other in everything(one)


def _scrolls(widget: Any) -> bool:
    while isinstance(widget, Widget):
        if isinstance(widget, ScrollView):
            return True
        widget = widget.parent
    return False
