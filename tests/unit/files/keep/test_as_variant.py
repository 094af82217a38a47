"""A change saved as a variant: all that was in the file stays, and the variant runs as the change did."""

import difflib
import os
import shutil
from pathlib import Path

import pytest

from simcore.errors import InputError
from simcore.files import load_scenario
from simcore.files.keep.as_variant import save_variant
from simcore.files.keep.opened import opened

SHIPPED = Path(__file__).parents[4] / "scenarios"
NAMES = sorted(path.name for path in SHIPPED.glob("*.toml"))
CHANGE = {"rear.tyre.rolling_resistance": 3.5, "parts.0.at.1": 80.5, "rear.shock.damper.compression": 12}
NEW = 'by hand, "low" \\ 1.5°'


@pytest.fixture
def home(tmp_path: Path) -> Path:
    shutil.copytree(SHIPPED, tmp_path / "s", ignore=shutil.ignore_patterns("schema", "worksheets"))
    return tmp_path / "s"


def lines_of(path: Path) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines()


def taken_out(before: list[str], after: list[str]) -> list[str]:
    return [line for line in difflib.ndiff(before, after) if line.startswith("- ")]


@pytest.mark.parametrize("name", NAMES)
def test_every_shipped_file_keeps_all_its_lines_and_gains_the_case(home: Path, name: str) -> None:
    path = home / name
    source, before = opened(path), lines_of(path)
    case = source.scenario.case_names()[-1]
    save_variant(source, NEW, case, CHANGE)
    assert load_scenario(path).variant(NEW) == source.scenario.variant(case).changed(CHANGE)
    assert not taken_out(before, lines_of(path))
    assert lines_of(path)[-1] == before[-1], "the conclusion stays last"
    assert not list(home.glob(".*")), "no draft stays behind"


AWKWARD = """\
title = "t"
rig = "rigs/gully.toml"
note = '''
[variants.not_one]
[conclusion]
'''
[driver]
control = "speed"
speed = [[0, 0], [0.5, 0.15]]
{variants}
# what it says
# in two lines
[conclusion]   # last
says = "so"
"""


@pytest.mark.parametrize(
    "variants",
    [
        "",
        '[variants."a"]\n"ground.slope" = 5 # steep\n',
        '[variants]\na = {"ground.slope" = 5}\n',
        '  [ variants . "a" ]\n"ground.slope" = 5\n[variants.b]\nfrom = "a"\n',
    ],
)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_comments_marks_and_line_ends_stay(home: Path, variants: str, newline: str) -> None:
    path = home / "awkward.toml"
    text = "\ufeff" + AWKWARD.format(variants=variants).replace("\n", newline)
    path.write_bytes(text.encode("utf-8"))
    path.chmod(0o640)
    save_variant(opened(path), "new", "as given", {"ground.slope": 7})
    after = path.read_bytes().decode("utf-8")
    assert not taken_out(text.split(newline), after.split(newline))
    assert after.startswith("\ufeff") and after.count("\n") == after.count(newline)
    assert f"# what it says{newline}# in two lines{newline}[conclusion]   # last{newline}" in after
    assert path.stat().st_mode & 0o777 == 0o640
    assert load_scenario(path).variant("new") == load_scenario(path).changed({"ground.slope": 7})


def test_variants_on_one_line_have_no_place_for_another(home: Path) -> None:
    path = home / "awkward.toml"
    text = 'variants = {a = {"ground.slope" = 5}}\n' + AWKWARD.format(variants="")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="tables of their own"):
        save_variant(opened(path), "new", "as given", {"ground.slope": 7})
    assert path.read_text(encoding="utf-8") == text


@pytest.mark.parametrize(
    "name, case, settings, what",
    [
        ("60 ms punch", "creep at 0.15 m/s", CHANGE, "there already"),
        ("creep at 0.15 m/s", "60 ms punch", CHANGE, "there already"),
        ("  ", "60 ms punch", CHANGE, "a new name"),
        ("two\nlines", "60 ms punch", CHANGE, "a new name"),
        ("long" * 30, "60 ms punch", CHANGE, "a new name"),
        ("new", "no case", CHANGE, "must be one of"),
        ("new", "60 ms punch", {}, "one change or more"),
        ("new", "60 ms punch", {"rear.shock.stroke": -3}, "must be greater than 0"),
        ("new", "60 ms punch", {"rear.shock.strike": 3}, "an unknown path"),
    ],
)
def test_what_is_refused_writes_nothing(
    home: Path, name: str, case: str, settings: dict[str, object], what: str
) -> None:
    path = home / "launch_vs_creep.toml"
    before = path.read_bytes()
    with pytest.raises(InputError, match=what):
        save_variant(opened(path), name, case, settings)
    assert path.read_bytes() == before and not list(home.glob(".*"))


@pytest.mark.parametrize("changed", ["launch_vs_creep.toml", "rigs/gully.toml"])
def test_a_file_that_changed_meanwhile_is_left_alone(home: Path, changed: str) -> None:
    source = opened(home / "launch_vs_creep.toml")
    other = home / changed
    other.write_text(other.read_text(encoding="utf-8") + "# by somebody else\n", encoding="utf-8")
    before = (home / "launch_vs_creep.toml").read_bytes()
    with pytest.raises(InputError, match=f"{changed}.*another file than was read"):
        save_variant(source, "new", "60 ms punch", CHANGE)
    assert (home / "launch_vs_creep.toml").read_bytes() == before
    other.unlink()
    with pytest.raises(InputError, match="another file than was read"):
        save_variant(source, "new", "60 ms punch", CHANGE)


def test_a_rig_that_another_case_names_counts_too(home: Path) -> None:
    path = home / "launch_vs_creep.toml"
    save_variant(opened(path), "new", "60 ms punch", CHANGE)
    with path.open("a", encoding="utf-8") as file:
        file.write('\n[variants.heavy]\nrig = "rigs/fell.toml"\n')
    source = opened(path)
    (home / "rigs" / "fell.toml").write_text("name = 1", encoding="utf-8")
    with pytest.raises(InputError, match=r"fell\.toml.*another file than was read"):
        save_variant(source, "newer", "60 ms punch", CHANGE)


def test_a_full_disk_leaves_the_old_file(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = home / "launch_vs_creep.toml"
    source, before = opened(path), path.read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError, match="No space left on device"):
        save_variant(source, "new", "60 ms punch", CHANGE)
    assert path.read_bytes() == before and not list(home.glob(".*"))


def test_a_link_to_the_file_stays_a_link(home: Path) -> None:
    link = home / "linked.toml"
    link.symlink_to("launch_vs_creep.toml")
    save_variant(opened(link), "new", "60 ms punch", CHANGE)
    assert link.is_symlink() and "new" in load_scenario(home / "launch_vs_creep.toml").variants
