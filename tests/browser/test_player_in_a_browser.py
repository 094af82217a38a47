"""The player in a real browser: opened from disk, it shows what the run's own series say."""

import dataclasses
import math
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from opening import opened
from results_to_show import SCENARIOS

import simcore
from simcore.results.motion import places
from simcore.results.run import Run
from simcore.rig.masses import SIDES
from simcore.units import GRAMS
from simcore.views.page.player import player

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

NAMES = ('<script>document.title="run"</script> "soft" & \N{LIZARD}', "\u05e7\u05e4\u05d9\u05e6\u05d9\u05dd")
PLAIN = """<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1"><title>wrapped</title>
<style>:root {{ color-scheme: light dark; --case-0: #0072b2; --case-1: #d55e00 }}
body {{ margin: 20px }} {style}</style>
<body>{html}<script>{script}</script></body></html>"""
POSE = re.compile(r"translate\((\S+) (\S+)\) rotate\((\S+)\)")


@cache
def runs() -> dict[str, Run]:
    """Two runs up a slope, one of them sooner and faster."""
    slow = simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed(
        {"end.duration": 0.8, "driver.speed": [[0, 0], [0.2, 0.15]], "output.rate": 200}
    )
    fast = slow.changed({"driver.speed": [[0, 0], [0.2, 0.3]], "end.duration": 0.6})
    return {name: simcore.simulate(one) for name, one in zip(NAMES, (slow, fast), strict=True)}


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _written(tmp_path_factory.mktemp("page") / "wrapped.html", runs())


def _written(path: Path, shown: dict[str, Run]) -> Path:
    part = player(shown)
    path.write_text(PLAIN.format(html=part.html, style=part.style, script=part.script), encoding="utf-8")
    return path


def _opened(page: "Page", file: Path) -> "Page":
    page.goto(file.as_uri())
    page.locator(".player[data-ready]").wait_for()
    return page


@pytest.fixture
def page(browser: "Browser", file: Path) -> Iterator["Page"]:
    with opened(browser, file, viewport={"width": 1200, "height": 900}) as found:
        yield found


def _time(page: "Page", lane: int = 0) -> float:
    return float(page.locator(".lane").nth(lane).get_attribute("data-time") or "nan")


def _pose(page: "Page", lane: int, part: str) -> list[float]:
    found = POSE.fullmatch(page.locator(".lane").nth(lane).locator(part).get_attribute("transform") or "")
    assert found
    return [float(number) for number in found.groups()]


def _number(words: str) -> float:
    found = re.search(r"[-\N{MINUS SIGN}]?\d+(\.\d+)?", words)
    assert found, words
    return float(found.group().replace("\N{MINUS SIGN}", "-"))


def _agrees(page: "Page", lane: int) -> None:
    """Poses and numbers of a lane are those of its run's series at the time that it shows."""
    run, at = list(runs().values())[lane], _time(page, lane)

    def then(name: str) -> float:
        table = run.series if name in run.series else run.motion
        return float(np.interp(at, run.series["time_s"], table[name]))

    hubs = [
        places(run.series, run.motion, f"{axle}_axle", run.outline[f"{axle}_axle"]["wheel_centre"])
        for axle in SIDES
    ]
    camera = [float(np.interp(at, run.series["time_s"], np.mean(hubs, axis=0)[k])) for k in (0, 1)]
    x, z, turn = _pose(page, lane, ".chassis")
    assert math.hypot(x + camera[0] - then("chassis_x_mm"), z + camera[1] - then("chassis_z_mm")) < 0.1
    assert turn == pytest.approx(then("pitch_deg"), abs=0.01)
    for k, axle in enumerate(SIDES):
        x, z, turn = _pose(page, lane, f".axle >> nth={k}")
        off = x + camera[0] - then(f"{axle}_axle_x_mm"), z + camera[1] - then(f"{axle}_axle_z_mm")
        assert math.hypot(*off) < 0.1
        wheel = _pose(page, lane, f".wheel >> nth={k}")[2]
        assert -wheel == pytest.approx(then(f"{axle}_wheel_turn_deg"), abs=0.5)
    values = page.locator(f".graph-values li:nth-child({lane + 1}) b").all_text_contents()
    columns = {"pitch_to_ground_deg": 0.06, "front_load_N": 1.1, "rear_load_N": 1.1}
    columns |= {"rear_travel_mm": 0.06, "front_travel_mm": 0.06, "speed_m_per_s": 0.006}
    for (name, off), words in zip(columns.items(), values, strict=True):
        factor = GRAMS if name.endswith("_N") else 1.0
        assert _number(words) == pytest.approx(factor * then(name), abs=off), name
    forces = page.locator(".lane-forces").nth(lane).text_content() or ""
    load = re.search(r"rear: load (\d+) g, thrust", forces)
    assert load
    assert float(load.group(1)) == pytest.approx(GRAMS * then("rear_load_N"), abs=1.1)


