"""Pages for people with other eyes and hands: axe-core's rules, those of WCAG 2.2 among them, hold."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from opening import opened
from results_to_show import result_of
from sparing import few

import simcore
from simcore.results.result import Result
from simcore.results.run import Run
from simcore.studies.compare import runs_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser

RULES = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
CHARTED = ("two axes", "five limits", "ranges along an axis", "inspection on a slope", "measured rig", "fit")
CHARTED += ("what an answer hangs on", "changes ranked", "drawn", "trial on rock")
SCREENS = [(390, "light"), (1200, "dark")]
TALL = 4000  # px: all is in sight, nothing behind the clock that stays at the foot of a phone


def _saved(run: Run, folder: Path) -> Result:
    simcore.export(run, folder / "saved", simcore.Export(formats=()))
    return simcore.load(folder / "saved")


@pytest.mark.parametrize(
    ("kind", "screens"),
    [
        ("two cases", SCREENS),
        pytest.param("run", [(390, "dark"), (1200, "light")], marks=pytest.mark.thorough),
        *few(((kind, [SCREENS[k % 2]]) for k, kind in enumerate(CHARTED)), 3),
    ],
)
def test_rules_for_everyone_hold(
    browser: "Browser", tmp_path: Path, kind: str, screens: list[tuple[int, str]]
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="it is not installed").Axe()
    given = result_of(kind)
    result = _saved(given, tmp_path) if isinstance(given, Run) else given
    file, found = simcore.page(result).save(tmp_path / "page.html"), []
    with opened(browser, file, bypass_csp=True) as page:  # the rules are a script, which the page forbids
        for k, (width, scheme) in enumerate(screens):
            folded = k > 0 or kind in CHARTED
            for fold in page.locator("details").all():
                fold.evaluate("(fold, shut) => { fold.open = !shut }", folded)
            page.set_viewport_size({"width": width, "height": TALL})
            page.emulate_media(color_scheme=scheme)
            report = axe.run(page, options=RULES)
            found += [f"{width} px, {scheme}: {report.generate_report()}"] if report.violations_count else []
            held = {rule["id"] for rule in report.response["passes"]}
            looked = {"target-size", "button-name", "label"} if runs_of(result) else set()
            assert {"color-contrast", *looked} <= held
    assert not found, "\n".join(found)
