"""The live page in a real browser: knobs and mounts are moved, and what it says is what the bench answers."""

import re
import shlex
import shutil
import webbrowser
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from queue import Queue
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import pytest
from fake_bench import MOUNT, FakeBench
from live_served import commanded, serving, shown
from opening import listened
from results_to_show import SCENARIOS

from simcore.files import load_scenario, parse_setting
from simcore.results.catalogue import CATALOGUE, in_words
from simcore.studies.simulate import simulate
from simcore.views.live.address import Address
from simcore.views.live.bench import RealBench
from simcore.views.live.leading import opened
from simcore.views.live.server import listening

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

WIDE = {"width": 1280, "height": 800}


@pytest.fixture
def bench() -> FakeBench:
    return FakeBench()


@pytest.fixture
def page(browser: "Browser", bench: FakeBench) -> Iterator["Page"]:
    with serving(lambda: bench) as address, shown(browser, address, viewport=WIDE) as found:
        yield found


def metric(page: "Page", words: str) -> None:
    """Wait until the metric says so."""
    page.locator(".metric dd:nth-child(2)", has_text=re.compile(f"^{re.escape(words)}$")).first.wait_for(
        timeout=5000
    )


def test_a_slider_is_answered_and_says_what_was(page: "Page", bench: FakeBench) -> None:
    metric(page, "107.0 deg")
    assert page.locator(".metric .was").text_content() == ""
    page.locator('[data-path="ground.slope"] input[type=range]').fill("20")
    metric(page, "112.0 deg")
    assert page.locator(".metric .was").text_content() == "was 107.0 deg"
    knob = page.locator('[data-path="ground.slope"]')
    assert "changed" in (knob.get_attribute("class") or "")
    assert "was 15" in (knob.text_content() or "")
    knob.get_by_role("button").click()
    metric(page, "107.0 deg")
    assert bench.heard[-1][1].set == {} or bench.heard[-2][1].set == {}


def test_all_that_is_known_comes_once_the_hand_rests(page: "Page", bench: FakeBench) -> None:
    page.locator('[data-path="ground.slope"] input[type=number]').fill("22")
    page.keyboard.press("Enter")
    metric(page, "114.0 deg")
    page.locator("#told:not(.old)", has_text="Forces and energy add up.").wait_for()
    second = [asked for what, asked in bench.heard if what == "second"]
    assert second[-1].set == {"ground.slope": 22}
    page.wait_for_timeout(400)
    assert len([what for what, _ in bench.heard if what == "second"]) == len(
        second
    )  # at rest nothing is asked


def test_a_mount_is_dragged_and_undone(page: "Page", bench: FakeBench) -> None:
    grip = page.locator(".grip").first
    box = grip.locator(".dot").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 20, y - 30, steps=8)
    moved = grip.locator(".dot").bounding_box()
    assert moved
    assert moved["x"] + moved["width"] / 2 == pytest.approx(x + 20, abs=1.5)
    assert moved["y"] + moved["height"] / 2 == pytest.approx(y - 30, abs=1.5)
    page.mouse.up()
    page.wait_for_timeout(300)
    asked = [one for what, one in bench.heard if what == "first"][-1].set
    assert set(asked) == set(MOUNT)
    assert all(2.0 * value == round(2.0 * value) for value in asked.values())
    metric(page, f"{15.0 + asked[MOUNT[1]]:.1f} deg")
    page.keyboard.press("Control+z")
    metric(page, "107.0 deg")
    assert page.locator("#undo").is_disabled()
    assert grip.locator(".dot").bounding_box() == box
    for redo in ("Control+Shift+Z", "Control+y"):
        page.keyboard.press(redo)
        metric(page, f"{15.0 + asked[MOUNT[1]]:.1f} deg")
        assert page.locator("#redo").is_disabled()
        page.keyboard.press("Control+z")
        metric(page, "107.0 deg")


