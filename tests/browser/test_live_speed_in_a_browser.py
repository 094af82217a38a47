"""How soon the live page shows what is turned: pytest -m bench, on an idle machine."""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from fake_bench import FakeBench
from live_served import commanded, serving, shown

from simcore.views.live.server import listening
from simcore.views.live.server import page as parts

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SCENARIO = Path(__file__).parents[2] / "scenarios" / "launch_vs_creep.toml"
TIMES, SECONDS = 60, 4.0
REST = 150.0  # ms without a change, after which all that is known is asked for
SCREEN = {"width": 1280, "height": 900}
TURN = """(path) => {
  const slider = document.querySelector(`[data-path="${path}"] input[type=range]`);
  const [low, high] = [Number(slider.min), Number(slider.max)];
  let k = 0;
  return () => {
    const before = slider.value;
    do { // one that is the same is not asked for
      k += 1;
      slider.value = low + (high - low) * (0.3 + 0.1 * Math.sin(0.37 * k));
    } while (slider.value === before);
    slider.dispatchEvent(new Event("input", { bubbles: true }));
  };
}"""
ONE = """async ([path, times]) => {
  const turn = (TURN)(path), found = [], body = document.body;
  const framed = () => new Promise((done) => {
    const seen = new MutationObserver(() => {
      seen.disconnect();
      requestAnimationFrame(() => {
        const line = new MessageChannel(); // heard once the frame that is under way has been drawn
        line.port1.onmessage = () => done(performance.now());
        line.port2.postMessage(0);
      });
    });
    seen.observe(body, { attributeFilter: ["data-shown"] });
  });
  for (let k = 0; k < times; k++) {
    const begun = performance.now(), drawn = framed();
    turn();
    found.push(await drawn - begun);
    await new Promise((done) => setTimeout(done, 10 + 7 * (k % 5)));
  }
  return found;
}""".replace("TURN", TURN)
MANY = """([path, seconds]) => new Promise((done) => {
  const turn = (TURN)(path), begun = performance.now();
  let redrawn = 0;
  new MutationObserver(() => { redrawn += 1; }).observe(document.body, { attributeFilter: ["data-shown"] });
  const frame = () => {
    if (performance.now() - begun > 1000 * seconds) { done(redrawn / seconds); return; }
    turn();
    requestAnimationFrame(frame);
  };
  frame();
})""".replace("TURN", TURN)


KNOWN = """() => new Promise((done) => {
  const told = document.getElementById("told"), begun = performance.now();
  const look = () => {
    if (told.classList.contains("old")) requestAnimationFrame(look);
    else done(performance.now() - begun);
  };
  look();
})"""


@pytest.mark.bench
@pytest.mark.parametrize("what", ["a run of 2 s", "no run at all"])
def test_live_page_with(benchmark, browser: "Browser", what: str, tmp_path: Path) -> None:
    with listening(None) as place:
        port = place.getsockname()[1]
    served = serving(FakeBench) if what == "no run at all" else commanded(SCENARIO, port, tmp_path)
    figures = benchmark.extra_info
    with served as address, shown(browser, address, viewport=SCREEN) as page:
        page.wait_for_timeout(1500)
        benchmark.pedantic(page.evaluate, args=(ONE, ["ground.slope", 5]), rounds=1)
        took = page.evaluate(ONE, ["ground.slope", TIMES])
        figures["ms from slider to redrawn frame, median"] = float(np.median(took))
        figures["ms from slider to redrawn frame, 95 of 100 within"] = float(np.percentile(took, 95))
        figures["redraws a second while dragging"] = page.evaluate(MANY, ["ground.slope", SECONDS])
        page.evaluate(ONE, ["ground.slope", 1])
        figures["ms from rest to all that is known"] = page.evaluate(KNOWN) - REST
        size = sum(len(parts()[name].encode()) for name in ("", "live.css", "live.js"))
        figures["kB of the page"] = size / 1000.0
