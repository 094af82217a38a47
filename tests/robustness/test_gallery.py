"""Does every finding of the gallery still hold, and does its page say what these runs say?"""

from pathlib import Path

import pytest

from simcore.files import load_scenario
from simcore.studies.claims import told
from simcore.views.captions import CAPTIONS
from simcore.views.gallery import CHAPTERS, Exhibit, exhibit

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "scenarios").glob("*.toml"))
PAGE = (ROOT / "plots" / "README.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module", params=FILES, ids=lambda path: path.stem)
def shown(request: pytest.FixtureRequest) -> Exhibit:
    """One scenario run anew, its series thinned out."""
    return exhibit(request.param, rate=25.0)


def test_the_finding_still_holds(shown: Exhibit) -> None:
    assert shown.sound
    assert shown.broken == []


def test_the_page_tells_the_figures_of_these_runs(shown: Exhibit) -> None:
    assert f"**Finding.** {told(shown.scenario, shown.summaries)}\n" in PAGE
    assert f"### {shown.scenario.title}\n" in PAGE
    for name in shown.files:
        assert f"({name}.png)" in PAGE
        assert (ROOT / "plots" / f"{name}.png").is_file()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_scenario_asks_and_answers(path: Path) -> None:
    scenario = load_scenario(path)
    assert scenario.title.endswith("?")
    assert len(scenario.finding.holds) >= 2
    assert scenario.finding.chapter in CHAPTERS
    text = path.read_text(encoding="utf-8").rstrip()
    assert text.endswith('"""')
    assert text.rsplit("\n[", 1)[1].startswith("finding]")  # the finding is the last thing that it says
    blanks = scenario.finding.says.count("{")
    assert blanks >= 2  # figures come from the runs


def test_every_kind_of_picture_says_how_to_read_it() -> None:
    for text in CAPTIONS.values():
        assert 1 <= text.count(". ") + text.endswith(".") <= 3
