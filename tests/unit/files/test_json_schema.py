"""The JSON Schemas take what the models take, value by value, and say of every key what the models say."""

import math
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal, NamedTuple, get_args, get_origin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pydantic import BaseModel, ValidationError, WithJsonSchema

from simcore.errors import InputError
from simcore.files import load_scenario
from simcore.files.fields import OrText
from simcore.files.json_schema import KINDS, json_schema
from simcore.files.schema import default, fields, hints, items, plain, submodel, wording
from simcore.units import Q

SCENARIOS = Path(__file__).parents[3] / "scenarios"
RIGS, QUESTIONS = sorted((SCENARIOS / "rigs").glob("*.toml")), sorted(SCENARIOS.glob("*.toml"))


@cache
def validator(kind: str) -> Draft202012Validator:
    return Draft202012Validator(json_schema(kind))


def faults(kind: str, table: Any) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in validator(kind).iter_errors(table)]


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_itself_is_one(kind: str) -> None:
    form = json_schema(kind)
    Draft202012Validator.check_schema(form)
    assert form["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert form["$id"].split(":") == ["urn", "simcore", kind, "1"]
    assert form["title"] == f"simcore {kind} file"


def test_an_unknown_kind_is_told_the_nearest() -> None:
    with pytest.raises(InputError, match=r'got "scenarios", must be one of rig, scenario.*mean "scenario"'):
        json_schema("scenarios")


@pytest.mark.parametrize("path", [*RIGS, *QUESTIONS], ids=lambda path: path.stem)
def test_every_shipped_file_names_its_schema_and_keeps_it(path: Path) -> None:
    kind, text = "rig" if path in RIGS else "scenario", path.read_text(encoding="utf-8")
    named = text.splitlines()[0].removeprefix("#:schema ")
    assert (path.parent / named).resolve() == SCENARIOS / "schema" / f"{kind}.json"
    assert faults(kind, tomllib.loads(text)) == []


@pytest.mark.parametrize("path", QUESTIONS, ids=lambda path: path.stem)
def test_what_the_program_writes_keeps_the_schema(path: Path) -> None:
    scenario = load_scenario(path)
    for table in (scenario.raw, scenario.table):
        assert faults("scenario", table) == []
        assert faults("rig", table["rig"]) == []


def models(top: type[BaseModel]) -> Iterator[type[BaseModel]]:
    """Give a model and every model below it."""
    yield top
    for hint in hints(top).values():
        kinds = items(hint)
        below = submodel(kinds[0] if kinds else hint)
        if below is not None:
            yield from models(below)


MODELS = {
    model: kind for kind in reversed(KINDS) for model in sorted(set(models(KINDS[kind])), key=str)
}  # the rig's by the schema of rigs


def table_schema(model: type[BaseModel], kind: str) -> dict[str, Any]:
    form = json_schema(kind)
    return form if model is KINDS[kind] else form["$defs"][model.__name__] | {"$defs": form["$defs"]}


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_key_is_there_with_its_meaning_its_range_and_its_default(model: type[BaseModel]) -> None:
    form = table_schema(model, MODELS[model])
    assert form["additionalProperties"] is False
    assert set(form.get("required", ())) == {
        key for key, field in fields(model).items() if field.is_required()
    }
    assert set(form["properties"]) == set(fields(model))
    for key, field in fields(model).items():
        said, hint = form["properties"][key], hints(model)[key]
        assert said["description"].startswith(" ".join((field.description or "?").split()))
        quantity = plain(hint)[1]
        if quantity is not None:
            assert f"{quantity.range_text()}" in said["description"] and quantity.range_text()
            assert quantity.unit == "1" or f"A number in {quantity.unit}, " in said["description"]
        if get_origin(plain(hint)[0]) is Literal:
            assert said.get("enum", [said.get("const")]) == list(get_args(plain(hint)[0]))
        if field.default_factory is None:
            assert said.get("default") == default(field, {})


class Number(NamedTuple):
    """A number that may stand in a table, by itself or within a list."""

    model: type[BaseModel]
    key: str
    quantity: Q
    within: Callable[[Any], Any]

    def taken(self, value: Any) -> tuple[bool, bool]:
        """Say whether the model and the schema take a value of this key, whatever else is missing."""
        table = {self.key: self.within(value)}
        form = validator_of(self.model).iter_errors(table)
        return not self.refused(table), not [error for error in form if list(error.path)[:1] == [self.key]]

    def refused(self, table: Any) -> bool:
        try:
            self.model.model_validate(table)
        except ValidationError as error:
            told = [one for one in error.errors() if one["type"] not in ("contradiction", "missing")]
            return any(one["loc"][0] == self.key for one in told)
        return False


@cache
def validator_of(model: type[BaseModel]) -> Draft202012Validator:
    return Draft202012Validator(table_schema(model, MODELS[model]))


def numbers(hint: Any) -> Iterator[tuple[Q, Callable[[Any], Any]]]:
    """Give every number of a type and how to put a value in its place."""
    (inner, quantity), kinds = plain(hint), items(hint)
    if quantity is not None:
        yield quantity, lambda value: value
    elif get_origin(inner) is dict and submodel(get_args(inner)[1]) is None:
        name = some_name(get_args(inner)[0])
        for below, within in numbers(get_args(inner)[1]):
            yield below, lambda value, within=within, name=name: {name: within(value)}
    for i, kind in enumerate(kinds or ()):
        for below, within in numbers(kind) if kind is not Ellipsis else ():
            row = [] if kinds[-1] is Ellipsis else [some(one) for one in kinds]
            yield below, lambda value, i=i, row=row, within=within: [*row[:i], within(value), *row[i + 1 :]]


def some_name(hint: Any) -> str:
    """A name that a table by names takes: any, or one of those that its schema lists."""
    forms = [extra.json_schema for extra in hint.__metadata__ if isinstance(extra, WithJsonSchema)]
    return forms[0]["enum"][0] if forms else "free"


def some(hint: Any) -> Any:
    inner, quantity = plain(hint)
    if quantity is not None:
        return quantity.le
    if items(hint):
        return [some(one) for one in items(hint) or ()]
    return get_args(inner)[0] if get_origin(inner) is Literal else "x" if inner is str else 1


NUMBERS = [
    Number(model, key, *found)
    for model in MODELS
    for key, hint in hints(model).items()
    for found in numbers(hint)
]


def test_the_numbers_of_all_tables_are_looked_at() -> None:
    assert len(NUMBERS) > 110
    assert {"Tyre", "Goal", "Driver", "Conclusion"} <= {number.model.__name__ for number in NUMBERS}


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: f"{number.model.__name__}.{number.key}")
def test_a_number_is_taken_up_to_its_bounds_and_no_further(number: Number) -> None:
    low, high = number.quantity.gt if number.quantity.ge is None else number.quantity.ge, number.quantity.le
    assert low is not None and high is not None
    above, below = math.nextafter(low, math.inf), math.nextafter(low, -math.inf)
    inside = [above, high, math.nextafter(high, -math.inf)] + [low] * (number.quantity.gt is None)
    outside = [below, math.nextafter(high, math.inf)] + [low] * (number.quantity.gt is not None)
    assert [number.taken(value) for value in inside] == [(True, True)] * len(inside)
    assert [number.taken(value) for value in outside] == [(False, False)] * len(outside)