def test_arrow_keys_move_a_mount_by_half_a_millimetre(page: "Page") -> None:
    page.locator(".grip").first.focus()
    page.keyboard.press("ArrowUp")
    metric(page, "107.5 deg")
    page.keyboard.press("Shift+ArrowUp")
    metric(page, "112.5 deg")
    assert page.locator("#place input").nth(1).input_value() == "97.5"
    page.locator("#place .back").click()
    metric(page, "107.0 deg")


def test_a_value_that_is_refused_keeps_the_last_picture_greyed(page: "Page") -> None:
    field = page.locator('[data-path="ground.slope"] input[type=number]')
    field.fill("50")
    field.press("Enter")
    page.locator("body.stale").wait_for()
    fault = page.locator('[data-path="ground.slope"] .fault')
    assert fault.text_content() == "got 50 deg, must be at most 40 deg"
    metric(page, "107.0 deg")
    field.fill("30")
    field.press("Enter")
    metric(page, "122.0 deg")
    assert page.locator("body.stale").count() == 0
    assert fault.text_content() == ""


def test_any_key_is_found_by_typing(page: "Page") -> None:
    assert page.locator('[data-path="rear.tyre.radius"]').count() == 0
    page.locator("#find").fill("tyre rad")
    page.locator('[data-path="rear.tyre.radius"] input[type=number]').fill("60")
    page.keyboard.press("Enter")
    page.locator("#find").fill("")
    page.locator('[data-path="rear.tyre.radius"].changed').wait_for()
    page.locator("#find").fill("no such thing")
    assert page.locator("#knobs").text_content() == "Nothing is called that."


def test_another_case_has_its_own_base(page: "Page") -> None:
    page.locator("#case").select_option("steeper")
    metric(page, "117.0 deg")
    page.locator('[data-path="ground.slope"] input[type=range]').fill("20")
    metric(page, "122.0 deg")
    page.locator("#undo").click()
    metric(page, "117.0 deg")
    page.locator("#undo").click()
    metric(page, "107.0 deg")
    assert page.locator("#case").input_value() == "base"
    page.keyboard.press("Control+y")
    metric(page, "117.0 deg")
    page.locator("#redo").click()
    metric(page, "122.0 deg")
    assert page.locator("#case").input_value() == "steeper" and page.locator("#redo").is_disabled()
    page.keyboard.press("Control+z")
    page.locator('[data-path="ground.slope"] input[type=range]').fill("25")
    metric(page, "127.0 deg")
    assert page.locator("#redo").is_disabled()  # another way was gone


def test_a_change_is_saved_or_the_reason_said(page: "Page", bench: FakeBench) -> None:
    assert page.locator("#keep").is_disabled()
    page.locator('[data-path="ground.slope"] input[type=range]').fill("20")
    page.locator("#keep").click()
    page.locator("#name").fill("steeper")
    page.locator("#keep-it").click()
    page.locator("#keeping-said", has_text="a name that is taken").wait_for()
    page.locator("#name").fill("softer")
    page.locator("#keep-it").click()
    page.locator("#notice", has_text="Saved as softer.").wait_for()
    saved = [asked for what, asked in bench.heard if what == "save_variant"][-1]
    assert (saved.name, saved.set) == ("softer", {"ground.slope": 20})
    page.locator("#copy").click()
    page.locator("#notice code", has_text="simcore run fake.toml").wait_for()


def test_words_of_files_are_text(page: "Page") -> None:
    assert page.locator("#title").text_content() == "Which <b>one</b>?"


def test_a_file_leads_to_the_page(
    browser: "Browser", bench: FakeBench, monkeypatch: pytest.MonkeyPatch
) -> None:
    handed: Queue[str] = Queue()
    monkeypatch.setattr(webbrowser, "open", handed.put)
    with serving(lambda: bench) as address, listened(browser, viewport=WIDE) as (page, said):
        port, key = urlsplit(address).port, urlsplit(address).path.strip("/")
        with opened(Address(port or 0, key)):
            page.goto(handed.get(timeout=10.0))
            page.locator("body[data-shown]").wait_for()
            assert page.url == address
        page.reload()
        page.locator("body[data-shown]").wait_for()
    assert said == []


