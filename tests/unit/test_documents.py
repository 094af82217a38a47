"""Generated pages are current; the README's commands exist."""

import re
import tomllib
from pathlib import Path

import pytest
import witnesses

import simcore
from simcore.files import load_scenario, scenario_of
from simcore.units import column_unit
from simcore.views import reference

ROOT = Path(__file__).parents[2]


def test_result_reference_is_current() -> None:
    text = (ROOT / "plots" / "README.md").read_text(encoding="utf-8")
    assert text.startswith(reference.page("").split("\n\n\n")[0])
    assert text.endswith(reference.reference())


def test_every_result_name_carries_a_unit_and_a_meaning() -> None:
    from simcore.results.catalogue import CATALOGUE
    from simcore.results.series import BOTH_AXLES, RUN_COLUMNS
    from simcore.standing.table import MEANING as STANDING
    from simcore.studies.limit import MEANING as LIMITS

    words = {"ended", "audit", "support_shows", "rig", "drive", "first_limit", "remarks"}
    words |= {"reason", "cause", "why", "unknown"}
    results = {column.name: column.meaning for column in (*RUN_COLUMNS, *BOTH_AXLES, *CATALOGUE.values())}
    for name, meaning in (results | STANDING | LIMITS).items():
        assert meaning
        if (
            name not in words
            and not name.endswith(("_state", "_moves", "_shocks_stand"))
            and not name.startswith("job")
        ):
            assert column_unit(name)


def test_readme_links_and_pictures_exist() -> None:
    for page in (ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "plots" / "README.md"):
        for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name}: {target}"


def test_readme_has_exactly_two_install_lines() -> None:
    lines = [line for line in (ROOT / "README.md").read_text().splitlines() if "pip install" in line]
    assert len(lines) == 2
    assert lines[0].endswith("simcore compare scenarios/launch_vs_creep.toml")
    assert "pytest" in lines[1]


EXAMPLES = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)


@pytest.mark.parametrize("code", EXAMPLES, ids=[f"example {k}" for k in range(len(EXAMPLES))])
def test_readme_python_examples_run(code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "scenarios").symlink_to(ROOT / "scenarios")
    monkeypatch.chdir(tmp_path)
    exec(compile(code, "README.md", "exec"), {})


TABLES = re.findall(r"```toml\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)


@pytest.mark.parametrize("text", TABLES, ids=[f"table {k}" for k in range(len(TABLES))])
def test_readme_tables_are_taken_by_a_shipped_scenario(text: str) -> None:
    path = ROOT / "scenarios" / "slow_creep.toml"
    shipped = {key: value for key, value in load_scenario(path).raw.items() if key != "conclusion"}
    scenario = scenario_of(shipped | tomllib.loads(text), path)
    assert len(scenario.cases()) == 1 + len(scenario.variants)


def test_readme_examples_use_every_public_verb() -> None:
    shown = {name for code in EXAMPLES for name in re.findall(r"simcore\.(\w+)", code)}
    verbs = {name for name in simcore.__all__ if name.islower()} - {
        "sweep",
        "find_limit",
        "spread",
        "track",
        "what_matters",
        "score",
    }  # named in its text
    assert verbs <= shown


def test_public_names_are_there_and_are_all() -> None:
    for name in simcore.__all__:
        assert getattr(simcore, name).__doc__
    assert set(simcore.__all__) == set(simcore._HOMES)
    assert dir(simcore) == sorted(simcore.__all__)


def test_every_outside_check_stands_in_the_table_of_witnesses() -> None:
    """Made by `python -m pytest tests/external tests/behaviour --write-witnesses`."""
    text = witnesses.PAGE.read_text(encoding="utf-8")
    for folder, path, tree in witnesses.outside_files():
        section = text.split(f"## {folder}/{path.name}\n")[1].split("\n## ")[0]
        claims = [claim for _, claim in witnesses.rows_of(tree)]
        assert claims and [row for row in section.splitlines() if row.startswith("| ")][2:] != []
        for claim in claims:
            assert f"| {claim} | " in section, f"{path.name}: {claim}"
