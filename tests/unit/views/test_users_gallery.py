"""The gallery of a folder that is not ours: rigs beside scenarios, copied conclusions, a page true of it."""

import re
import shutil
from pathlib import Path

import pytest

from simcore.errors import InputError
from simcore.studies.compare import Comparison
from simcore.studies.ranking import Ranking
from simcore.views.gallery import RIGS, gallery
from simcore.views.glossary import WORDS

SCENARIOS = Path(__file__).parents[3] / "scenarios"
COPIED = """
[conclusion]
claims = [["60 ms punch", "pitch_rise_deg", "above", 0, 1], ["as given", "time_s", "near", 0.1, 0.001]]
picture = "pitch_and_front_load"
says = "By {60 ms punch | pitch_rise_deg}."
"""
REASON = """
[conclusion]
says = "So."

[[conclusion.because]]
cause = "the slope"
settings = { "ground.slope" = 0 }
effect = ["steep", "time_s"]
"""
RANKED = """
[rank]
by = "pitch_rise_deg"
better = "less"
draws = 0

[variants.steeper]
"ground.slope" = 30

[conclusion]
report = true
claims = [["steeper", "time_s", "near", 0.1, 0.001]]
says = "It takes {steeper | time_s}."
"""


def creep(text: str = "") -> str:
    """A short run up a slope, its rig lying beside it."""
    start = (SCENARIOS / "slow_creep.toml").read_text().split("[conclusion]")[0]
    start = start.replace("rigs/gully.toml", "my_rig.toml").replace("duration = 4", "duration = 0.1")
    assert "my_rig.toml" in start and "0.1" in start
    return start + text


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(SCENARIOS / "rigs" / "fell.toml", tmp_path / "my_rig.toml")
    return tmp_path


def test_rigs_beside_scenarios_are_shown_among_the_rigs(folder: Path, tmp_path: Path) -> None:
    (folder / "creep.toml").write_text(creep())
    made = gallery(folder)
    assert [(one.path.name, one.chapter == RIGS) for one in made.exhibits] == [
        ("creep.toml", False),
        ("my_rig.toml", True),
    ]
    assert made.faults == {}
    made.save(tmp_path / "out")
    page = (tmp_path / "out" / "README.md").read_text()
    shown, _ = page.split("## Words")
    assert re.findall(r"\]\((\w+\.png)\)", shown) == ["creep.png", "my_rig_side_view.png"]
    assert all((tmp_path / "out" / name).exists() for name in ("creep.png", "my_rig_side_view.png"))
    assert "shipped" not in shown and "invented" not in shown
    assert "Heavier trail rig of our own invention" in shown  # what the rig's own file says


def test_a_page_to_send_is_made_where_a_file_asks_for_it(folder: Path, tmp_path: Path) -> None:
    (folder / "creep.toml").write_text(creep("[conclusion]\nreport = true\n"))
    (folder / "other.toml").write_text(creep())
    made = gallery(folder)
    made.save(tmp_path / "out")
    page = (tmp_path / "out" / "README.md").read_text()
    assert re.findall(r"\]\((\w+\.html)\)", page) == ["creep.html"] and page.count("`simcore report ") == 1
    sent = (tmp_path / "out" / "creep.html").read_text()
    assert 'class="player-live"' in sent and str(tmp_path) not in sent
    made.save(tmp_path / "again")
    assert (tmp_path / "again" / "creep.html").read_text() == sent


def test_where_changes_are_to_be_ranked_page_and_picture_are_that(folder: Path, tmp_path: Path) -> None:
    """Its conclusion speaks of the cases as the file stands, which are run too, and move on its page."""
    (folder / "creep.toml").write_text(creep(RANKED))
    made = gallery(folder)
    assert made.faults == {}
    one = made.exhibits[0]
    assert [shown.command for shown in one.shown] == ["rank"] and [type(each) for each in one.results] == [
        Comparison,
        Ranking,
    ]
    made.save(tmp_path / "out")
    sent = (tmp_path / "out" / "creep.html").read_text()
    assert '<meta name="kind" content="ranking">' in sent and "Conclusion: It takes 0.1" in sent
    places = [sent.index(f'<h2 id="{name}"') for name in ("ranking", "numbers", "motion", "driven", "inputs")]
    assert places == sorted(places) and 'class="player-live"' in sent


def test_a_folder_of_rigs_alone(folder: Path) -> None:
    (one,) = gallery(folder).exhibits
    assert one.path.name == "my_rig.toml" and one.chapter == RIGS


def test_a_copied_conclusion_is_a_fault_and_the_file_is_drawn_all_the_same(folder: Path) -> None:
    (folder / "creep.toml").write_text(creep(COPIED))
    made = gallery(folder)
    (fault,) = made.faults.values()
    assert 'conclusion: got the picture "pitch_and_front_load"' in fault
    assert 'conclusion.claims[0]: got the case "60 ms punch"' in fault
    assert "time_s" not in fault  # a claim that can be looked at, and holds
    one = made.exhibits[0]
    assert list(one.files) == ["creep"] and one.shown[0].picture.name == "pitch_and_travel"
    assert "**Conclusion.**" not in one.page() and "not here" in one.page()


def test_a_copied_reason_is_a_fault_and_is_not_tried(folder: Path) -> None:
    (folder / "creep.toml").write_text(creep(REASON))
    (one, _) = gallery(folder).exhibits
    (fault,) = one.faults
    assert 'conclusion.because[0].effect: got the case "steep", must be one of as given' in fault
    assert one.trials == [] and "not here" in one.page() and "Tested" not in one.page()


def test_every_fault_of_every_file_comes_at_once_before_any_run(folder: Path) -> None:
    (folder / "creep.toml").write_text(creep().replace("slope = 25", "slope = 99"))
    (folder / "other.toml").write_text("title = 3\n")
    (folder / "broken.toml").write_text("= 3")
    (folder / "rigs").mkdir()
    shutil.copy(folder / "my_rig.toml", folder / "rigs")
    with pytest.raises(InputError) as refused:
        gallery(folder)
    said = str(refused.value)
    assert all(name in said for name in ("creep.toml: ground.slope", "other.toml", "broken.toml"))
    assert "my_rig.toml: got a rig file of the same name" in said


def test_a_folder_without_files_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="scenario or rig files"):
        gallery(tmp_path)


def test_the_page_of_words_has_what_builders_ask_for() -> None:
    said = " ".join(f"{term.word} {term.meaning} {term.trade}" for term in WORDS).lower()
    for word in (
        *("squat", "anti-squat", "anti-lift", "anti-dive", "instant centre", "usual formula"),
        *("axle mass counted", "bottomed out", "topped out", "full droop", "sag", "preload", "breakaway"),
        *("break loose at", "overdrive", "wind-up", "drag brake", "pull of the tyres along the ground"),
        *("torque twist", "slip", "spin", "sprung share", "j670e", "iso 8855", "grams", "self-check"),
    ):
        assert word in said, word
    assert len({term.word for term in WORDS}) == len(WORDS)