@pytest.mark.parametrize(("wide", "axes"), [(390, 1), (1024, 2), (1440, 1)])
def test_below_every_column_of_curves_stands_the_time(
    browser: "Browser", bench: FakeBench, wide: int, axes: int
) -> None:
    with (
        serving(lambda: bench) as address,
        shown(browser, address, viewport={"width": wide, "height": 850}) as page,
    ):
        boxes = {
            what: page.locator(f"#curves {what}:visible").evaluate_all(
                "(all) => all.map((one) => one.getBoundingClientRect()).map(({ x, y }) => [x, y])"
            )
            for what in (".area", ".times")
        }
        assert len(boxes[".times"]) == axes
        for x, y in boxes[".times"]:
            assert y > max(high for left, high in boxes[".area"] if abs(left - x) < 2.0)
        assert {round(x) for x, _ in boxes[".times"]} == {round(x) for x, _ in boxes[".area"]}


@pytest.mark.parametrize("wide", [390, 1024, 1440])
def test_it_fits_on_every_screen(browser: "Browser", bench: FakeBench, wide: int) -> None:
    screen = {"width": wide, "height": 850}
    with serving(lambda: bench) as address, shown(browser, address, viewport=screen) as page:
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
        box = page.locator("#side svg").bounding_box()
        assert box
        assert box["x"] + box["width"] <= wide
        assert box["width"] > 0.4 * wide


# --- the real bench ---


