"""Does every conclusion of the gallery still hold, and does its page say what these runs say?"""

import re
from pathlib import Path

import pytest
from markupsafe import escape
from PIL import Image, PngImagePlugin

from simcore.files import load_scenario
from simcore.studies.claims import conclude
from simcore.studies.ranking import Ranking
from simcore.views.catalogue import Picture, pictures_for
from simcore.views.digest import KEY, digest_in
from simcore.views.export import Export
from simcore.views.gallery import CHAPTERS, Exhibit, exhibit, rig_exhibit
from simcore.views.markdown import plain
from simcore.views.pictures.style import shown as shown_by

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "scenarios").glob("*.toml"))
RIGS = sorted((ROOT / "scenarios" / "rigs").glob("*.toml"))
PAGE = (ROOT / "plots" / "README.md").read_text(encoding="utf-8")


LONG = {
    "braking",
    "down_or_forward",
    "front_springs",
    "grip",
    "grip_and_load",
    "ledge_height",
    "slope_by_change",
    "weight",
}
"""Files of long runs, or of many; `simcore gallery` does them all."""


@pytest.fixture(
    scope="module",
    params=[
        pytest.param(path, id=path.stem, marks=pytest.mark.thorough if path.stem in LONG else ())
        for path in FILES
    ],
)
def shown(request: pytest.FixtureRequest) -> Exhibit:
    """One scenario run anew, its series thinned out."""
    return exhibit(request.param, rate=25.0, draws=0)


def on_the_page(one: Exhibit) -> None:
    assert f"### {one.title}\n" in PAGE
    for name in one.files:
        assert f"({name}.png)" in PAGE
        assert digest_in(ROOT / "plots" / f"{name}.png")
    for name in one.report:
        assert f"({name})" in PAGE
        sent = (ROOT / "plots" / name).read_text(encoding="utf-8")
        result = one.answer or one.results[0]
        assert f'<meta name="kind" content="{result.kind}">' in sent
        if not isinstance(result, Ranking):  # which has no draws here
            assert re.findall(r"<h1[^>]*>(.*)</h1>", sent) == [str(escape(result.headline))]


def test_the_conclusion_still_holds(shown: Exhibit) -> None:
    assert shown.faults == []


def test_the_page_tells_the_metrics_of_these_runs(shown: Exhibit) -> None:
    assert f"**Conclusion.** {plain(conclude(shown.scenario, shown.results[0].summaries))}\n" in PAGE
    assert all(f"{said}\n" in PAGE for said in shown.tried())
    on_the_page(shown)


@pytest.mark.parametrize("path", RIGS, ids=lambda path: path.stem)
def test_every_rig_is_drawn(path: Path, tmp_path: Path) -> None:
    """And its picture in the gallery shows what is drawn anew, so that its file stays as it is."""
    one = rig_exhibit(path)
    on_the_page(one)
    ((name, draw),) = one.files.items()
    assert shown_by(draw()) == digest_in(ROOT / "plots" / f"{name}.png")
    standing = tmp_path / "standing" / f"{name}.png"
    standing.parent.mkdir()
    with Image.open(ROOT / "plots" / standing.name) as image:
        image.resize((7, 5)).save(standing, pnginfo=noted(digest_in(ROOT / "plots" / standing.name)))
    small = standing.read_bytes()  # its digest says that it shows the same
    writer = Export().writers(one.files, standing.parent)[standing.name]
    writer(tmp_path / standing.name)
    assert hash((tmp_path / standing.name).read_bytes()) == hash(small)
    with Image.open(standing) as image:
        image.save(standing, pnginfo=noted("another"))
    Export().writers(one.files, standing.parent)[standing.name](tmp_path / standing.name)
    assert len((tmp_path / standing.name).read_bytes()) > 20 * len(small)


def noted(text: str) -> PngImagePlugin.PngInfo:
    """A note of what a picture shows."""
    info = PngImagePlugin.PngInfo()
    info.add_text(KEY, text)
    return info


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_scenario_asks_and_answers(path: Path) -> None:
    scenario = load_scenario(path)
    assert scenario.title.endswith("?")
    assert len(scenario.conclusion.claims) >= 2
    assert scenario.conclusion.chapter in CHAPTERS
    text = path.read_text(encoding="utf-8").rstrip()
    last = text.split("\n[conclusion]\n", 1)[1]  # it is the last thing that the file says
    assert all(line.startswith("[[conclusion.") for line in last.splitlines() if line.startswith("["))
    blanks = scenario.conclusion.says.count("{")
    assert blanks >= 2  # numbers come from the runs


def test_every_chapter_has_a_page_to_send_on_which_its_rigs_move() -> None:
    files = [load_scenario(path) for path in FILES]
    sent = [one.conclusion.chapter for one in files if one.conclusion.report and not one.vary]
    assert set(sent) == set(CHAPTERS)


def test_every_picture_says_how_to_read_it() -> None:
    from simcore.results.result import Result
    from simcore.studies.load import load  # noqa: F401  (makes every kind known)

    scenario = load_scenario(FILES[0])
    known: list[Picture] = [one for kind in Result.kinds.values() for one in pictures_for(kind, scenario)]
    assert {one.kind for one in known} >= {"run", "comparison", "limits", "inspection"}
    for one in known:
        assert 1 <= one.caption.count(". ") + one.caption.endswith(".") <= 3, one.name