def test_it_opens_at_the_decisive_moment_and_not_at_nought(page: "Page") -> None:
    assert page.locator(".player-live").is_visible()
    assert not page.locator(".player-stills").is_visible()
    assert _time(page) > 0.0
    for lane in (0, 1):
        _agrees(page, lane)


@pytest.mark.parametrize("time", [0.0, 0.21, 0.4, 0.8])
def test_pose_and_numbers_are_those_of_the_series(page: "Page", time: float) -> None:
    page.locator(".player-time").fill(str(time))
    assert _time(page) == pytest.approx(time, abs=1e-4)
    assert _time(page, 1) == pytest.approx(min(time, 0.6), abs=1e-4)
    for lane in (0, 1):
        _agrees(page, lane)
    over = page.locator(".lane-ended").nth(1).text_content() or ""
    assert ("ended: time is up" in over) == (time > 0.6)


def test_it_plays_to_the_end_and_stops_there(page: "Page") -> None:
    page.keyboard.press("Tab")
    page.keyboard.press("Home")
    assert _time(page) == 0.0
    page.locator(".player-speed").select_option("1")
    page.locator(".player-play").click()
    assert page.locator(".player-play").text_content() == "Pause"
    page.locator('.lane[data-time="0.8000"]').first.wait_for()
    page.locator(".player-play", has_text="Play").wait_for()
    _agrees(page, 0)


WHOLE = """() => [...document.querySelectorAll('.lane')].map((lane) => {
  const view = lane.querySelector('.lane-view').getBoundingClientRect();
  const numbers = [...lane.querySelectorAll('.ruler text')];
  const boxes = numbers.filter((text) => getComputedStyle(text).visibility === 'visible')
    .map((text) => text.getBoundingClientRect());
  return [boxes.length, boxes.filter((box) => box.left >= view.left && box.right <= view.right
    && box.top >= view.top && box.bottom <= view.bottom).length];
})"""


def test_two_rigs_fit_on_a_screen_however_high_they_go(browser: "Browser", tmp_path: Path) -> None:
    steep = {name: dataclasses.replace(run, series=run.series.copy()) for name, run in runs().items()}
    for run in steep.values():
        run.series.loc[run.series.index[-1], "chassis_z_mm"] += 400.0
    with opened(
        browser, _written(tmp_path / "high.html", steep), viewport={"width": 1000, "height": 700}
    ) as page:
        views = [view.bounding_box() for view in page.locator(".lane-view").all()]
        assert sum(view["height"] for view in views if view) < 700


def test_numbers_on_the_ground_are_whole(page: "Page") -> None:
    for time in np.linspace(0.0, 0.8, 17):
        page.locator(".player-time").fill(str(time))
        for shown, whole in page.evaluate(WHOLE):
            assert shown == whole >= 2


def test_a_finger_drags_it(browser: "Browser", file: Path) -> None:
    phone = {"viewport": {"width": 390, "height": 700}, "has_touch": True, "is_mobile": True}
    with opened(browser, file, **phone) as page:
        page.locator(".graph").nth(2).scroll_into_view_if_needed()
        wide, area = (
            page.locator(name).bounding_box() for name in (".player-cursors", ".graph-area >> nth=2")
        )
        assert wide and area
        touch = page.context.new_cdp_session(page)
        for kind, share in (("touchStart", 0.2), ("touchMove", 0.4), ("touchMove", 0.75)):
            point = {"x": wide["x"] + share * wide["width"], "y": area["y"] + 20}
            touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [point]})
        touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        assert _time(page) == pytest.approx(0.75 * 0.8, abs=0.03)


def test_it_can_be_dragged(page: "Page") -> None:
    for part, share in ((".player-time", 0.3), (".player-cursors", 0.7)):
        box = page.locator(part).bounding_box()
        assert box
        height = box["y"] + 0.5 * box["height"]
        page.mouse.move(box["x"] + 0.9 * box["width"], height)
        page.mouse.down()
        page.mouse.move(box["x"] + share * box["width"], height, steps=5)
        page.mouse.up()
        assert _time(page) == pytest.approx(share * 0.8, abs=0.03), part
        _agrees(page, 0)


