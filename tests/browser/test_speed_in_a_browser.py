"""How fast the player is with four rigs on a full screen: pytest -m bench, on an idle machine."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from test_player_in_a_browser import PLAIN, runs

from simcore.views.page.player import player

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SECONDS = 3.0
COUNT = """(seconds) => new Promise((done) => {
  let first, frames = 0;
  const count = (now) => {
    first ??= now;
    if (now - first >= 1000 * seconds) done(1000 * frames / (now - first));
    else { frames += 1; requestAnimationFrame(count); }
  };
  requestAnimationFrame(count);
})"""


@pytest.mark.bench
def test_player_with_four_rigs(benchmark, browser: "Browser", tmp_path: Path) -> None:
    four = {f"{name} {k}": run for k in (1, 2) for name, run in runs().items()}
    part = benchmark.pedantic(player, args=(four,), rounds=5)
    path = tmp_path / "four.html"
    text = PLAIN.format(html=part.html, style=part.style, script=part.script)
    path.write_text(text, encoding="utf-8")
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto(path.as_uri())
    page.locator(".player[data-ready]").wait_for()
    benchmark.extra_info["ms until it is ready"] = page.evaluate("performance.now()")
    page.locator(".player-time").fill("0.2")
    page.locator(".player-speed").select_option("0.05")
    page.locator(".player-play").click()
    benchmark.extra_info["frames a second"] = page.evaluate(COUNT, SECONDS)
    assert page.locator(".player-play").text_content() == "Pause"
    benchmark.extra_info["kB of the page"] = len(text.encode()) / 1000.0
    context.close()
