"""Who answers the live page: runs of the scenario as it lies on disk, and what is kept of a change."""

import shutil
from pathlib import Path

import pytest
from results_to_show import SCENARIOS

from simcore.errors import InputError
from simcore.files import load_rig, load_scenario
from simcore.views.live.asked import Command, First, SaveRig, SaveVariant, Second
from simcore.views.live.bench import RealBench

HIGHER = {"rear.upper_link.chassis.1": 97.5}
CREEP = "creep at 0.15 m/s"


def never() -> bool:
    return False


@pytest.fixture
def scenario(tmp_path: Path) -> Path:
    (tmp_path / "rigs").mkdir()
    shutil.copy(SCENARIOS / "rigs" / "gully.toml", tmp_path / "rigs")
    text = (SCENARIOS / "launch_vs_creep.toml").read_text(encoding="utf-8")
    path = tmp_path / "climb.toml"
    path.write_text(text.replace("duration = 2", "duration = 0.3"), encoding="utf-8")
    return path


def test_what_is_kept_is_the_change_and_is_a_case_when_the_page_asks_again(scenario: Path) -> None:
    bench = RealBench(scenario, ["ground.slope=12"])
    assert bench.hello("")["cases"] == [CREEP, "60 ms punch", "as hard, over 1 s"]
    saved = bench.save_variant(SaveVariant(do="save_variant", name="higher", set=HIGHER))
    assert (saved["type"], saved["variant"]) == ("saved", "higher")
    assert "higher" in bench.hello("")["cases"]
    kept = load_scenario(scenario).variant("higher")
    assert kept.ground.slope == load_scenario(scenario).changed({"ground.slope": 12}).ground.slope
    assert kept.rig.rear.upper_link.chassis[1] == pytest.approx(0.0975)
    line = bench.command(Command(do="command", set=HIGHER))["text"]
    assert line.endswith("--set ground.slope=12 --set rear.upper_link.chassis.1=97.5")


def test_a_rig_is_kept_in_a_file_of_its_own(scenario: Path) -> None:
    bench = RealBench(scenario)
    bench.save_rig(SaveRig(do="save_rig", file="rigs/higher.toml", set=HIGHER))
    rig = load_rig(scenario.parent / "rigs" / "higher.toml")
    assert rig.rear.upper_link.chassis[1] == pytest.approx(0.0975)
    with pytest.raises(InputError, match="a file that is there already"):
        bench.save_rig(SaveRig(do="save_rig", file="rigs/higher.toml", set=HIGHER))
    with pytest.raises(InputError, match="a place elsewhere"):
        bench.save_rig(SaveRig(do="save_rig", file="../elsewhere.toml", set=HIGHER))


def test_what_cannot_stand_is_not_kept(scenario: Path) -> None:
    """The page could not open such a case afterwards."""
    bench, text = RealBench(scenario), scenario.read_text(encoding="utf-8")
    steep = {"ground.slope": 80.0}
    with pytest.raises(InputError, match="slope"):
        bench.save_variant(SaveVariant(do="save_variant", name="wall", set=steep))
    with pytest.raises(InputError, match="slope"):
        bench.save_rig(SaveRig(do="save_rig", file="rigs/wall.toml", set=steep))
    assert scenario.read_text(encoding="utf-8") == text
    assert not (scenario.parent / "rigs" / "wall.toml").exists()


def test_a_file_that_changed_on_disk_is_not_written_to_before_it_is_read_anew(scenario: Path) -> None:
    bench = RealBench(scenario)
    base = bench.hello("")["base"]["metrics"]
    text = scenario.read_text(encoding="utf-8").replace("slope = 15", "slope = 25")
    scenario.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="another file than was read"):
        bench.save_variant(SaveVariant(do="save_variant", name="higher", set=HIGHER))
    assert scenario.read_text(encoding="utf-8") == text
    assert bench.hello("")["base"]["metrics"] != base
    bench.save_variant(SaveVariant(do="save_variant", name="higher", set=HIGHER))


def test_what_is_refused_is_said_at_its_knob_and_what_is_stale_is_not_answered(scenario: Path) -> None:
    bench = RealBench(scenario)
    fault = bench.first(First(n=4, set={"ground.slope": 95.0}), never)
    assert (fault["type"], fault["n"], fault["faults"][0]["path"]) == ("fault", 4, "ground.slope")
    assert bench.first(First(n=5, set=HIGHER), lambda: True) is None
    assert bench.second(Second(do="second", n=5, set=HIGHER), lambda: True) is None


def test_the_film_comes_where_it_is_wanted(scenario: Path) -> None:
    bench = RealBench(scenario)
    still = bench.second(Second(do="second", n=1, set=HIGHER), never)
    moving = bench.second(Second(do="second", n=1, set=HIGHER, film=True), never)
    assert still["film"] is None
    assert 'class="player"' in moving["film"]
    assert still | {"film": 0} == moving | {"film": 0}


def test_other_files_cannot_be_reached_by_a_setting(scenario: Path) -> None:
    bench = RealBench(scenario)
    for path in ("rig", "variants", "conclusion.says", "../../etc/passwd", "__class__"):
        answer = bench.first(First(n=1, set={path: "/etc/passwd"}), never)
        assert answer["type"] == "fault"
        assert "root:" not in str(answer)
