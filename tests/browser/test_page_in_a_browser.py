"""The whole page of a comparison, opened from disk as whoever gets it would."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from opening import opened
from results_to_show import SCENARIOS

import simcore

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

HARSH = '<script>document.title="run"</script> "soft" & \N{LIZARD}'
SHORT = {"end.duration": 0.4, "output.rate": 200}


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    raw = simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml")
    named = raw.changed(SHORT | {"title": HARSH, "note": HARSH}, keep_variants=True)
    return simcore.page(simcore.compare(named)).save(tmp_path_factory.mktemp("sent") / "report.html")


@pytest.fixture(params=[(320, "light"), (390, "dark"), (1440, "light"), (1440, "dark")], ids=str)
def page(request: pytest.FixtureRequest, browser: "Browser", file: Path) -> Iterator["Page"]:
    width, scheme = request.param
    with opened(browser, file, viewport={"width": width, "height": 800}, color_scheme=scheme) as found:
        yield found


def test_it_fits_and_words_of_files_are_words(page: "Page") -> None:
    wide, screen = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    assert wide <= screen
    assert page.title() != "run" and HARSH in page.locator("body").inner_text()
    assert page.locator("h1").count() == 1
    for fold in page.locator("details").all():
        fold.evaluate("fold => { fold.open = true }")
    assert page.evaluate("document.documentElement.scrollWidth") <= screen


def test_lines_beside_the_player_differ_without_their_colours(browser: "Browser", file: Path) -> None:
    dashes = "all => all.map((line) => getComputedStyle(line).strokeDasharray)"
    stops = "all => all.map((line) => getComputedStyle(line).backgroundImage.match(/\\d+px/g).join())"
    with opened(browser, file) as page:
        drawn = page.locator(".graph >> nth=0 >> .graph-area .graph-line").evaluate_all(dashes)
        assert len(set(drawn)) == len(drawn) == page.locator(".lane").count() == 3
        for keys in (
            ".graph-values >> nth=0 >> .key-line",
            ".lane figcaption .key-line",
            ".player-cursors i",
        ):
            assert len(set(page.locator(keys).evaluate_all(stops))) == 3


def test_on_paper_everything_is_drawn_by_lines(page: "Page") -> None:
    assert b"/Subtype /Image" not in page.pdf() and b"/Subtype/Image" not in page.pdf()
