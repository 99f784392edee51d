from __future__ import annotations

import pytest


@pytest.mark.pixels
@pytest.mark.parametrize("theme", ["day", "shop"])
def test_card_page(run_app, shots, theme):
    from gallery import Gallery

    driver = run_app(Gallery("CardPage", theme))
    driver.save(shots / "card.png")
