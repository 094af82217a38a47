"""Sheets of a trial as they are printed, on both papers."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from invented_trials import key_of
from opening import opened

from simcore.views.page.sheets import driver_sheet, mechanic_sheet

if TYPE_CHECKING:
    from playwright.sync_api import Browser

MM = 96.0 / 25.4  # dots of a browser


@pytest.mark.parametrize("width", [186.0, 191.9])  # mm between the margins: A4, letter
@pytest.mark.parametrize("sheet", [driver_sheet, mechanic_sheet])
def test_nothing_of_a_sheet_stands_beside_the_paper(
    browser: "Browser", tmp_path: Path, sheet, width: float
) -> None:
    file = tmp_path / "sheet.html"
    file.write_text(sheet(key_of()), encoding="utf-8")
    with opened(browser, file, viewport={"width": int(width * MM), "height": 900}) as page:
        page.emulate_media(media="print")
        wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert wide <= 0
        over = page.evaluate(
            "[...document.querySelectorAll('th, td')].filter(c => c.scrollWidth > c.clientWidth + 1).length"
        )
        assert over == 0
        assert page.locator("tbody tr").count() == 24
        assert page.locator("tbody").first.evaluate("e => getComputedStyle(e).breakInside") == "avoid"
        assert page.pdf(prefer_css_page_size=True).startswith(b"%PDF")
