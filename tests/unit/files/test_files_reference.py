"""Every key of the files is explained, has a range, and stands in the generated reference."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from simcore.files import Rig, Scenario
from simcore.files.json_schema import KINDS
from simcore.files.reference import pages, reference
from simcore.files.schema import fields, hints, items, plain, submodel

SCENARIOS = Path(__file__).parents[3] / "scenarios"


def tables(model: Any) -> Iterator[Any]:
    """Give a model and every model below it."""
    yield model
    for hint in hints(model).values():
        kinds = items(hint)
        below = submodel(kinds[0] if kinds else hint)
        if below is not None:
            yield from tables(below)


@pytest.mark.parametrize(
    "model",
    sorted({one for kind in KINDS.values() for one in tables(kind)}, key=lambda model: model.__name__),
)
def test_every_key_is_explained_and_every_number_has_a_range(model: Any) -> None:
    for key, field in fields(model).items():
        assert field.description, f"{model.__name__}.{key} has no text"
        for kind in items(hints(model)[key]) or [hints(model)[key]]:
            quantity = plain(kind)[1]
            assert quantity is None or (
                quantity.le is not None and (quantity.gt, quantity.ge) != (None, None)
            )


def test_rig_and_scenario_share_no_key_but_name_tags() -> None:
    assert set(hints(Rig)) & set(hints(Scenario)) == {"schema", "note", "spread"}


def test_the_field_reference_and_the_schemas_are_up_to_date() -> None:
    written = pages()
    assert set(written) == {"README.md", *(f"schema/{kind}.json" for kind in KINDS)}
    for place, text in written.items():
        assert (SCENARIOS / place).read_text(encoding="utf-8") == text
    assert {path.name for path in (SCENARIOS / "schema").iterdir()} == {f"{kind}.json" for kind in KINDS}


def test_the_field_reference_names_every_key() -> None:
    text = reference()
    for model in [one for kind in KINDS.values() for one in tables(kind)]:
        for key, field in fields(model).items():
            assert f"| `{key}` |" in text
            assert " ".join((field.description or "").split()).replace("|", "\\|") in text
    assert "| `stroke` | mm | greater than 0 and at most 400 | required |" in text
    assert "| `rolling_resistance` | % | from 0 to 30 | `2` |" in text