def test_the_keyboard_does_it_all(page: "Page") -> None:
    page.locator(".player-live").focus()
    page.keyboard.press("Home")
    assert _time(page) == 0.0
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    assert _time(page) == pytest.approx(0.03, abs=1e-4)
    page.keyboard.press("ArrowLeft")
    assert _time(page) == pytest.approx(0.02, abs=1e-4)
    page.keyboard.press("End")
    assert _time(page) == pytest.approx(0.8, abs=1e-4)
    page.keyboard.press("Home")
    page.keyboard.press(" ")
    page.locator(".player-play", has_text="Pause").wait_for()
    page.keyboard.press(" ")
    page.locator(".player-play", has_text="Play").wait_for()
    page.keyboard.press("Tab")
    outline = "getComputedStyle(document.activeElement).outlineStyle"
    assert page.evaluate(outline) == "solid"


def test_buttons_lead_to_the_moments_they_name(page: "Page") -> None:
    run = next(iter(runs().values()))
    page.locator(".lane").first.get_by_role("button", name="least front load").click()
    least = run.series["front_load_N"].idxmin()
    assert _time(page) == pytest.approx(run.series["time_s"][least], abs=1e-4)
    _agrees(page, 0)
    assert f"{NAMES[0]}, {_time(page):.2f} s" in page.locator(".player-said").inner_text()


def test_by_place_both_have_come_as_far(page: "Page") -> None:
    page.locator(".player-step").select_option("place")
    slow, fast = runs().values()
    furthest = [float(run.series["distance_mm"].max()) for run in (slow, fast)]
    leader = furthest.index(max(furthest))
    page.locator(".player-time").fill("0.4")
    ways = [
        float(np.interp(_time(page, k), run.series["time_s"], run.series["distance_mm"]))
        for k, run in enumerate((slow, fast))
    ]
    assert _time(page, leader) == pytest.approx(0.4, abs=1e-4)
    assert ways[0] == pytest.approx(ways[1], abs=0.2)
    page.keyboard.press("End")
    assert page.locator(".player-shown").text_content() == f"at {furthest[leader]:.0f} mm"
    assert "came no further" in (page.locator(".lane-ended").nth(1 - leader).text_content() or "")


def test_a_moment_after_a_rig_went_back_is_shown_by_time(browser: "Browser", tmp_path: Path) -> None:
    fast, slow = reversed(runs().values())
    back = dataclasses.replace(slow, series=slow.series.copy())
    back.series["distance_mm"] = 40.0 - np.abs(back.series["distance_mm"] - 40.0)
    last = float(back.series["time_s"].iloc[-1])
    with opened(browser, _written(tmp_path / "back.html", {"on": fast, "back": back})) as page:
        end = page.locator(".lane").nth(1).get_by_role("button", name=re.compile("^end"))
        page.locator(".player-step").select_option("place")
        end.click()
        assert _time(page, 1) == pytest.approx(last, abs=1e-4)
        assert page.locator(".player-step").input_value() == "time"


def test_arrows_can_be_switched(page: "Page") -> None:
    lane = page.locator(".lane").first
    drawn = {kind: lane.locator(f".arrow-{kind}").first for kind in ("load", "thrust", "link", "shock")}
    assert [arrow.is_visible() for arrow in drawn.values()] == [True, True, False, False]
    page.locator('input[value="load"]').uncheck()
    page.locator('input[value="link"]').check()
    assert [arrow.is_visible() for arrow in drawn.values()] == [False, True, True, False]
    words = lane.locator(".lane-forces").text_content() or ""
    run, at = next(iter(runs().values())), _time(page)
    lower = GRAMS * float(np.interp(at, run.series["time_s"], run.series["rear_lower_link_N"]))
    assert f"lower link {abs(lower):.0f} g {'pull' if lower < 0 else 'push'}" in words


def test_names_are_text(page: "Page") -> None:
    assert page.title() == "wrapped"
    assert page.locator(".lane figcaption .lane-name").all_text_contents() == list(NAMES)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("wide", [320, 390, 960])
def test_it_fits_on_every_screen(browser: "Browser", file: Path, wide: int, scheme: str) -> None:
    context = browser.new_context(viewport={"width": wide, "height": 800}, color_scheme=scheme)
    page = _opened(context.new_page(), file)
    assert page.evaluate("document.documentElement.scrollWidth") <= wide
    box = page.locator(".lane-svg").first.bounding_box()
    assert box
    assert box["x"] + box["width"] <= wide
    assert box["width"] > 0.4 * wide
    context.close()


def test_on_paper_and_without_script_there_are_stills(browser: "Browser", file: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(file.as_uri())
    assert not page.locator(".player-live").is_visible()
    assert page.locator(".still").first.is_visible()
    context.close()
    context = browser.new_context()
    page = _opened(context.new_page(), file)
    page.emulate_media(media="print")
    assert not page.locator(".player-live").is_visible()
    assert 4 <= page.locator(".still:visible").count() <= 6
    assert b"/Subtype /Image" not in page.pdf()
    context.close()