@pytest.fixture(scope="module")
def scenario(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A scenario of its own to write to, short, with its rig."""
    folder = tmp_path_factory.mktemp("mine")
    (folder / "rigs").mkdir()
    shutil.copy(SCENARIOS / "rigs" / "gully.toml", folder / "rigs")
    text = (SCENARIOS / "launch_vs_creep.toml").read_text(encoding="utf-8")
    path = folder / "climb.toml"
    path.write_text(text.replace("duration = 2", "duration = 0.7"), encoding="utf-8")
    return path


def dragged(page: "Page", id_: str, right: float, up: float) -> None:
    box = page.locator(f'.grip[data-id="{id_}"] .dot').bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + right, y - up, steps=12)
    page.mouse.up()


def settled(page: "Page") -> None:
    """Wait until all that is known of what is shown has come."""
    page.wait_for_timeout(200)  # what a reconnected page asks comes after its greeting
    page.locator("#told:not(.old)").wait_for()


def shown_metrics(page: "Page") -> dict[str, str]:
    keys = page.locator(".metric").evaluate_all("(all) => all.map((one) => one.dataset.key)")
    return dict(zip(keys, page.locator(".metric dd:nth-child(2)").all_text_contents(), strict=True))


def run_as_typed(line: str) -> dict[str, str]:
    """Metrics as `simcore run` with what the line says would print them."""
    words = shlex.split(line)
    assert words[:2] == ["simcore", "run"]
    scenario = load_scenario(Path(words[2]))
    if "--variant" in words:
        scenario = scenario.variant(words[words.index("--variant") + 1])
    changes = [parse_setting(words[k + 1]) for k, word in enumerate(words) if word == "--set"]
    summary = simulate(scenario.changed(changes)).summary
    return {name: in_words(name, summary[name]) for name in summary if name in CATALOGUE}


def test_a_mount_that_is_dragged_gives_what_the_command_gives_and_is_kept(
    browser: "Browser", scenario: Path
) -> None:
    text = scenario.read_text(encoding="utf-8")
    with serving(lambda: RealBench(scenario)) as address, shown(browser, address, viewport=WIDE) as page:
        before = shown_metrics(page)
        dragged(page, "rear.upper_link.chassis", 14.0, 22.0)
        settled(page)
        found = shown_metrics(page)
        assert found != before
        page.locator("#copy").click()
        line = page.locator("#notice code").text_content() or ""
        assert "--set rear.upper_link.chassis.1=" in line
        printed = run_as_typed(line)
        assert found == {name: printed[name] for name in found}
        page.locator("#keep").click()
        page.locator("#name").fill("mount higher")
        page.locator("#keep-it").click()
        page.locator("#notice", has_text="mount higher").wait_for()
        page.locator("#case option", has_text="mount higher").wait_for(state="attached")
    kept = load_scenario(scenario).variant("mount higher")
    summary = simulate(kept).summary
    assert found == {name: in_words(name, summary[name]) for name in found}
    assert scenario.read_text(encoding="utf-8").startswith(text.split("[conclusion]")[0].rstrip())


def test_a_page_goes_on_after_the_command_was_killed_and_given_again(
    browser: "Browser", scenario: Path, tmp_path: Path
) -> None:
    with listening(None) as place:
        port = place.getsockname()[1]
    with commanded(scenario, port, tmp_path) as address:
        screen = shown(browser, address, viewport=WIDE)
        page = screen.__enter__()
        dragged(page, "rear.lower_link.chassis", 6.0, -8.0)
        settled(page)
        found = shown_metrics(page)
    page.locator("#lost").wait_for()
    page.locator('[data-path="ground.slope"] input[type=range]').fill("20")
    with commanded(scenario, port, tmp_path) as again:
        assert again == address
        page.locator("#lost").wait_for(state="hidden")
        settled(page)
        assert shown_metrics(page) != found  # what was changed meanwhile is asked
        page.locator("#undo").click()
        settled(page)
        assert shown_metrics(page) == found
        page.reload()  # as from the file again
        page.locator("body[data-shown]").wait_for()
        assert page.locator("#reset").is_disabled()
        screen.__exit__(None, None, None)


TIPPING = [
    "rig=rigs/fell.toml",
    "chassis.cg=[40, 190]",
    "ground.slope=40",
    "ground.grip=150",
    "driver.torque.1.1=120",
]
ARM = ["rear.lower_link=none", "rear.upper_link=none", "rear.arm.chassis=[118, 60]", "end.duration=1"]
ON_A_LINK = [
    "rear.shock.axle=none",
    "rear.shock.link=lower",
    "rear.shock.fraction=0.8",
    "rear.shock.extended_length=115",
]
HARD = {
    "a ledge": ("ledge.toml", ["end.duration=1"]),
    "ice": ("ice_patch.toml", ["end.duration=1"]),
    "an arm": ("launch_vs_creep.toml", ARM),
    "shocks on a link": ("launch_vs_creep.toml", ON_A_LINK),
    "a run that tips over": ("punchy_launch.toml", TIPPING),
}


@pytest.mark.parametrize("what", HARD)
def test_hard_cases_are_shown(browser: "Browser", what: str) -> None:
    name, settings = HARD[what]
    bench = partial(RealBench, SCENARIOS / name, settings)
    with serving(bench) as address, shown(browser, address, viewport=WIDE) as page:
        settled(page)
        verdict = page.locator("#verdict").text_content() or ""
        assert ("Tips over" in verdict) == ("tips" in what)
        assert page.locator(".area .now").first.get_attribute("d")
        page.locator("input[value=film]").check()
        page.locator("#film .player[data-ready]").wait_for()


def test_a_rig_that_cannot_stand_keeps_the_last_picture(browser: "Browser", scenario: Path) -> None:
    with serving(lambda: RealBench(scenario)) as address, shown(browser, address, viewport=WIDE) as page:
        settled(page)
        found = shown_metrics(page)
        field = page.locator('[data-path="ground.slope"] input[type=number]')
        field.fill("80")
        field.press("Enter")
        page.locator("body.stale").wait_for()
        assert page.locator("#faults").text_content()
        assert shown_metrics(page) == found
        page.keyboard.press("Escape")
        page.locator("#undo").click()
        page.locator("body:not(.stale)").wait_for()
        settled(page)
