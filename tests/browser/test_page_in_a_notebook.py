"""The page as a notebook shows it: in a frame of another page, shut off from it."""

from pathlib import Path
from typing import TYPE_CHECKING

from opening import listened
from results_to_show import compared

import simcore

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def test_it_plays_in_its_frame(browser: "Browser", tmp_path: Path) -> None:
    shown = simcore.page(compared(2))
    file = tmp_path / "notebook.html"
    file.write_text(f"<!doctype html><title>n</title>{shown._repr_html_()}", encoding="utf-8")
    with listened(browser) as (page, said):
        page.goto(file.as_uri())
        frame = page.frame_locator("iframe")
        frame.locator(".player[data-ready]").wait_for()
        shows = frame.locator(".lane").first.get_attribute("data-time")
        frame.locator(".player-back").click()
        assert frame.locator(".lane").first.get_attribute("data-time") != shows
        assert frame.locator("h1").inner_text() == compared(2).headline
    assert said == []
