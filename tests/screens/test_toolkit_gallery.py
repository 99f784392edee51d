"""Every widget, in both themes, on both tablets: nothing small, cut, crowded or faint. Look at tests/_shots/gallery."""

from __future__ import annotations

import pytest

PAGES = ("CardPage", "PiecesPage", "ButtonsPage", "FacesPage", "KeypadPage", "PanelPage", "ReadingsPage")


@pytest.mark.pixels
@pytest.mark.parametrize("tablet", ["10 inch, fine", "10 inch, coarse"])
@pytest.mark.parametrize("theme", ["day", "shop"])
@pytest.mark.parametrize("page", PAGES)
def test_page_keeps_every_rule(run_app, shots, page, theme, tablet):
    from gallery import TABLETS, Gallery
    from kit.walk import ALL_RULES, faint_text

    width, height, dpi = TABLETS[tablet]
    if page == "PiecesPage":  # six cards' drawings at once: twice the screen of a tablet
        width, height, dpi = round(width * 1.3), round(height * (1.4 if theme == "day" else 1.0)), dpi
    driver = run_app(Gallery(page, theme), size=(width, height), dpi=dpi)
    picture = driver.picture()
    driver.save(shots.parent / "gallery" / f"{page}-{theme}-{width}.png")
    wrong = driver.judge(*ALL_RULES) + driver.judge(lambda root: faint_text(root, picture))
    assert not wrong, "\n".join(wrong)
