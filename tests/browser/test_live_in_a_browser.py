"""The live page in a real browser: knobs and mounts are moved, and what it says is what the bench answers."""

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from fake_bench import MOUNT, FakeBench
from live_served import serving, shown

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
    page.locator(".metric dd:not(.was)", has_text=re.compile(f"^{re.escape(words)}$")).first.wait_for(
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


def test_it_goes_on_when_the_bench_is_back(browser: "Browser", bench: FakeBench) -> None:
    with serving(lambda: bench) as address:
        screen = shown(browser, address, viewport=WIDE)
        page = screen.__enter__()
        page.locator('[data-path="ground.slope"] input[type=range]').fill("20")
        metric(page, "112.0 deg")
    page.locator("#lost").wait_for()
    page.locator('[data-path="ground.slope"] input[type=range]').fill("25")
    with serving(lambda: bench, address.port):
        metric(page, "117.0 deg")  # what was changed meanwhile is asked
        assert not page.locator("#lost").is_visible()
        screen.__exit__(None, None, None)


def test_words_of_files_are_text(page: "Page") -> None:
    assert page.locator("#title").text_content() == "Which <b>one</b>?"


@pytest.mark.parametrize("wide", [390, 1024, 1440])
def test_it_fits_on_every_screen(browser: "Browser", bench: FakeBench, wide: int) -> None:
    screen = {"width": wide, "height": 850}
    with serving(lambda: bench) as address, shown(browser, address, viewport=screen) as page:
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
        box = page.locator("#side svg").bounding_box()
        assert box
        assert box["x"] + box["width"] <= wide
        assert box["width"] > 0.4 * wide