WRONG_KINDS = st.booleans() | st.dates() | st.just([]) | st.just({})


@given(st.sampled_from(NUMBERS), st.floats(allow_nan=False) | st.integers() | st.just(10**400) | WRONG_KINDS)
def test_what_is_no_text_is_taken_by_both_or_by_none(number: Number, value: Any) -> None:
    model, schema = number.taken(value)
    assert model == schema


UNITS = (
    "mm",
    "in",
    "g",
    "kg",
    "oz",
    "N/mm",
    "lbf/in",
    "kg-cm",
    "1/s",
    "deg",
    "%",
    "N*mm",
    "mm^2*kg",
    "°",
    "µm",
    "",
)


@given(
    st.sampled_from(NUMBERS),
    st.floats(-1e4, 1e4).map(repr) | st.sampled_from(["1", "+.5", "2.", "3e2", "1,5", "45:1", "1 + 1"]),
    st.sampled_from(UNITS) | st.text(max_size=3),
    st.booleans(),
)
def test_text_that_the_model_takes_is_taken_by_the_schema(
    number: Number, digits: str, unit: str, own: bool
) -> None:
    text = f"{digits} {number.quantity.unit.removeprefix('1') if own else unit}"
    model, schema = number.taken(text)
    assert schema or not model


def test_a_share_without_its_sign_is_taken_by_both() -> None:
    taken = [one.taken("0.06") for one in NUMBERS if one.quantity.unit == "%"]
    assert any(model for model, _ in taken)
    assert all(schema or not model for model, schema in taken)


@pytest.mark.parametrize("text", ["29 mm + 29 mm", "58,4 mm", "58", "mm", "", "two inches", "45:1", "58 mm!"])
def test_text_of_another_form_is_taken_by_none(text: str) -> None:
    radius = next(one for one in NUMBERS if one.key == "radius" and MODELS[one.model] == "rig")
    assert radius.taken(text) == (False, False)
    assert radius.taken(" 5.8 cm ") == (True, True)


@pytest.mark.parametrize(
    ("place", "value", "good"),
    [
        (("rig",), "rigs/gully.toml", True),
        (("rig",), "", False),
        (("rig",), 3, False),
        (("vary", "ground.slope"), "0:30:0.75", True),
        (("vary", "ground.slope"), "0:30", False),
        (("vary", "ground.slope"), [], False),
        (("vary", "ground.slope"), list(range(1001)), False),
        (("variants", "low"), {"from": "base", "with": ["a", "b"], "ground.slope": 3}, True),
        (("variants", "low"), {"from": 3}, False),
        (("variants", "low"), {"with": "a"}, True),
        (("variants", "low"), 3, False),
        (("conclusion", "claims"), [["a", "b", "near", "c", 0.5]], True),
        (("conclusion", "claims"), [["a", "b", "near", "c"]], False),
        (("conclusion", "claims"), [["a", "b", "near", True, 1]], False),
        (("conclusion", "claims"), [["a", "b", "near", 0, 1]], True),
        (("conclusion", "claims"), [["a", "b", "at", "c", 1]], False),
        (("goal", "at_least"), {"front_load_low_N": "600 g"}, True),
        (("schema",), 2, False),
        (("rig", "wheelbase"), 99, False),
    ],
)
def test_what_may_stand_where_a_type_does_not_say_it(place: tuple[str, ...], value: Any, good: bool) -> None:
    table = load_scenario(SCENARIOS / "slow_creep.toml").table
    for step in place[:-1]:
        table[step] = dict(table.get(step, {}))
    inside = table
    for step in place[:-1]:
        inside = inside[step]
    inside[place[-1]] = value
    assert (faults("scenario", table) == []) == good


def test_an_annotation_says_what_it_wants_and_what_may_stand_there() -> None:
    class Reading(BaseModel):
        times: Annotated[tuple[float, ...], OrText("a list of times, or a file with them")]

    assert wording(hints(Reading)["times"]) == "a list of times, or a file with them"
    kinds = [one["type"] for one in Reading.model_json_schema()["properties"]["times"]["anyOf"]]
    assert kinds == ["string", "array"]
