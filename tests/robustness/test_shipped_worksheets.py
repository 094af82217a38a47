"""Every shipped worksheet gives a rig that stands, and contradicts itself nowhere."""

import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from simcore.files.json_schema import json_schema
from simcore.readings.workings import Origin
from simcore.standing.stand import stand
from simcore.studies.measure import measure

SHEETS = sorted((Path(__file__).parents[2] / "scenarios" / "worksheets").glob("*.toml"))


def test_there_is_one() -> None:
    assert SHEETS


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_worksheet_gives_a_rig_that_stands(path: Path) -> None:
    result = measure(path)
    assert result.concerns == []
    assert stand(result.scenario).whole.mass == pytest.approx(
        result.derived.whole.mass.nominal_value, rel=1e-5
    )
    assert stand(result.scenario).whole.z == pytest.approx(result.derived.whole.z.nominal_value, rel=1e-4)
    assert stand(result.scenario).whole.x == pytest.approx(result.derived.whole.x.nominal_value, rel=1e-5)
    origins = {entry.origin for entry in result.derived.entries.values()}
    assert origins == set(Origin)  # it shows every kind


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_worksheet_is_taken_by_its_schema(path: Path) -> None:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    assert list(Draft202012Validator(json_schema("worksheet")).iter_errors(table)) == []
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first == "#:schema ../schema/worksheet.json"
