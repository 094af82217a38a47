"""Pages for people with other eyes and hands: axe-core's rules, those of WCAG 2.2 among them, hold."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from opening import opened
from results_to_show import compared, creep

import simcore
from simcore.results.result import Result
from simcore.views.page.file import write_page
from simcore.views.page.player import player

if TYPE_CHECKING:
    from playwright.sync_api import Browser

RULES = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
TALL = 4000  # px: all is in sight, nothing behind the clock that stays at the foot of a phone


def _comparison(_: Path) -> Result:
    return compared(2)


def _saved_run(folder: Path) -> Result:
    simcore.export(creep(), folder / "saved", simcore.Export(formats=()))
    return simcore.load(folder / "saved")


@pytest.mark.parametrize(
    ("result", "screens"),
    [(_comparison, [(390, "light"), (1200, "dark")]), (_saved_run, [(390, "dark"), (1200, "light")])],
    ids=["comparison", "saved run"],
)
def test_rules_for_everyone_hold(
    browser: "Browser", tmp_path: Path, result: Callable[[Path], Result], screens: list[tuple[int, str]]
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="it is not installed").Axe()
    file, found = write_page(result(tmp_path), tmp_path / "page.html", player), []
    with opened(browser, file, bypass_csp=True) as page:  # the rules are a script, which the page forbids
        for (width, scheme), folded in zip(screens, (False, True), strict=True):
            for fold in page.locator("details").all():
                fold.evaluate("(fold, shut) => { fold.open = !shut }", folded)
            page.set_viewport_size({"width": width, "height": TALL})
            page.emulate_media(color_scheme=scheme)
            report = axe.run(page, options=RULES)
            found += [f"{width} px, {scheme}: {report.generate_report()}"] if report.violations_count else []
            held = {rule["id"] for rule in report.response["passes"]}
            assert {"color-contrast", "target-size", "button-name", "label"} <= held  # it has looked
    assert not found, "\n".join(found)
