"""Whether the live page lasts: pytest -m bench -s, with SIMCORE_SOAK_SECONDS=3600 for an hour."""

import os
import random
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from live_served import commanded, shown

from simcore.views.live.server import listening

if TYPE_CHECKING:
    from playwright.sync_api import Browser, CDPSession, Page

psutil = pytest.importorskip("psutil", reason="psutil reads the memory of a process")

SCENARIO = Path(__file__).parents[2] / "scenarios" / "launch_vs_creep.toml"
SECONDS = float(os.environ.get("SIMCORE_SOAK_SECONDS", "20"))
SAMPLES = 12
GROWN = 1.25  # of what it was once everything had been used, that memory may be at the end
SCREEN = {"width": 1280, "height": 900}
SETTLED_MS = 20_000
DRAG = """async ([which, from, to, frames]) => {
  const sliders = document.querySelectorAll("#knobs input[type=range]");
  const slider = sliders[Math.floor(which * sliders.length)];
  const [low, high] = [Number(slider.min), Number(slider.max)];
  for (let k = 0; k <= frames; k++) {
    slider.value = low + (high - low) * (from + (to - from) * k / frames);
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((done) => requestAnimationFrame(done));
  }
  slider.dispatchEvent(new Event("change", { bubbles: true }));
}"""


def drag_mount(page: "Page", hand: random.Random, which: int | None = None) -> None:
    grips = page.locator(".grip .dot")
    box = grips.nth(hand.randrange(grips.count()) if which is None else which).bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + hand.uniform(-25, 25), y + hand.uniform(-25, 25), steps=hand.randint(2, 20))
    page.mouse.up()


def drag_slider(page: "Page", hand: random.Random) -> None:
    page.evaluate(DRAG, [hand.random(), hand.random(), hand.random(), hand.randint(2, 40)])


def step(page: "Page", hand: random.Random) -> None:
    page.keyboard.press(hand.choice(["Control+z", "Control+z", "Control+y"]))


def look(page: "Page", hand: random.Random) -> None:
    page.locator(f"input[name=view][value={hand.choice(['start', 'film'])}]").check()
    page.wait_for_timeout(hand.uniform(0, 600))
    page.locator("input[name=view][value=start]").check()


def rest(page: "Page", hand: random.Random) -> None:
    page.wait_for_timeout(hand.uniform(0, 500))


DEEDS = [drag_mount, drag_mount, drag_slider, drag_slider, drag_slider, step, look, rest]


def as_in_the_file(page: "Page") -> None:
    """Take back all changes, and wait until all that is known of the run has come."""
    if page.locator("#reset").is_enabled():
        page.locator("#reset").click()
    page.wait_for_timeout(500)
    page.locator("#told:not(.old)").wait_for(timeout=SETTLED_MS)
    assert page.locator("#reset").is_disabled()


def use_everything(page: "Page", hand: random.Random) -> None:
    """Once, so that all that is made when it is first wanted has been."""
    for which in range(page.locator(".grip").count()):
        drag_mount(page, hand, which)
    as_in_the_file(page)
    page.locator("input[name=view][value=film]").check()
    page.locator("#film .player[data-ready]").wait_for(timeout=SETTLED_MS)
    page.locator("input[name=view][value=start]").check()
    as_in_the_file(page)


def measured(session: "CDPSession", server: "psutil.Process") -> dict[str, float]:
    """Memory of the bench, and of the page once what nobody needs is thrown away."""
    session.send("HeapProfiler.collectGarbage")
    found = {one["name"]: one["value"] for one in session.send("Performance.getMetrics")["metrics"]}
    return {
        "MB of the bench": server.memory_info().rss / 1e6,
        "MB of the page's script": found["JSHeapUsedSize"] / 1e6,
        "parts of the page": found["Nodes"],
    }


@pytest.mark.bench
def test_live_page_lasts(benchmark, browser: "Browser", tmp_path: Path) -> None:
    hand, samples = random.Random(1), []
    with listening(None) as place:
        port = place.getsockname()[1]
    with (
        commanded(SCENARIO, port, tmp_path) as address,
        shown(browser, address, viewport=SCREEN) as page,
    ):
        (server,) = [one for one in psutil.Process().children() if str(port) in one.cmdline()]
        session = page.context.new_cdp_session(page)
        session.send("Performance.enable")
        use_everything(page, hand)
        used = measured(session, server)
        begun, deeds = time.monotonic(), 0

        def soak() -> None:
            nonlocal deeds
            for k in range(SAMPLES):
                while time.monotonic() - begun < SECONDS * (k + 1) / SAMPLES:
                    hand.choice(DEEDS)(page, hand)
                    deeds += 1
                as_in_the_file(page)
                samples.append(measured(session, server))
                said = ", ".join(f"{value:.1f} {what}" for what, value in samples[-1].items())
                print(f"\n{time.monotonic() - begun:.0f} s, {deeds} deeds: {said}", flush=True)

        benchmark.pedantic(soak, rounds=1)
        before = page.locator(".metric dd:nth-child(2)").all_text_contents()
        page.reload()
        page.locator("body[data-shown]").wait_for()
        assert page.locator(".metric dd:nth-child(2)").all_text_contents() == before
    benchmark.extra_info["deeds"] = deeds
    for what, value in samples[-1].items():
        benchmark.extra_info[f"{what}, at the end"] = value
        benchmark.extra_info[f"{what}, once everything was used"] = used[what]
    grown = {what: value / used[what] for what, value in samples[-1].items()}
    assert max(grown.values()) < GROWN, grown
