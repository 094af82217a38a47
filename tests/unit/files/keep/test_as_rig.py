"""A changed rig saved as a file of its own: comments and order of the old one, new values, nothing else."""

import shutil
from pathlib import Path

import pytest

from simcore.errors import InputError
from simcore.files import load_rig
from simcore.files.keep.as_rig import save_rig
from simcore.files.keep.opened import opened

SHIPPED = Path(__file__).parents[4] / "scenarios"
CHANGE = {
    "rear.upper_link.chassis.1": 95.5,
    "parts.battery.mass": 150,
    "ground.slope": 20,  # no part of a rig
    "rear.tyre.grip_load": 500,  # left out in the file
    "front.shock.springs.0.hold_ride_height": False,
}


@pytest.fixture
def home(tmp_path: Path) -> Path:
    shutil.copytree(SHIPPED, tmp_path / "s", ignore=shutil.ignore_patterns("schema", "worksheets"))
    return tmp_path / "s"


@pytest.mark.parametrize("case", ["creep at 0.15 m/s", "60 ms punch"])
def test_only_what_changed_is_another_line(home: Path, case: str) -> None:
    source = opened(home / "launch_vs_creep.toml")
    path = save_rig(source, "rigs/gully_low.toml", case, CHANGE)
    assert path == home / "rigs" / "gully_low.toml"
    wanted = source.scenario.variant(case).changed([*CHANGE.items(), ("name", "gully low")]).rig
    assert load_rig(path) == wanted
    old, new = ((home / "rigs" / name).read_text(encoding="utf-8") for name in ("gully.toml", path.name))
    changed = [line for line in old.splitlines() if line not in new.splitlines()]
    assert changed == ['name = "Gully"', "chassis = [92, 92]", "mass = 128"]
    assert old.count("#") == new.count("#")
    assert path.stat().st_mode == (home / "rigs" / "gully.toml").stat().st_mode


def test_in_another_folder_it_names_no_schema(home: Path) -> None:
    path = save_rig(opened(home / "launch_vs_creep.toml"), "low.toml", "60 ms punch", CHANGE)
    assert not path.read_text(encoding="utf-8").startswith("#:schema")
    load_rig(path)


def test_the_rig_that_a_variant_names_is_the_one_that_is_saved(home: Path) -> None:
    scenario = home / "slow_creep.toml"
    text = scenario.read_text(encoding="utf-8")
    text = text.replace("[conclusion]", '[variants.heavy]\nrig = "rigs/fell.toml"\n\n[conclusion]')
    scenario.write_text(text, encoding="utf-8")
    save_rig(opened(scenario), "rigs/new.toml", "heavy", {"chassis.mass": 990})
    old, new = ((home / "rigs" / name).read_text(encoding="utf-8") for name in ("fell.toml", "new.toml"))
    assert new == old.replace('name = "Fell"', 'name = "new"').replace("mass = 1020", "mass = 990")


def test_a_rig_inside_its_scenario_becomes_a_file(home: Path) -> None:
    whole = home / "whole.toml"
    whole.write_text(opened(home / "slow_creep.toml").scenario.to_toml(), encoding="utf-8")
    source = opened(whole)
    path = save_rig(source, "rigs/own.toml", source.scenario.case, {"chassis.mass": 600})
    assert load_rig(path) == source.scenario.changed({"chassis.mass": 600, "name": "own"}).rig


@pytest.mark.parametrize(
    "file, what",
    [
        ("rigs/gully.toml", "there already"),
        ("../out.toml", "a place elsewhere"),
        ("/tmp/out.toml", "a place elsewhere"),
        ("nowhere/out.toml", "a place elsewhere"),
        ("away/out.toml", "a place elsewhere"),
        ("out.txt", "no name of a rig file"),
        (".toml", "no name of a rig file"),
        ("", "no name of a rig file"),
        ("two\nlines.toml", "no name of a rig file"),
        ("x" * 300 + ".toml", "room that can be written"),
    ],
)
def test_where_no_rig_may_be_written(home: Path, file: str, what: str) -> None:
    (home / "away").symlink_to(home.parent)
    before = sorted(home.rglob("*"))
    with pytest.raises(InputError, match=what):
        save_rig(opened(home / "launch_vs_creep.toml"), file, "60 ms punch", CHANGE)
    assert sorted(home.rglob("*")) == before and not list(home.parent.glob("out.toml"))


@pytest.mark.parametrize("settings", [{"chassis.mass": 0}, {"chassis.mess": 1}])
def test_a_rig_that_is_none_is_not_written(home: Path, settings: dict[str, object]) -> None:
    with pytest.raises(InputError):
        save_rig(opened(home / "launch_vs_creep.toml"), "new.toml", "60 ms punch", settings)
    assert not (home / "new.toml").exists()


def test_a_rig_file_that_changed_meanwhile_is_no_source(home: Path) -> None:
    source = opened(home / "launch_vs_creep.toml")
    (home / "rigs" / "gully.toml").write_text("name = 1")
    with pytest.raises(InputError, match="another file than was read"):
        save_rig(source, "new.toml", "60 ms punch", CHANGE)
