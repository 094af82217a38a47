"""Does every conclusion of the gallery still hold, and does its page say what these runs say?"""

import shutil
from pathlib import Path

import pytest

from simcore.files import load_scenario
from simcore.studies.claims import conclude
from simcore.views.catalogue import Picture, pictures_for
from simcore.views.digest import digest, digest_in
from simcore.views.export import Export
from simcore.views.gallery import CHAPTERS, Exhibit, exhibit, rig_exhibit

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "scenarios").glob("*.toml"))
RIGS = sorted((ROOT / "scenarios" / "rigs").glob("*.toml"))
PAGE = (ROOT / "plots" / "README.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module", params=FILES, ids=lambda path: path.stem)
def shown(request: pytest.FixtureRequest) -> Exhibit:
    """One scenario run anew, its series thinned out."""
    return exhibit(request.param, rate=25.0)


def on_the_page(one: Exhibit) -> None:
    assert f"### {one.title}\n" in PAGE
    for name in one.files:
        assert f"({name}.png)" in PAGE
        assert digest_in(ROOT / "plots" / f"{name}.png")


def test_the_conclusion_still_holds(shown: Exhibit) -> None:
    assert shown.faults == []


def test_the_page_tells_the_metrics_of_these_runs(shown: Exhibit) -> None:
    assert f"**Conclusion.** {conclude(shown.scenario, shown.results[0].summaries)}\n" in PAGE
    on_the_page(shown)


@pytest.mark.parametrize("path", RIGS, ids=lambda path: path.stem)
def test_every_rig_is_drawn(path: Path, tmp_path: Path) -> None:
    """And its picture in the gallery shows what is drawn anew, so that its file stays as it is."""
    one = rig_exhibit(path)
    on_the_page(one)
    ((name, draw),) = one.files.items()
    assert digest(draw()) == digest_in(ROOT / "plots" / f"{name}.png")
    standing = tmp_path / "standing"
    standing.mkdir()
    shutil.copy(ROOT / "plots" / f"{name}.png", standing)
    before = (standing / f"{name}.png").read_bytes()
    other = before.replace(b"tEXtSoftware", b"tEXtSomeware")  # same picture, another file
    (standing / f"{name}.png").write_bytes(other)
    Export().writers(one.files, standing)[f"{name}.png"](tmp_path / f"{name}.png")
    assert (tmp_path / f"{name}.png").read_bytes() == other


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_scenario_asks_and_answers(path: Path) -> None:
    scenario = load_scenario(path)
    assert scenario.title.endswith("?")
    assert len(scenario.conclusion.claims) >= 2
    assert scenario.conclusion.chapter in CHAPTERS
    text = path.read_text(encoding="utf-8").rstrip()
    assert text.endswith('"""')
    assert text.rsplit("\n[", 1)[1].startswith("conclusion]")  # it is the last thing that the file says
    blanks = scenario.conclusion.says.count("{")
    assert blanks >= 2  # numbers come from the runs


def test_every_picture_says_how_to_read_it() -> None:
    from simcore.results.result import Result
    from simcore.studies.load import load  # noqa: F401  (makes every kind known)

    scenario = load_scenario(FILES[0])
    known: list[Picture] = [one for kind in Result.kinds.values() for one in pictures_for(kind, scenario)]
    assert {one.of.kind for one in known} >= {"run", "comparison", "limits", "inspection"}
    for one in known:
        assert 1 <= one.caption.count(". ") + one.caption.endswith(".") <= 3, one.name
